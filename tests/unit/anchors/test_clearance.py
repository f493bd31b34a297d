"""Room for anchors: obstacles, boundary, headroom, neighbours."""

from __future__ import annotations

from math import cos, radians, sin

import pytest

from backstay.checks import Verdict
from tests.unit.anchors.example import ROW, anchors, check, merged, section

PIPE = {
    "kind": "circle", "name": "Main", "centre": {"distance": 6.0, "elevation": 95.0},
    "diameter": 0.6, "clearance": 0.5,
}  # fmt: skip


def distance(skew: float) -> float:
    made = section({"skew": f"{skew} deg"}, constraints={"obstacles": [PIPE]})
    return float(check(anchors(made)[0], "obstacle").demand)


def test_distance_to_a_pipe_is_the_perpendicular_less_radius_and_half_hole() -> None:
    i = radians(15)
    perpendicular = abs(6.0 * sin(i) - 2.5 * cos(i))
    assert distance(0.0) == pytest.approx(perpendicular - 0.3 - 0.075)


def test_distance_of_a_skewed_anchor_is_that_in_space() -> None:
    """The pipe runs along the wall: march both lines in space and take the least distance."""
    i, psi = radians(15), radians(30)
    brute = min(
        (
            (k / 1e3 * cos(i) * cos(psi) - 6.0) ** 2 + (2.5 + k / 1e3 * sin(i) - 5.0) ** 2
        ) ** 0.5
        for k in range(14000)
    )  # fmt: skip
    assert distance(30.0) == pytest.approx(brute - 0.3 - 0.075, abs=1e-4)


def test_a_blocked_anchor_is_told_an_inclination_that_clears() -> None:
    pipe = merged(PIPE, {"centre": {"elevation": 95.9}})
    made = section(constraints={"obstacles": [pipe]})
    found = check(anchors(made)[0], "obstacle")
    assert found.verdict is Verdict.FAIL
    angle = float(found.remedy.split("inclination of {angle:")[1].split("}")[0])
    length = anchors(made)[0].total_length
    bond = {"length": length - 5.0}
    other = section(
        {"inclination": angle, "unbonded_length": 5.0, "bond": bond},
        constraints={"obstacles": [pipe]},
    )
    assert check(anchors(other)[0], "obstacle").verdict is Verdict.PASS


def test_a_basement_in_the_way() -> None:
    corners = [(7, 100), (12, 100), (12, 96), (7, 96)]
    basement = {
        "kind": "polygon", "name": "Basement", "clearance": 1.0,
        "points": [{"distance": x, "elevation": e} for x, e in corners],
    }  # fmt: skip
    made = section(constraints={"obstacles": [basement]})
    found = check(anchors(made)[0], "obstacle")
    # nearest is the lower corner at 7 m, which stands above the axis
    i = radians(15)
    expected = (2.5 - 4.0) * cos(i) + 7.0 * sin(i)
    assert found.demand == pytest.approx(expected - 0.075)


def test_an_open_bond_is_asked_to_keep_clear_before_it_fails() -> None:
    row = {"bond": {"length": None, "grouting": "open"}}
    roomy = anchors(section(row, constraints={"right_of_way": 10.0}), 240.0)[0]
    assert check(roomy, "right-of-way").verdict is Verdict.SHOW
    tight = anchors(section(row, constraints={"right_of_way": 9.0}), 240.0)[0]
    assert check(tight, "right-of-way").verdict is Verdict.FAIL


def test_headroom() -> None:
    made = section(constraints={"headroom": 2.0, "headroom_needed": 2.5})
    found = check(anchors(made)[0], "headroom")
    assert found.verdict is Verdict.FAIL
    assert "bench {length:3.1}" in found.note
    assert not [c for c in anchors(section())[0].checks if c.id == "anchor.headroom"]


def test_rows_that_cross_are_found() -> None:
    upper = merged(ROW, {"elevation": 97.0, "inclination": "40 deg"})
    lower = merged(ROW, {"elevation": 95.0, "inclination": "10 deg"})
    crossing = anchors(section(anchors=[upper, lower]))
    assert check(crossing[0], "crossing").demand == pytest.approx(0.0, abs=1e-9)
    assert check(crossing[0], "crossing").verdict is Verdict.FAIL
    assert "row 2" in check(crossing[0], "crossing").note
    apart = anchors(section(anchors=[merged(ROW, {}), merged(ROW, {"elevation": 94.5})]))
    for anchor in apart:
        assert check(anchor, "crossing").verdict is Verdict.PASS
        assert check(anchor, "bond-spacing").demand == pytest.approx(2.0)


def test_rows_skewed_against_each_other_meet_across_piles() -> None:
    left = merged(ROW, {"elevation": 97.0, "skew": "20 deg"})
    right = merged(ROW, {"elevation": 96.9, "skew": "-20 deg"})
    found = anchors(section(anchors=[left, right]))
    assert check(found[0], "crossing").demand < 0.15


def test_close_anchors_fail_their_spacing() -> None:
    made = section(wall={"spacing": 1.0})
    found = check(anchors(made)[0], "bond-spacing")
    assert found.demand == pytest.approx(1.0)
    assert found.verdict is Verdict.FAIL
