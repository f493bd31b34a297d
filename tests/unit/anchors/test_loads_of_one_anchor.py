"""Loads, lengths and stressing of one anchor, worked by hand.

H 10 m, sand of 33 degrees, row at 2.5 m, 15 degrees, anchors 2 m apart. Strand of ASTM A416
grade 270, 15.24 mm: 140 mm2, E 195 GPa (published, suppliers' sheets).
"""

from __future__ import annotations

from math import cos, radians, tan

import pytest

from backstay.anchors.unbonded import under_cover
from tests.unit.anchors.example import anchors, check, section, surface

ONE_STRAND = {"kind": "strand", "product": "ASTM 15.24", "strands": 1}


def test_test_and_lock_off_loads_are_shares_of_the_design_load() -> None:
    (anchor,) = anchors(section({"design_load": 400.0, "test_factor": 1.5, "lock_off": 0.75}))
    assert anchor.test_load == pytest.approx(600.0)
    assert anchor.lock_off_load == pytest.approx(300.0)
    (anchor,) = anchors(section({"skew": "20 deg"}), 120.0)
    assert anchor.design_load == pytest.approx(
        120.0 * 2.0 / cos(radians(15)) / cos(radians(20)), rel=1e-9
    )


def test_jack_pulls_what_the_draw_in_will_take() -> None:
    """6 mm on 10 m of one strand: 140 mm2 x 195 GPa x 0.6 per mille = 16.38 kN, over 120 kN."""
    (anchor,) = anchors(
        section({"design_load": 150.0, "lock_off": 0.8, "tendon": ONE_STRAND,
                 "unbonded_length": 10.0, "draw_in": "6 mm"})
    )  # fmt: skip
    assert anchor.lock_off_loss == pytest.approx(16.38, rel=1e-3)
    assert check(anchor, "jacking-load").demand == pytest.approx(136.38, rel=1e-3)
    assert check(anchor, "lock-off-loss").demand == pytest.approx(0.1365, rel=1e-3)


def test_length_that_would_hold_the_lock_off_loses_just_the_share_allowed() -> None:
    """140 mm2 x 195 GPa x 6 mm / (0.15 x 120 kN) = 9.10 m."""
    (anchor,) = anchors(
        section({"design_load": 150.0, "lock_off": 0.8, "tendon": ONE_STRAND,
                 "unbonded_length": 6.0, "draw_in": "6 mm"})
    )  # fmt: skip
    remedy = check(anchor, "lock-off-loss").remedy
    needed = float(remedy.split("unbonded length of {length:")[1].split("}")[0])
    assert needed == pytest.approx(9.10, rel=1e-3)


def test_plane_meets_level_ground_at_its_distance() -> None:
    """10 m over tan(45 + 33/2 degrees)."""
    x, z = surface(section()).points[-1]
    assert z == 0.0
    assert x == pytest.approx(10.0 / tan(radians(61.5)), rel=1e-9)
    assert x == pytest.approx(5.430, abs=1e-3)


def test_deep_row_needs_no_length_for_cover() -> None:
    assert under_cover(4.5, 6.0, radians(15), 6.0) == 0.0
    assert under_cover(4.5, 4.4, radians(15), 6.0) == 0.0


@pytest.mark.parametrize(("strands", "least"), [(3, 0.102), (5, 0.115), (8, 0.127), (13, 0.153)])
def test_hole_grows_with_the_number_of_strands(strands: int, least: float) -> None:
    """Holes of class II protection by number of strands (from memory, as in the table)."""
    (anchor,) = anchors(
        section({"design_load": 300.0, "tendon": {"kind": "strand", "strands": strands}})
    )
    assert check(anchor, "hole-diameter").capacity == pytest.approx(least)
