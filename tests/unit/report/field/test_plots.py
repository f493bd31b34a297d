"""The plots of a load test: no text meets another, and the lines lie where the values are."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import combinations
from xml.etree import ElementTree

import pytest

from backstay.quantity import UnitSystem
from backstay.report.field.creep_plot import creep_figure, limits_drawn, load_loss_figure
from backstay.report.field.load_movement import load_movement_figure
from backstay.report.field.stepped_plot import stepped_figure
from backstay.stressing.judge import Judgement
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules
from tests.unit.report.field.trials import judged, trials
from tests.unit.report.test_figures import meet, text_boxes

Plot = Callable[[TestRecord, Judgement, TestRules, UnitSystem], str]
PLOTS: tuple[Plot, ...] = (load_movement_figure, creep_figure, load_loss_figure, stepped_figure)


@pytest.mark.parametrize("units", list(UnitSystem))
@pytest.mark.parametrize("plot", PLOTS, ids=lambda f: f.__name__)
@pytest.mark.parametrize("name", list(trials()))
def test_texts_are_clear_and_inside(name: str, plot: Plot, units: UnitSystem) -> None:
    record, rules = trials()[name]
    svg = plot(record, judged(name), rules, units)
    root = ElementTree.fromstring(svg)  # noqa: S314 - our own
    width, height = (float(v) for v in root.get("viewBox", "").split()[2:])
    boxes = text_boxes(svg)
    assert len(boxes) > 6
    met = [(a, b) for (a, x), (b, y) in combinations(boxes, 2) if meet(x, y)]
    assert not met
    for words, (left, top, right, bottom) in boxes:
        assert left >= 0.0, words
        assert top >= 0.0, words
        assert right <= width, words
        assert bottom <= height, words


def lines_of(svg: str, dash: str) -> list[list[tuple[float, float]]]:
    found = re.findall(rf'<polyline points="([^"]+)"[^>]*stroke-dasharray="{dash}"', svg)
    return [[tuple(map(float, p.split(","))) for p in line.split()] for line in found]  # type: ignore[misc]


def test_the_limits_of_free_length_are_straight_lines_from_the_alignment_load() -> None:
    """By hand: 45 to 598.5 kN over 6.0 x 0.8 m and 10.0 m, 420 mm2 of 195 GPa."""
    record, rules = trials()["performance"]
    svg = load_movement_figure(record, judged("performance"), rules, UnitSystem.SI)
    least = next(x for x in lines_of(svg, "6 2.5") if abs(x[1][1] - x[0][1]) > 1)
    most = next(x for x in lines_of(svg, "8 2 1.5 2") if abs(x[1][1] - x[0][1]) > 1)
    ratio = (most[0][1] - most[1][1]) / (least[0][1] - least[1][1])
    assert ratio == pytest.approx(10.0 / 4.8, rel=2e-3)
    hand = (598.5 - 45.0) * 4.8 / (420e-6 * 195e6) * 1000
    assert f"{hand:.2f} mm at the test load" in svg


def test_a_passed_first_limit_shows_both_limits() -> None:
    record, rules = trials()["failed"]
    limits, rate = limits_drawn(record, judged("failed"), rules)
    assert [(x.start, x.end) for x in limits] == [(1.0, 10.0), (6.0, 60.0)]
    assert rate is None
    svg = creep_figure(record, judged("failed"), rules, UnitSystem.US)
    assert "0.040 in from 1 to 10 min; 0.080 in from 6 to 60 min" in svg


def test_a_failed_hold_lies_above_its_limit_and_a_passed_one_below() -> None:
    for name, above in (("failed", True), ("performance", False)):
        record, rules = trials()[name]
        svg = creep_figure(record, judged(name), rules, UnitSystem.SI)
        limit = lines_of(svg, "1.5 1.5")[-2]  # the last one is its sample in the legend
        fit = next(x for x in lines_of(svg, "5 2"))
        assert (fit[-1][1] < limit[-1][1]) is above


def test_the_limit_of_a_rate_is_drawn_where_the_rate_is_judged() -> None:
    for name in ("extended creep", "EN method 1", "EN method 3"):
        record, rules = trials()[name]
        svg = creep_figure(record, judged(name), rules, UnitSystem.SI)
        assert "per tenfold time" in svg
        assert limits_drawn(record, judged(name), rules)[1] is not None


def test_before_any_hold_the_plot_says_so() -> None:
    record, rules = trials()["incomplete"]
    assert "no hold has been read yet" in creep_figure(
        record, judged("incomplete"), rules, UnitSystem.SI
    )
    record, rules = trials()["performance"]
    assert "no hold has been read yet" not in creep_figure(
        record, judged("performance"), rules, UnitSystem.SI
    )


def test_the_critical_creep_load_is_marked() -> None:
    record, rules = trials()["EN method 3"]
    found = judged("EN method 3").evaluation.critical
    assert found is not None
    assert found.load is not None
    svg = stepped_figure(record, judged("EN method 3"), rules, UnitSystem.SI)
    assert f"critical {found.load:.1f} kN" in svg
    record, rules = trials()["EN method 3, straight"]
    assert "critical" not in stepped_figure(
        record, judged("EN method 3, straight"), rules, UnitSystem.SI
    )
