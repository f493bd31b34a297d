"""Lock-off, load with time, mobilised bond and what tests teach: published values and closed forms."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import erf, exp, inf, log, sqrt

from backstay.cite import Provenance, common_practice
from backstay.stressing.bond_priors import BondPrior
from backstay.stressing.bond_tests import BondTest
from backstay.stressing.bond_update import BondBelief, believed
from backstay.stressing.censored import LognormalFit, lognormal_fit
from backstay.stressing.down_rating import down_rated
from backstay.stressing.lift_off import judge_lift_off
from backstay.stressing.lift_off_fit import LiftOffFit, lift_off_fit
from backstay.stressing.load_with_time import (
    LoadAt,
    LoadHistory,
    creep_loss_rate,
    load_history,
    relaxation_rate,
)
from backstay.stressing.lock_off import LiftOff, draw_in_of_loss, plan_lock_off
from backstay.stressing.outliers import robust_scores
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from tests.unit.stressing.invented import anchor
from tests.verification.catalogue import Case

_IN, _FT, _KIP = 0.0254, 0.3048, 4.4482216152605
_PSI = 6.894757293168361
_BS = "BS 8081:1989, load loss table"
_LAKE = "Lake Lynn Dam, pre-production test (published abstract)"
_LOCO = "Nelson, Applied Life Data Analysis (1982), locomotive controls, lognormal"


def _case(
    name: str, title: str, source: str, inputs: str, compute: Callable[[], float], expected: float,
    unit: str, provenance: Provenance = "formula", tolerance: float = 1e-9, why: str = "closed form",
    note: str = "", *, absolute: bool = False,
) -> Case:  # fmt: skip
    return Case(
        f"stressing.{name}", "stressing", title, source, provenance, inputs, compute, expected,
        tolerance, unit, why, note, absolute,
    )  # fmt: skip


# --- lock-off ---------------------------------------------------------------------------------


def _strand(length: float) -> float:
    """Return by how much the jack goes beyond 100 kN of one strand that draws in by 6 mm (kN)."""
    one = anchor(
        area=140e-6, modulus=195e6, strength=260.7, free_length=length, lock_off_load=100.0,
        design_load=100.0,
    )  # fmt: skip
    return plan_lock_off(one, US_RULES, head="wedges", draw_in=0.006).jack_load - 100.0


JACK = tuple(
    _case(
        f"jack-beyond-lock-off-{length:g}", f"Jack beyond the lock-off load, free length {length:g} m",
        "Hooke's law", "one strand of 140 mm2, 195 GPa, draw-in 6 mm",
        lambda x=length: _strand(x), loss, "kN", tolerance=0.05,  # type: ignore[misc]
        why="expected value printed to a tenth", absolute=True,
    )
    for length, loss in ((4.5, 36.4), (10.0, 16.4), (15.0, 10.9), (20.0, 8.2), (30.0, 5.5))
)  # fmt: skip


@cache
def _fit() -> LiftOffFit:
    """Return the lift-off of readings made by hand: 1.2 m stretch up to 350 kN, 7.2 m beyond."""
    held = anchor(jack_length=1.2)
    stiffness = held.area * held.modulus
    readings = [
        (P, (1.2 * P + 6.0 * max(P - 350.0, 0.0)) / stiffness)
        for P in (260.0, 290.0, 320.0, 340.0, 370.0, 400.0, 430.0)
    ]
    return lift_off_fit(readings, held, US_RULES)


def _lift_off(load: float) -> float:
    judged = judge_lift_off(
        LiftOff(anchor="A", load=load), anchor(lock_off_load=100.0), US_RULES, head="wedges"
    )
    return 1.0 if judged.standing == "in tolerance" else 0.0


LIFT_OFF = (
    _case(
        "lift-off-by-readings", "Lift-off load where the slope turns to the tendon's", "Hooke's law",
        "1.2 m of tendon in the jack, 6 m free, three strands, head off at 350 kN",
        lambda: _fit().load, 350.0, "kN",
    ),
    _case(
        "lift-off-length", "Length that stretches once the head is off", "Hooke's law",
        "the same readings: 1.2 + 6 m", lambda: _fit().length, 7.2, "m",
    ),
    _case(
        "lift-off-shims", "Shims that make up for 40 kN", "Hooke's law",
        "three strands of 140 mm2, 195 GPa, 6 m free: 40 x 6 / 81,900",
        lambda: 1e3 * draw_in_of_loss(40.0, 6.0, 420e-6, 195e6), 2.930403, "mm", tolerance=1e-6,
    ),
    *(
        _case(
            f"lift-off-{load:g}", f"Lift-off at {load:g} % of the lock-off load, accepted (1) or not (0)",
            "UFGS 02490, lift-off within five percent of lock-off", "lock-off load 100 kN",
            lambda x=load: _lift_off(x), accepted, "–", "published", 1e-9,  # type: ignore[misc]
            "within five percent or not", absolute=True,
        )
        for load, accepted in ((94.9, 0.0), (95.0, 1.0), (105.0, 1.0), (105.1, 0.0))
    ),
)  # fmt: skip

# --- load with time ---------------------------------------------------------------------------

_TIMES = (5.0, 15.0, 50.0, 150.0, 500.0, 1500.0, 5000.0, 15000.0)


@cache
def _losing() -> LoadHistory:
    """Return an anchor of 100 kN that loses the whole of the table: 1, 2 ... 8 kN."""
    readings = [LoadAt(minute=t, load=99.0 - k) for k, t in enumerate(_TIMES)]
    return load_history(anchor(), 100.0, readings, EN_RULES)


def _limit(minute: float) -> float:
    check = next(c for c in _losing().checks if c.id == f"load.loss-{minute:g}")
    return 100.0 * check.capacity


LOSSES = (
    *(
        _case(
            f"load-loss-{minute:g}", f"Load loss allowed up to {minute:g} minutes", _BS,
            "share of the lock-off load", lambda x=minute: _limit(x), 1.0 + k, "%", "memory", 1e-9,  # type: ignore[misc]
            "a printed value",
        )
        for k, minute in enumerate(_TIMES)
    ),
    _case(
        "load-loss-rate", "Loss per tenfold time of the table, by regression", _BS,
        "1 to 8 % at 5, 15, 50 ... 15000 minutes: two steps for each tenfold",
        lambda: 100.0 * (_losing().rate or 0.0), 2.0, "%", "memory", 0.02,
        "times of the table are rounded: 3 and 10/3 stand for the root of ten",
    ),
    _case(
        "relaxation-per-cycle", "Relaxation of low-relaxation strand per tenfold time",
        "Magura, Sozen and Siess 1964, 45 for low relaxation",
        "0.70 of the strength, yield at 0.90 of it: (0.7/0.9 - 0.55) / 45",
        lambda: 100.0 * relaxation_rate(0.70, 0.90, 45.0), 0.5061728, "%", "memory", 1e-6,
    ),
    _case(
        "creep-takes-load", "Load that creep of 1 mm per tenfold time takes", "Hooke's law",
        "three strands, 6 m free, 360 kN: 81,900 x 0.001 / 6 / 360",
        lambda: 100.0 * creep_loss_rate(420e-6, 195e6, 0.001, 6.0, 360.0), 3.7916667, "%",
        tolerance=1e-7,
    ),
)  # fmt: skip

# --- bond -------------------------------------------------------------------------------------


@cache
def _lake_lynn() -> BondTest:
    return BondTest(
        anchor="pre-production", ground=("rock",), grouting="gravity", hole=7.375 * _IN,
        bond_length=9.7 * _FT, held=831.8 * _KIP,
    )  # fmt: skip


@cache
def _locomotives() -> LognormalFit:
    """Return the fit of 37 failures among 96, the others in order at 135 thousand miles."""
    failed = (
        22.5, 37.5, 46.0, 48.5, 51.5, 53.0, 54.5, 57.5, 66.5, 68.0, 69.5, 76.5, 77.0, 78.5, 80.0, 81.5,
        82.0, 83.0, 84.0, 91.5, 93.5, 102.5, 107.0, 108.5, 112.5, 113.5, 116.0, 117.0, 118.5, 119.0,
        120.0, 122.5, 123.0, 127.5, 131.0, 132.5, 134.0,
    )  # fmt: skip
    return lognormal_fit([(v, v) for v in failed] + [(135.0, inf)] * 59)


@cache
def _updated() -> BondBelief:
    prior = BondPrior(
        mean=log(150.0), spread=0.4, scatter=0.25, scatter_spread=0.0, source="invented",
        cite=common_practice("invented"),
    )  # fmt: skip
    return believed(prior, [(v, v) for v in (170.0, 180.0, 200.0)])


_PRECISION = 1.0 / 0.4**2 + 3.0 / 0.25**2
_MEAN = (log(150.0) / 0.4**2 + (log(170.0) + log(180.0) + log(200.0)) / 0.25**2) / _PRECISION

BOND = (
    _case(
        "learned-lake-lynn-stress", "Average bond stress", _LAKE,
        "18 strands, 9.7 ft of bond in a 7-3/8 in hole, 831.8 kips",
        lambda: _lake_lynn().stress[0] / _PSI, 308.0, "psi", "published", 2e-3,
        "printed to three figures",
    ),
    _case(
        "learned-lake-lynn-transfer", "Load per length of bond", _LAKE, "the same test",
        lambda: _lake_lynn().transfer[0] * _FT / _KIP, 85.8, "kip/ft", "published", 1e-3,
        "printed to three figures",
    ),
    _case(
        "censored-mean", "Mean of the common logarithm, 59 of 96 in order", _LOCO,
        "37 failures from 22.5 to 134, the others beyond 135 (thousand miles)",
        lambda: _locomotives().mean / log(10.0), 2.2223, "log10", "memory", 5e-5,
        "printed to four decimals", absolute=True,
    ),
    _case(
        "censored-deviation", "Deviation of the common logarithm", _LOCO, "the same",
        lambda: _locomotives().deviation / log(10.0), 0.3064, "log10", "memory", 5e-5,
        "printed to four decimals", absolute=True,
    ),
    _case(
        "conjugate-median", "Median bond stress after three failures",
        "normal mean with known variance, conjugate prior",
        "median 150 kPa, deviations of ln 0.4 (site) and 0.25 (anchor); 170, 180 and 200 kPa",
        lambda: _updated().median(), exp(_MEAN), "kPa", tolerance=1e-9,
        why="closed form; on a grid",
    ),
    _case(
        "conjugate-predictive", "Share of anchors expected below 120 kPa", "the same",
        "normal with the variances added",
        lambda: 100.0 * _updated().share_below(120.0),
        100.0 * 0.5 * (1.0 - erf((_MEAN - log(120.0)) / sqrt(2.0 * (1.0 / _PRECISION + 0.25**2)))), "%",
        tolerance=1e-6, why="closed form; on a grid, tails from a table",
    ),
    _case(
        "robust-score", "Robust score of the largest of five",
        "Iglewicz and Hoaglin 1993, 0.6745 (x - median) / MAD",
        "9, 10, 11, 12 and 30: 0.6745 x 19 / 1",
        lambda: robust_scores({"a": 9.0, "b": 10.0, "c": 11.0, "d": 12.0, "e": 30.0})["e"],
        0.6745 * 19.0, "–", "memory", 2e-4, "the constant is printed to four figures",
    ),
    _case(
        "down-rated", "Load of an anchor that fails at the test load, held 540 kN",
        "FHWA-IF-99-015, decision tree: half the highest load that passed", "540 kN held",
        lambda: down_rated(
            540.0, wanted=400.0, design_load=450.0, test_factor=1.33, rules=US_RULES
        ).load, 270.0, "kN", "memory",
    ),
)  # fmt: skip

CASES: tuple[Case, ...] = (*JACK, *LIFT_OFF, *LOSSES, *BOND)
