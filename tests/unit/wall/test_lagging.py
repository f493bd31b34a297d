"""Lagging: class of ground, table, bending."""

from __future__ import annotations

from math import inf
from types import SimpleNamespace

import pytest

from backstay.checks import Verdict
from backstay.ground import profile
from backstay.model.project import Section, Service
from backstay.pressure.diagram import Diagram
from backstay.wall.lagging import LaggingDesign, _worst, board_pressure, lagging_for
from tests.unit.pressure.grounds import clay, sand
from tests.unit.wall.test_toe import RULES, section

INCH, FT = 0.0254, 0.3048
TEMPORARY = Service(life="temporary", months=18)


def piles(*strata: dict[str, object], water: object = None, **lagging: object) -> Section:
    return section(
        *strata, water=water or {},
        wall={
            "kind": "soldier piles", "section": "auto", "spacing": 2.4, "lagging": lagging,
        },
    )  # fmt: skip


def lagging(
    s: Section, pressure: float = 20.0, span: float = 7 * FT, service: Service = TEMPORARY
) -> LaggingDesign:
    return lagging_for(s, profile(s), pressure, service, RULES, clear_span=span)


def test_the_table_governs_under_low_pressure_and_bending_under_high() -> None:
    low, high = lagging(piles(sand()), 10.0), lagging(piles(sand()), 60.0)
    assert (low.governing, high.governing) == ("table", "bending")
    assert low.thickness == pytest.approx(3 * INCH)
    assert high.thickness is not None
    assert high.thickness >= high.required_bending
    assert high.thickness / INCH == pytest.approx(round(high.thickness / INCH))
    assert all(c.verdict is Verdict.PASS for c in (*low.checks, *high.checks))


def test_bending_by_hand() -> None:
    """40 kPa, half arches away: 20 kPa on 2 m, M 10 kNm/m; mixed oak 800 psi, 5516 kPa."""
    d = lagging(piles(sand()), 40.0, 2.0)
    assert d.pressure == pytest.approx(20.0)
    assert d.required_bending == pytest.approx((6 * 10.0 / (800 * 6.894757)) ** 0.5, rel=1e-6)


@pytest.mark.parametrize(
    ("stratum", "water", "expected"),
    [
        (sand(density="dense"), None, "competent"),
        (sand(density="loose"), None, "difficult"),
        (sand(spt_n=6), None, "difficult"),
        (sand(density="dense"), {"retained": -3.0}, "difficult"),
        (sand(density="loose"), {"retained": -3.0}, "potentially dangerous"),
        (clay(su=20.0), None, "potentially dangerous"),
        (clay(su=45.0), None, "competent"),
        (clay(su=100.0, kind="stiff clay"), None, "competent"),
        (
            clay(su=100.0, kind="stiff clay", description="Stiff fissured CLAY"), None,
            "difficult",
        ),
    ],
)  # fmt: skip
def test_class_of_ground(stratum: dict[str, object], water: object, expected: str) -> None:
    assert lagging(piles(stratum, water=water)).ground_class == expected


def test_a_given_class_is_taken() -> None:
    d = lagging(piles(sand(density="dense"), ground_class="difficult"))
    assert d.ground_class == "difficult"


def test_a_given_thickness_is_checked_against_both() -> None:
    d = lagging(piles(sand(), thickness=60.0), 60.0)
    by_id = {c.id: c for c in d.checks}
    assert by_id["wall.lagging-table"].verdict is Verdict.FAIL
    assert by_id["wall.lagging-bending"].verdict is Verdict.FAIL
    assert "needs boards" in by_id["wall.lagging-bending"].remedy
    assert d.thickness == pytest.approx(0.060)


def test_no_timber_where_the_table_gives_none() -> None:
    d = lagging(piles(clay(su=15.0)), 20.0, 9 * FT)
    assert d.required_table == inf
    check = next(c for c in d.checks if c.id == "wall.lagging-table")
    assert check.verdict is Verdict.FAIL
    assert "recommends no timber" in check.remedy


def test_other_facing_is_named_and_not_designed() -> None:
    d = lagging(piles(sand(), material="shotcrete", thickness=150.0))
    assert d.governing == "not designed here"
    assert d.checks == ()
    assert "not designed here" in d.notes[0]
    assert d.weight == pytest.approx(24.0 * 0.15)


def test_duration_of_load() -> None:
    short = lagging(piles(sand()), 60.0, service=Service(life="temporary", months=1))
    long = lagging(piles(sand()), 60.0, service=Service(life="permanent"))
    assert short.allowable / long.allowable == pytest.approx(1.15 / 0.9)
    assert long.notes


def test_a_given_allowable_stress_is_used() -> None:
    d = lagging(piles(sand(), allowable_bending=7.0))
    assert d.allowable == pytest.approx(7000.0)


def test_deeper_ground_takes_the_deeper_band() -> None:
    d = lagging(piles(sand(density="dense")), 10.0, 8 * FT)
    assert d.required_table == pytest.approx(4 * INCH)


def test_water_does_not_arch_onto_the_piles() -> None:
    assert board_pressure(0.5, 40.0, 0.0) == 20.0
    assert board_pressure(0.5, 40.0, 30.0) == 50.0


def test_boards_are_designed_where_half_the_ground_and_all_the_water_are_most() -> None:
    """Ground 20 kPa throughout; water rises from nil at 2 m to 30 kPa at 5 m: the foot governs."""
    water = Diagram("Water", (2.0, 5.0), (0.0, 30.0))
    design = Diagram("Design", (0.0, 2.0, 5.0), (20.0, 20.0, 50.0))
    wet = SimpleNamespace(design=design, water=water)
    assert _worst(wet) == (pytest.approx(20.0), pytest.approx(30.0))  # type: ignore[arg-type]
    dry = SimpleNamespace(design=design, water=None)
    assert _worst(dry) == (50.0, 0.0)  # type: ignore[arg-type]
    # more ground than water above, more water than ground below: 0.5 x 60 against 0.5 x 5 + 30
    top = Diagram("Design", (0.0, 2.0, 2.0, 5.0), (60.0, 60.0, 5.0, 35.0))
    mixed = SimpleNamespace(design=top, water=water)
    assert _worst(mixed) == (pytest.approx(5.0), pytest.approx(30.0))  # type: ignore[arg-type]
