"""The construction sequence: derived from the rows, or the engineer's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from backstay.design import design
from backstay.model import read_project
from backstay.model.project import Section
from backstay.model.sequence import bench_depth, construction_stages
from backstay.model.site import CutStage

DEMO = Path(__file__).parents[3] / "examples" / "two-row-sand.yaml"


@pytest.fixture(scope="module")
def section() -> Section:
    return read_project(DEMO).sections[0]


def with_sequence(section: Section, *stages: CutStage) -> Section:
    return section.model_copy(update={"cut": section.cut.model_copy(update={"sequence": stages})})


def test_the_default_digs_below_each_row_then_to_subgrade(section: Section) -> None:
    stages = construction_stages(section)
    assert [s.stress_row for s in stages] == [None, 1, None, 2, None]
    foot = 0.3048
    assert [s.dig_to for s in stages if s.dig_to] == pytest.approx(
        [10 * foot, 22 * foot, 32 * foot]
    )
    assert bench_depth(section, 2) == pytest.approx(22 * foot)


def test_a_given_sequence_rules_the_bench_and_the_cantilever(section: Section) -> None:
    own = with_sequence(
        section,
        CutStage(excavate_to=section.elevation(2.6)),
        CutStage(stress_row=1),
        CutStage(excavate_to=section.elevation(6.3)),
        CutStage(stress_row=2),
        CutStage(excavate_to=section.cut.subgrade),
    )
    assert bench_depth(own, 1) == pytest.approx(2.6)
    assert bench_depth(own, 2) == pytest.approx(6.3)
    project = read_project(DEMO)
    shallow = design(project.model_copy(update={"sections": (own,)})).sections[0]
    deep = design(project).sections[0]
    assert shallow.wall.cantilever.depth == pytest.approx(2.6)
    assert shallow.wall.cantilever.moment < deep.wall.cantilever.moment


def test_a_row_that_no_stage_stresses_is_named(section: Section) -> None:
    with pytest.raises(LookupError, match="row 3"):
        bench_depth(section, 3)
