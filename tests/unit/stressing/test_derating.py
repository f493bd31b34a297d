"""What follows from an anchor that failed: neighbours, other rows, the dig, and every check on both sides."""

from __future__ import annotations

from typing import Any

import pytest

from backstay.checks import Verdict, expand
from backstay.design import design
from backstay.errors import DesignError
from backstay.quantity import UnitSystem
from backstay.stressing import derating_wall
from backstay.stressing.derating import derate
from backstay.stressing.project_rules import rules_of
from tests.unit.stressing.deratings import derated, designed, one, part


def test_the_wall_carries_a_little_less_and_not_much_less() -> None:
    """Two rows in sand: row 2 lacks 32 kN by the load proved, 173 kN by half of what was held."""
    name, anchor = "two-row-sand", "A (Alder Street)-2-003"
    little = derated(name, anchor, 559.0, rate="proven")
    assert little.carries
    assert little.rated.lacking == pytest.approx(little.rated.wanted - 559.0 / 1.33, rel=1e-9)
    assert "watch its neighbours" in little.advice[-1]
    much = derated(name, anchor, 559.0)
    assert not much.carries
    assert {c.id for c in much.new_failures} >= {"derating.row-load", "wall.pile-bending"}
    words = " ".join(expand(a, UnitSystem.US) for a in much.advice)
    assert "replace it" in words
    assert "add one beside it" in words
    assert "dig no deeper than elevation" in words
    assert "ft" in words


def test_a_row_is_held_against_what_its_own_test_proved_on_both_sides() -> None:
    name, anchor, above = "two-row-sand", "A (Alder Street)-2-003", "A (Alder Street)-1-003"
    load = one(derated(name, anchor, 559.0).checks, "derating.row-load").demand
    row = part(name).anchors[0]
    factor = row.test_load / row.design_load
    for held, verdict in ((load * factor + 0.1, Verdict.PASS), (load * factor - 0.1, Verdict.FAIL)):
        found = derated(name, anchor, 559.0, proven={above: held})
        check = one(found.checks, "derating.row-load", above)
        assert check.verdict is verdict
        assert check.capacity == pytest.approx(held / factor)
    assert "held" in check.note
    assert "replace the anchor that failed" in check.remedy


def test_neighbours_by_statics() -> None:
    """Half each of what is lacking; the last anchor of a row has one neighbour, which takes it all."""
    name = "three-row-layered-water"
    inner = derated(name, "C-C-2-003", 500.0)
    assert [n.name for n in inner.beside] == ["C-C-2-002", "C-C-2-004"]
    found = [c for c in inner.other_checks if c.id == "derating.neighbour-load"]
    assert [c.demand for c in found] == pytest.approx(
        [inner.rated.wanted + inner.rated.lacking / 2.0] * 2
    )
    end = derated(name, "C-C-2-001", 500.0)
    (only,) = [c for c in end.other_checks if c.id == "derating.neighbour-load"]
    assert only.demand == pytest.approx(end.rated.wanted + end.rated.lacking)


def test_the_other_rows_at_the_same_place() -> None:
    found = derated("three-row-layered-water", "C-C-2-007", 500.0)
    assert [o.name for o in found.others] == ["C-C-1-007", "C-C-3-007"]
    assert all(o.held is None for o in found.others)


def test_one_row_has_no_other_by_statics() -> None:
    made = designed("single-row-stiff-clay")
    found = derated("single-row-stiff-clay", "1-1-003", 474.0)
    assert one(found.checks, "derating.only-row").demand == pytest.approx(found.rated.lacking)
    assert not found.carries
    enough = derated("single-row-stiff-clay", "1-1-003", 474.0, rate="proven")
    lacking = one(enough.checks, "derating.only-row")
    assert lacking.verdict is (Verdict.PASS if enough.rated.lacking == 0.0 else Verdict.FAIL)
    section = made.sections[0].section.model_copy(update={"carry": "staged"})
    project = made.project.model_copy(update={"sections": (section,)})
    staged = design(project, slip_surfaces="leave out")
    again = derate(staged, "1-1-003", 474.0, rules_of(project))
    assert "derating.only-row" not in {c.id for c in again.checks}
    assert again.bounds[0].statics == ()


def test_the_dig_stops_before_the_stage_that_is_too_much() -> None:
    found = derated("two-row-sand", "A (Alder Street)-2-003", 559.0)
    dig = found.dig
    assert dig is not None
    assert not dig.full
    stages = found.bounds[0].mean.stages
    stopped = next(s for s in stages if s.title == dig.stage)
    assert dig.depth == max(s.dig for s in stages if s.number < stopped.number)
    assert stopped.dig > dig.depth
    assert "moment" in dig.why


def test_a_wall_that_does_not_stand_stops_the_dig_there() -> None:
    name = "three-row-layered-water"
    before = part(name)
    found = derated(name, "C-C-1-003", None)
    standing = min(sum(s.status == "stands" for s in r.stages) for r in found.bounds[0].results)
    assert found.dig is not None
    assert found.dig.depth <= before.ground.H
    if standing < before.staged.mean.input.stages:
        assert not found.dig.full


def test_lines_say_before_and_after_with_what_may_be() -> None:
    found = derated("two-row-sand", "A (Alder Street)-2-003", 559.0)
    assert {line.what for line in found.lines} == {
        "Load of the anchor", "Moment", "Shear", "Greatest deflection"
    }  # fmt: skip
    moment = next(x for x in found.lines if x.what == "Moment" and "alone" in x.where)
    assert moment.after == found.bounds[0].moment
    assert moment.before == pytest.approx(part("two-row-sand").wall.design_moment, rel=0.2)
    assert moment.limit is not None
    assert moment.after > moment.limit


def test_what_fails_in_the_design_already_is_told_apart() -> None:
    found = derated("three-row-layered-water", "C-C-2-003", 500.0)
    assert "wall.toe-lateral" in found.was
    assert "wall.toe-lateral" in {c.id for c in found.failing}
    assert "wall.toe-lateral" not in {c.id for c in found.new_failures}


def test_an_anchor_that_is_not_there_is_refused() -> None:
    with pytest.raises(DesignError, match="no such anchor"):
        derated("two-row-sand", "B-1-001", 500.0)


def test_the_wall_wants_the_load_of_its_envelope_or_of_its_stages_as_the_engineer_chose() -> None:
    """The larger of both where both count (the default): the stages in row 2, the envelope in row 1."""
    made = part("two-row-sand")
    name = "A (Alder Street)-{}-005"
    by_stages = [max(float(s.anchor_loads[k]) for s in made.staged.mean.stages) for k in (0, 1)]
    by_envelope = [anchor.required_load for anchor in made.anchors]
    assert by_stages[0] < by_envelope[0]
    assert by_stages[1] > by_envelope[1]
    wanted = [derated("two-row-sand", name.format(row), 500.0).rated.wanted for row in (1, 2)]
    assert wanted == pytest.approx([by_envelope[0], by_stages[1]])
    section = made.section.model_copy(update={"carry": "envelope"})
    project = designed("two-row-sand").project.model_copy(update={"sections": (section,)})
    again = design(project, slip_surfaces="leave out")
    envelope = derate(again, name.format(2), 500.0, rules_of(project))
    assert envelope.rated.wanted == pytest.approx(by_envelope[1])


def test_the_limit_of_a_load_is_what_the_other_anchor_is_rated_for() -> None:
    found = derated("two-row-sand", "A (Alder Street)-1-005", 500.0)
    limits = [
        (x.where.split(",")[0], x.limit) for x in found.lines if x.what == "Load of the anchor"
    ]
    assert limits
    for where, limit in limits:
        if where == "row 1":
            assert limit is None, "the anchor itself is not judged by what it was designed for"
        else:
            assert limit == pytest.approx(found.others[0].rated)


@pytest.mark.parametrize("name", ["A (Alder Street)-1-003", "A (Alder Street)-2-003"])
def test_a_crew_that_waits_is_answered_by_few_analyses(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Soft, mean and stiff by two bounds, without a search of their error, and a design for each."""
    designed("two-row-sand")
    done: list[tuple[str, object]] = []

    def counted(called: str) -> None:
        before = getattr(derating_wall, called)

        def noted(*arguments: Any, **more: Any) -> Any:
            done.append((called, more.get("mesh_error")))
            return before(*arguments, **more)

        monkeypatch.setattr(derating_wall, called, noted)

    counted("analyse")
    counted("design_wall")
    derated("two-row-sand", name, 559.0)
    assert sorted(done, key=str) == [("analyse", "left out")] * 6 + [("design_wall", None)] * 2
