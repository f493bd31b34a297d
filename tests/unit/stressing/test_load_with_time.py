"""Load with time: published losses on both sides, parameters back from invented loads, honest intervals."""

from __future__ import annotations

from dataclasses import replace
from math import log10
from random import Random

import pytest
from scipy import stats

from backstay.basis import Factor
from backstay.checks import Check, Verdict
from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.stressing.load_with_time import (
    MINUTES_OF_MONTH,
    LoadAt,
    LoadHistory,
    creep_loss_rate,
    load_history,
    relaxation_rate,
)
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from tests.unit.stressing.invented import anchor

HELD = anchor()
TIMES = (5.0, 15.0, 50.0, 150.0, 500.0, 1500.0, 5000.0, 15000.0)
DAYS = tuple(1440.0 * d for d in (1, 2, 4, 8, 16, 30, 60, 90))


def loads(
    rate: float, times: tuple[float, ...] = DAYS, *, scatter: float = 0.0, seed: int = 1
) -> list[LoadAt]:
    """Return loads that lose a share of 360 kN for every tenfold of a minute."""
    random = Random(seed)  # noqa: S311 - a reproducible sample
    return [
        LoadAt(minute=t, load=360.0 * (1.0 - rate * log10(t)) + random.gauss(0.0, scatter))
        for t in times
    ]


def history(readings: list[LoadAt], **changes: object) -> LoadHistory:
    return load_history(HELD, 360.0, readings, US_RULES, **changes)  # type: ignore[arg-type]


def one(found: LoadHistory, name: str) -> Check:
    return next(c for c in found.checks if c.id == name)


def test_relaxation_by_hand() -> None:
    """0.70 of the strength, yield at 0.90 of it: (0.7778 - 0.55) / 45 = 0.506 % per log cycle."""
    assert relaxation_rate(0.70, 0.90, 45.0) == pytest.approx(0.00506173, rel=1e-5)
    assert 3 * relaxation_rate(0.70, 0.90, 45.0) < 0.025  # 1000 h is three log cycles of an hour
    assert relaxation_rate(0.40, 0.90, 45.0) == 0.0


def test_creep_of_the_bond_takes_the_load_of_its_stretch() -> None:
    """1 mm of 6 m at 81,900 kN is 13.65 kN of 360 kN."""
    assert creep_loss_rate(420e-6, 195e6, 0.001, 6.0, 360.0) == pytest.approx(13.65 / 360.0)


def test_the_rate_comes_back() -> None:
    found = history(loads(0.012))
    assert found.rate == pytest.approx(0.012)
    assert found.rate_least == pytest.approx(0.012, abs=1e-9)
    noisy = history(loads(0.012, scatter=0.8, seed=3))
    assert noisy.rate_least is not None
    assert noisy.rate_greatest is not None
    assert noisy.rate_least < 0.012 < noisy.rate_greatest


def test_rate_and_interval_agree_with_a_reference_regression() -> None:
    readings = loads(0.012, scatter=0.8, seed=5)
    line = stats.linregress([log10(p.minute) for p in readings], [p.load for p in readings])
    half = stats.t.ppf(0.975, len(readings) - 2) * line.stderr
    found = history(readings)
    assert found.rate == pytest.approx(-line.slope / 360.0)
    assert found.rate_least == pytest.approx((-line.slope - half) / 360.0, rel=1e-6)
    assert found.rate_greatest == pytest.approx((-line.slope + half) / 360.0, rel=1e-6)


@pytest.mark.parametrize("step", range(8))
def test_published_load_losses_on_both_sides(step: int) -> None:
    """BS 8081:1989: 1 to 8 % at 5, 15, 50 ... 15000 minutes (memory)."""
    for extra, verdict in ((0.0, Verdict.PASS), (1e-4, Verdict.FAIL)):
        lost = [0.01 * (k + 1) + (extra if k == step else 0.0) for k in range(8)]
        readings = [
            LoadAt(minute=t, load=360.0 * (1.0 - x)) for t, x in zip(TIMES, lost, strict=True)
        ]
        found = load_history(HELD, 360.0, readings, EN_RULES)
        check = one(found, f"load.loss-{TIMES[step]:g}")
        assert check.verdict is verdict
        assert check.clause.document == "BS 8081:1989"


def test_a_time_that_was_not_read_lies_on_the_line_between_and_none_beyond() -> None:
    readings = [LoadAt(minute=3.0, load=358.0), LoadAt(minute=30.0, load=354.0)]
    found = load_history(HELD, 360.0, readings, EN_RULES)
    limited = [c.id for c in found.checks if c.id.startswith("load.loss-") and c.id[-1].isdigit()]
    assert limited == ["load.loss-5", "load.loss-15"]
    assert one(found, "load.loss-15").demand == pytest.approx(
        1.0 - (358.0 - 4.0 * log10(5.0)) / 360.0
    )
    assert not any(c.id.startswith("load.loss-5") for c in history(readings).checks)


def test_a_national_rate_of_loss_is_judged_where_it_is_given() -> None:
    rules = replace(EN_RULES, load_loss_rate=Factor(0.012, Citation("NA", "NA.4", "given")))
    for rate, verdict in ((0.01199, Verdict.PASS), (0.01201, Verdict.FAIL)):
        found = load_history(HELD, 360.0, loads(rate), rules)
        assert one(found, "load.loss-rate").verdict is verdict
    assert not any(c.id == "load.loss-rate" for c in history(loads(0.012)).checks)


def test_more_than_steel_and_bond_explain_is_said() -> None:
    quiet = history(loads(0.004, scatter=0.2), creep_rate=0.0004)
    assert quiet.creep == pytest.approx(81_900 * 0.0004 / (6.0 * 360.0))
    assert quiet.expected == pytest.approx(quiet.relaxation + (quiet.creep or 0.0))
    assert one(quiet, "load.loss-expected").verdict is Verdict.PASS
    moving = history(loads(0.04, scatter=0.2), creep_rate=0.0004)
    check = one(moving, "load.loss-expected")
    assert check.verdict is Verdict.FAIL
    assert "look at head, plate and wall" in check.remedy
    assert history(loads(0.004)).creep is None


def test_the_forecast_draws_the_line_on_and_says_how_far() -> None:
    found = history(loads(0.01, scatter=0.5), service_months=24.0).forecast
    assert found is not None
    assert found.minute == 24.0 * MINUTES_OF_MONTH
    assert found.decades == pytest.approx(log10(24.0 * MINUTES_OF_MONTH / DAYS[-1]))
    assert found.least is not None
    assert found.greatest is not None
    assert found.least < found.load < found.greatest


def test_the_interval_of_the_forecast_covers_the_load_about_as_often_as_it_says() -> None:
    inside = 0
    for seed in range(300):
        found = history(loads(0.01, scatter=1.0, seed=seed), service_months=24.0).forecast
        assert found is not None
        assert found.least is not None
        assert found.greatest is not None
        random = Random(10_000 + seed)  # noqa: S311 - a reproducible sample
        later = 360.0 * (1.0 - 0.01 * log10(24.0 * MINUTES_OF_MONTH)) + random.gauss(0.0, 1.0)
        inside += found.least <= later <= found.greatest
    assert 270 <= inside <= 300  # 95 % of 300 is 285, four standard deviations are 15


def test_two_readings_give_a_line_and_no_interval() -> None:
    found = history(loads(0.01, DAYS[:2]), service_months=24.0)
    assert found.rate == pytest.approx(0.01)
    assert (found.rate_least, found.rate_greatest) == (None, None)
    assert found.forecast is not None
    assert found.forecast.least is None
    ids = {c.id for c in found.checks}
    assert not ids & {"load.loss-expected", "load.service-least", "load.service-greatest"}


def test_one_reading_is_held_against_the_load_now() -> None:
    found = history([LoadAt(minute=1440.0, load=350.0, by="lift-off")], service_months=24.0)
    assert (found.rate, found.forecast) == (None, None)
    assert {c.id for c in found.checks} == {"load.least", "load.greatest", "load.design"}
    assert history([]).checks == ()


@pytest.mark.parametrize(
    ("name", "at", "beyond"),
    [("load.least", 324.0, 323.9), ("load.greatest", 396.0, 396.1),
     ("load.design", 1.05 * 450.0, 1.05 * 450.0 + 0.1)],
)  # fmt: skip
def test_load_now_on_both_sides(name: str, at: float, beyond: float) -> None:
    for load, verdict in ((at, Verdict.PASS), (beyond, Verdict.FAIL)):
        found = history([LoadAt(minute=1440.0, load=load)])
        assert one(found, name).verdict is verdict


def test_a_growing_load_is_seen_coming() -> None:
    found = history(loads(-0.06), service_months=60.0)
    assert one(found, "load.service-greatest").verdict is Verdict.FAIL
    assert one(found, "load.loss-expected").verdict is Verdict.PASS


def test_readings_without_time_or_load_are_refused() -> None:
    with pytest.raises(DesignError, match="more than nil"):
        history([LoadAt(minute=0.0, load=350.0)])
    with pytest.raises(DesignError, match="not known"):
        load_history(HELD, 0.0, [], US_RULES)


def test_the_line_between_runs_from_the_nearest_readings() -> None:
    """Several earlier and later readings: the one before 15 minutes is at 10, the one after at 20."""
    readings = [
        LoadAt(minute=m, load=p)
        for m, p in ((1.0, 360.0), (4.0, 350.0), (10.0, 357.0), (20.0, 355.0), (40.0, 300.0))
    ]
    found = load_history(HELD, 360.0, readings, EN_RULES)
    between = 357.0 - 2.0 * log10(15.0 / 10.0) / log10(20.0 / 10.0)
    assert one(found, "load.loss-15").demand == pytest.approx(1.0 - between / 360.0)
