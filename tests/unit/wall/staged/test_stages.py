"""Stages: derived from the rows, or the engineer's own; each changes one thing."""

from __future__ import annotations

from math import cos, inf, radians
from typing import Any

import numpy as np
import pytest

from backstay.ground import profile
from backstay.wall.staged import analyse
from backstay.wall.staged.stages import StageState, stage_states
from tests.unit.wall.staged.site import CLAY, SAND, TEMPORARY, arrays, section

DIG = [
    {"kind": "excavate", "level": 97.0}, {"kind": "stress row", "row": 1},
    {"kind": "excavate", "level": 94.5}, {"kind": "stress row", "row": 2},
    {"kind": "excavate", "level": 92.0},
]  # fmt: skip
STORE = {"kind": "strip", "name": "store", "pressure": 40.0, "distance": 2.0, "width": 3.0}
YARD = {"kind": "uniform", "name": "yard", "pressure": 10.0}


def states(*more: dict[str, Any], **changes: Any) -> tuple[StageState, ...]:
    made = section(stages=[*DIG, *more], **changes)
    return stage_states(made, profile(made), TEMPORARY)


def test_stages_follow_from_the_rows() -> None:
    made = section()
    found = stage_states(made, profile(made), TEMPORARY)
    assert [s.title for s in found] == [
        "excavate to elevation {length:96.9}", "stress row 1",
        "excavate to elevation {length:94.4}", "stress row 2",
        "excavate to elevation {length:92}",
    ]  # fmt: skip
    assert [s.dig for s in found] == pytest.approx([3.1, 3.1, 5.6, 5.6, 8.0])
    assert [[r.work for r in s.rows] for s in found] == [
        ["absent", "absent"], ["being stressed", "absent"], ["holding", "absent"],
        ["holding", "being stressed"], ["holding", "holding"],
    ]  # fmt: skip


def test_a_written_sequence_of_the_cut_counts_too() -> None:
    made = section(
        cut={"subgrade": 92.0, "sequence": [
            {"excavate_to": 97.0, "stress_row": 1, "note": "first bench"}, {"excavate_to": 94.0},
            {"stress_row": 2}, {"excavate_to": 92.0},
        ]}
    )  # fmt: skip
    found = stage_states(made, profile(made), TEMPORARY)
    assert [s.title for s in found][:3] == [
        "first bench", "stress row 1", "excavate to elevation {length:94}",
    ]  # fmt: skip


def test_what_is_not_changed_stays() -> None:
    found = states(
        {"kind": "wall stiffness", "factor": 0.7},
        {"kind": "water", "retained": 97.0},
        {"kind": "remove row", "row": 1, "title": "Row 1 is cut off above the slab"},
    )
    assert [s.stiffness for s in found] == [1.0] * 5 + [0.7] * 3
    assert [s.water_retained for s in found] == [inf] * 6 + [3.0] * 2
    assert found[-1].rows[0].work == "absent"
    assert found[-1].rows[1].work == "holding"
    assert found[-1].title == "Row 1 is cut off above the slab"
    assert all(s.dig == 8.0 for s in found[4:])


def test_surcharges_that_are_added_do_not_act_before() -> None:
    found = states(
        {"kind": "add surcharge", "name": "store"}, {"kind": "remove surcharge", "name": "yard"},
        surcharges=[YARD, STORE],
    )  # fmt: skip
    assert [sorted(s.surcharges) for s in found[4:]] == [["yard"], ["store", "yard"], ["store"]]
    given = arrays(section(stages=[*DIG, {"kind": "add surcharge", "name": "store"}],
                           surcharges=[YARD, STORE]))  # fmt: skip
    assert given.load.tolist() == [10.0] * 6
    assert [bool(e.any()) for e in given.external] == [False] * 5 + [True]


def test_named_strata_drain() -> None:
    ground = {"top": 100.0, "strata": [CLAY, {**CLAY, "name": "Deep clay", "top": 94.0}]}
    found = states({"kind": "drained", "strata": ["Deep clay"]}, {"kind": "drained"}, ground=ground)
    assert [s.undrained for s in found[4:]] == [(True, True), (True, False), (False, False)]


def test_anchors_are_let_down_and_stressed_anew() -> None:
    given = arrays(
        section(stages=[
            *DIG, {"kind": "de-stress row", "row": 1, "load": 50.0},
            {"kind": "stress row", "row": 1, "load": 300.0}, {"kind": "row fails", "row": 2},
        ])
    )  # fmt: skip
    assert given.a_state[:, 0].tolist() == [0, 1, 2, 2, 2, 1, 1, 2]
    assert given.a_state[:, 1].tolist() == [0, 0, 0, 1, 2, 2, 2, 0]
    assert given.a_lock[5, 0] == pytest.approx(50.0 * cos(radians(15)))
    assert given.a_lock[6:, 0] == pytest.approx(300.0 * cos(radians(15)))
    found = analyse(given)
    assert found.stages[5].anchor_loads[0] == pytest.approx(50.0)
    assert found.stages[6].anchor_loads[0] == pytest.approx(300.0)
    assert found.stages[7].anchor_loads[1] == 0.0


def test_a_strut_holds_and_does_not_pull() -> None:
    slab = {"kind": "strut", "name": "Slab", "level": 92.5, "stiffness": "200 MN/m2"}
    given = arrays(section(stages=[
        *DIG, slab, {"kind": "remove row", "row": 2}, {"kind": "stress row", "row": 2},
    ]))  # fmt: skip
    assert given.support_names == ("row 1", "row 2", "Slab")
    assert given.a_k[5, 2] == pytest.approx(200e3 * 2.5)
    found = analyse(given)
    assert found.stages[5].T[2] == pytest.approx(0.0, abs=1e-6)  # nothing moved yet
    assert found.stages[6].T[2] > 10.0  # it takes over from row 2
    assert found.stages[7].T[2] < found.stages[6].T[2]


def test_the_same_strut_twice() -> None:
    slab = {"kind": "strut", "name": "Prop", "level": 92.5, "stiffness": "200 MN/m2"}
    away = {"kind": "remove strut", "name": "Prop"}
    given = arrays(section(stages=[*DIG, slab, away, {**slab, "level": 93.0}, away]))
    assert given.a_state[5:, 2].tolist() == [2, 0, 0, 0]
    assert given.a_state[5:, 3].tolist() == [0, 0, 2, 0]


def test_the_earthquake_shakes_in_its_stage_alone() -> None:
    found = states(
        {"kind": "earthquake", "kh": 0.1}, {"kind": "excavate", "level": 91.9},
        cut={"subgrade": 91.9},
    )  # fmt: skip
    assert [s.quake is not None for s in found] == [False] * 5 + [True, False]


def test_water_in_the_cut_is_drawn_down_with_the_dig() -> None:
    found = states(ground={"top": 100.0, "water": {"retained": 96.0, "cut": 91.0}})
    assert [s.water_cut for s in found] == pytest.approx([4.0, 4.0, 5.5, 5.5, 9.0])
    flooded = states(ground={"top": 100.0, "water": {"retained": 96.0, "cut": 95.0}})
    assert [s.water_cut for s in flooded] == pytest.approx([4.0, 4.0, 5.0, 5.0, 5.0])
    pumped = states(
        {"kind": "water", "cut": 90.0}, ground={"top": 100.0, "water": {"retained": 96.0}}
    )
    assert pumped[-1].water_cut == 10.0


def test_backfill_brings_pressure_back_in_front() -> None:
    given = arrays(section(stages=[*DIG, {"kind": "backfill", "level": 94.0}]))
    found = analyse(given)
    assert found.stands
    filled = (found.stages[5].depth_g > 6.0) & (found.stages[5].depth_g < 8.0)
    assert (found.stages[4].p_cut[filled] == 0.0).all()
    assert (found.stages[5].p_cut[filled] > 0.0).all()


def test_one_anchor_fails_and_its_neighbours_take_over() -> None:
    given = arrays(section(stages=[*DIG, {"kind": "anchor fails", "row": 1}]))
    assert given.accidents == ((5, 0),)
    assert given.a_k[5, 0] == pytest.approx(given.a_k[4, 0] * 2 / 3)
    found = analyse(given)
    (accident,) = found.accidents
    assert (accident.stage, accident.row) == (6, 1)
    before = found.stages[4].anchor_loads[0]
    assert accident.before == pytest.approx(before)
    assert before < accident.neighbours < accident.neighbours_bound
    assert accident.neighbours_bound == pytest.approx(1.5 * before)
    assert accident.neighbours == pytest.approx(found.stages[5].anchor_loads[0])
    # the plane run without the row is what a row that fails for good meets
    gone = analyse(arrays(section(stages=[*DIG, {"kind": "row fails", "row": 1}])))
    assert accident.stands_without_row == gone.stands
    assert accident.M_without_row == pytest.approx(float(np.abs(gone.stages[5].M).max()))


def test_titles_name_water_and_drainage() -> None:
    found = states(
        {"kind": "water", "retained": 97.0, "cut": 91.0}, {"kind": "drained"},
        ground={"top": 100.0, "strata": [SAND, {**CLAY, "top": 94.0}]},
    )  # fmt: skip
    assert found[-2].title == (
        "water behind at elevation {length:97}, in the cut at elevation {length:91}"
    )
    assert found[-1].title == "drained: all clay"
