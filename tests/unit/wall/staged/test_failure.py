"""A wall that cannot stand: stage, mechanism, depth, and a remedy that holds when it is tried."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from backstay.checks import expand
from backstay.quantity import UnitSystem
from backstay.wall.staged import FailedStage, StagedInput, analyse
from backstay.wall.staged.failure import deepened
from tests.unit.wall.staged.site import SHEETS, arrays, section

LENGTH = re.compile(r"{length:([\d.]+)}")


def failed(given: StagedInput) -> FailedStage:
    found = analyse(given)
    assert not found.stands
    assert found.failed is not None
    assert found.failed.stage == len(found.stages)
    assert found.stages[-1].status == "no equilibrium"
    for text in (found.failed.mechanism, found.failed.remedy):
        assert expand(text, UnitSystem.US)
    return found.failed


CANTILEVER = arrays(
    section(
        cut={"subgrade": 95.0, "over_excavation": 0.5},
        anchors=[{"elevation": 95.6, "bond": {"length": 9.0}}],
    ),
    embedment=0.8,
)
"""Dug 4.9 m before its one row is stressed, on a toe of 0.9 m."""


def test_a_cantilever_that_falls() -> None:
    why = failed(CANTILEVER)
    assert why.stage == 1
    assert "cantilever" in why.mechanism
    assert why.depth == pytest.approx(4.9)
    assert why.exhausted is not None
    assert why.exhausted[0] == pytest.approx(4.9, abs=0.2)


def test_the_toe_that_is_asked_for_is_just_deep_enough() -> None:
    extra = float(LENGTH.search(failed(CANTILEVER).remedy)[1])  # type: ignore[index]
    assert analyse(deepened(CANTILEVER, extra)).stages[0].status == "stands"
    assert analyse(deepened(CANTILEVER, extra - 0.05)).stages[0].status != "stands"


def test_the_dig_that_is_offered_instead_stands() -> None:
    level = float(LENGTH.findall(failed(CANTILEVER).remedy)[-1])
    shallow = CANTILEVER.dig.copy()
    shallow[0] = CANTILEVER.z[np.abs(CANTILEVER.z - level).argmin()]
    assert analyse(replace(CANTILEVER, dig=shallow)).stages[0].status == "stands"
    assert level < 4.9


def test_a_foot_that_kicks_out() -> None:
    """One row near the head: the foot has to be held by the ground in front, which is thin."""
    wall = section(
        wall=SHEETS, cut={"subgrade": 93.0},
        anchors=[{"elevation": 98.5, "spacing": 2.0, "bond": {"length": 9.0}}],
    )  # fmt: skip
    why = failed(arrays(wall, embedment=0.4))
    assert why.stage == 3
    assert "foot of the wall moves into the cut" in why.mechanism
    assert "deeper" in why.remedy
    assert why.depth >= 7.0


def test_an_anchor_that_pulls_harder_than_the_ground_can_push_back() -> None:
    given = arrays(section())
    hard = replace(given, a_lock=given.a_lock * np.array([30.0, 1.0]))
    why = failed(hard)
    assert why.stage == 2
    assert "row 1 pulls the wall into the ground behind" in why.mechanism
    assert why.depth == pytest.approx(2.5)
    share = float(re.search(r"{percent:([\d.]+)}", why.remedy)[1])  # type: ignore[index]
    assert analyse(replace(hard, a_lock=hard.a_lock * np.array([share, 1.0]))).stages[1].status == (
        "stands"
    )
    more = hard.a_lock * np.array([share + 0.04, 1.0])
    assert analyse(replace(hard, a_lock=more)).stages[1].status != "stands"


def test_an_anchor_that_is_too_weak() -> None:
    wall = section(cut={"subgrade": 93.0}, anchors=[{"elevation": 98.0, "bond": {"length": 9.0}}])
    given = arrays(wall, embedment=2.5)
    weak = replace(given, a_cap=np.full_like(given.a_cap, 40.0), a_lock=0 * given.a_lock + 20.0)
    why = failed(weak)
    assert "row 1 is at its strength" in why.mechanism
    assert why.depth == pytest.approx(2.0)
    load = float(re.search(r"{force:([\d.]+)}", why.remedy)[1])  # type: ignore[index]
    cap = np.full_like(given.a_cap, load / given.anchor_share[0])
    assert analyse(replace(weak, a_cap=cap)).stands


def test_stages_before_the_failure_are_whole() -> None:
    given = arrays(section())
    found = analyse(replace(given, a_lock=given.a_lock * np.array([1.0, 60.0])))
    assert [s.status for s in found.stages] == ["stands"] * 3 + ["no equilibrium"]
    assert found.envelope is not None
    assert found.envelope.M_max.stage <= 3
    assert found.mesh_error is not None
    assert found.mesh_error < 0.01


def test_a_deeper_wall_keeps_its_own_ground() -> None:
    from tests.unit.wall.staged.site import CLAY, SAND

    strata = [SAND, {**CLAY, "top": 87.5}]
    given = arrays(section(ground={"top": 100.0, "strata": strata}), embedment=4.0)
    deep = deepened(given, 3.0)
    assert deep.z[-1] == pytest.approx(15.0)
    assert 12.5 in deep.z.round(9)
    below = 0.5 * (deep.z[1:] + deep.z[:-1]) > 12.5
    names = [given.zone_names[i] for i in deep.layer]
    assert all((name == "Clay") == bool(under) for name, under in zip(names, below, strict=True))
