"""Jack and gauge: the calibration line and what it may be used for."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from backstay.errors import DesignError
from backstay.stressing.jack import Calibration, CalibrationPoint, efficiency
from backstay.stressing.jack_in_use import reasons_against, require, steepness
from backstay.stressing.rules_us import US_RULES
from tests.unit.stressing.invented import DAY, jack, line

SCATTERED = (
    CalibrationPoint(10e3, 117.0), CalibrationPoint(20e3, 240.0), CalibrationPoint(35e3, 410.0),
    CalibrationPoint(50e3, 601.0), CalibrationPoint(70e3, 826.0),
)  # fmt: skip


def test_the_line_is_that_of_an_independent_fit() -> None:
    paper = jack(points=SCATTERED).calibration
    slope, start = np.polyfit([p.pressure for p in SCATTERED], [p.load for p in SCATTERED], 1)
    assert paper.line == pytest.approx((start, slope), rel=1e-12)
    off = [p.load - (start + slope * p.pressure) for p in SCATTERED]
    assert paper.scatter == pytest.approx(np.sqrt(np.mean(np.square(off))) / 826.0)


def test_load_and_pressure_are_inverse() -> None:
    paper = jack(points=SCATTERED).calibration
    for load in (45.0, 300.0, 598.5):
        assert paper.load(paper.pressure(load)) == pytest.approx(load, rel=1e-12)


def test_friction_makes_the_jack_give_less_than_its_ram_area() -> None:
    device = jack()
    assert efficiency(device.calibration.line[1], device.ram_area) == pytest.approx(0.0118 / 0.0121)


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ((CalibrationPoint(1e4, 100.0),), "two points"),
        ((CalibrationPoint(1e4, 100.0), CalibrationPoint(1e4, 120.0)), "two points"),
        ((CalibrationPoint(1e4, 100.0), CalibrationPoint(2e4, 90.0)), "grow"),
        ((CalibrationPoint(-1e4, 100.0), CalibrationPoint(2e4, 190.0)), "not negative"),
    ],
)
def test_a_certificate_without_a_line_is_refused(
    points: tuple[CalibrationPoint, ...], words: str
) -> None:
    with pytest.raises(DesignError, match=words):
        jack(points=points)


def test_a_certificate_does_not_expire_before_it_is_issued() -> None:
    with pytest.raises(DesignError, match="before it was issued"):
        Calibration(
            certificate="C", on=date(2026, 2, 1), expires=date(2026, 1, 1), points=line()
        )  # fmt: skip


@pytest.mark.parametrize(
    ("on", "months", "last"),
    [
        (date(2026, 1, 5), 6, date(2026, 7, 5)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2023, 8, 31), 6, date(2024, 2, 29)),
        (date(2026, 7, 15), 12, date(2027, 7, 15)),
        (date(2026, 1, 5), 240, date(2030, 1, 5)),
    ],
)
def test_last_day_of_a_certificate(on: date, months: int, last: date) -> None:
    assert jack(on=on, expires=date(2030, 1, 5)).calibration.good_to(months) == last


def test_a_sound_jack_makes_the_loads() -> None:
    assert reasons_against(jack(), [45.0, 598.5], US_RULES, DAY) == ()
    require(jack(), [45.0, 598.5], US_RULES, DAY)


@pytest.mark.parametrize(
    ("changes", "on", "words"),
    [
        ({}, date(2026, 1, 4), "issued on 2026-01-05, after"),
        ({}, date(2026, 7, 6), "good to 2026-07-05"),
        ({"expires": date(2026, 3, 1)}, DAY, "good to 2026-03-01"),
        ({"capacity": 598.0}, DAY, "more than jack J-2 can give"),
        ({"points": line(most=50e3)}, DAY, "beyond the last point"),
        ({"points": line(start=46.0)}, DAY, "at no pressure"),
        ({"points": (*line(), CalibrationPoint(75e3, 780.0))}, DAY, "off their line"),
    ],
)
def test_each_reason_against_a_jack_is_named(
    changes: dict[str, object], on: date, words: str
) -> None:
    reasons = reasons_against(jack(**changes), [45.0, 598.5], US_RULES, on)
    assert len(reasons) == 1
    assert words in reasons[0]


def test_the_limits_themselves_are_still_allowed() -> None:
    most = jack().calibration.load(70e3)
    assert reasons_against(jack(capacity=most), [45.0, most], US_RULES, date(2026, 7, 5)) == ()
    assert reasons_against(jack(), [45.0, most * 1.001], US_RULES, DAY) != ()


def test_every_reason_is_told_at_once() -> None:
    with pytest.raises(DesignError) as caught:
        require(jack(capacity=100.0), [45.0, 598.5], US_RULES, date(2026, 12, 1), "anchor A-1-001")
    assert "good to" in caught.value.reason
    assert "can give" in caught.value.reason
    assert caught.value.where == "anchor A-1-001"


def test_a_division_of_the_gauge_is_a_load() -> None:
    assert steepness(jack(), US_RULES) == pytest.approx(0.0118 * 689.4757, rel=1e-6)


def test_age_of_a_certificate_and_the_end_of_the_calendar() -> None:
    paper = jack(on=date(2026, 2, 10), expires=date(2027, 2, 10)).calibration
    assert [paper.age(date(2026, 2, 10)), paper.age(date(2026, 3, 12))] == [0, 30]
    assert paper.age(date(2026, 1, 1)) == 0
    late = jack(on=date(9999, 12, 20), expires=date(9999, 12, 31)).calibration
    assert late.good_to(6.0) == date(9999, 12, 31)


def test_the_range_of_a_certificate_is_that_of_its_points_in_any_order() -> None:
    points = line()
    turned = jack(points=(*points[3:], *points[:3])).calibration
    assert turned.least_pressure == 10e3
    assert turned.greatest_pressure == 70e3
    assert turned.line == pytest.approx(jack().calibration.line)
