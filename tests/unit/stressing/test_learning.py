"""What tests teach: bounds by hand, censored likelihood and Bayes' rule against references and draws."""

from __future__ import annotations

from math import exp, inf, log, pi, sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, optimize, special, stats

from backstay.anchors.bond import BondPart
from backstay.basis import Factor
from backstay.checks import Verdict, expand
from backstay.cite import Citation, common_practice
from backstay.data import bond_stress_of
from backstay.errors import DesignError
from backstay.quantity import UnitSystem
from backstay.stressing.bond_effect import ACCEPTED, effect_on, length_for_share, share_failing
from backstay.stressing.bond_priors import (
    BondPrior,
    prior_of_part,
    prior_of_range,
    prior_of_value,
    priors_of,
)
from backstay.stressing.bond_tests import BondTest, bond_test
from backstay.stressing.bond_update import BondBelief, believed, log_survival
from backstay.stressing.censored import log_above, log_within, lognormal_fit
from backstay.stressing.judge import judge
from backstay.stressing.learning import lessons
from backstay.stressing.outliers import outliers, outliers_of_tests, robust_scores
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from tests.unit.anchors.example import BASIS, anchors, section
from tests.unit.stressing.invented import anchor
from tests.unit.stressing.synthetic import Model, record_of

CITE = common_practice("invented")


def known(mean: float = log(150.0), spread: float = 0.4, scatter: float = 0.25) -> BondPrior:
    """Return a prior whose scatter is known: Bayes' rule then has a closed form."""
    return BondPrior(
        mean=mean, spread=spread, scatter=scatter, scatter_spread=0.0, source="", cite=CITE
    )


def bond(held: float, failed: float | None = None, **changes: Any) -> BondTest:
    whole: dict[str, Any] = {
        "anchor": "A-1-001", "ground": ("granular",), "grouting": "gravity", "hole": 0.15,
        "bond_length": 8.0,
    }  # fmt: skip
    return BondTest(held=held, failed=failed, **(whole | changes))


# --- bounds ---------------------------------------------------------------------------------


def test_what_one_test_shows_by_hand() -> None:
    """598.5 kN on 8 m of a 150 mm hole: 74.8 kN/m and 158.8 kPa."""
    found = bond(598.5)
    assert found.transfer == (pytest.approx(74.8125), inf)
    assert found.stress == (pytest.approx(598.5 / (pi * 0.15 * 8.0)), inf)
    failed = bond(450.0, 540.0)
    assert failed.transfer == pytest.approx((56.25, 67.5))


def proof(model: Model, *, extended: bool = False) -> tuple[Any, Any]:
    procedure = procedure_of("performance", model.anchor, 1.33, US_RULES)
    record = record_of(model, procedure, extended=extended)
    return record, judge(record, US_RULES)


def test_an_accepted_anchor_is_a_lower_bound_at_the_test_load() -> None:
    record, judgement = proof(Model())
    assert judgement.decision == "accepted"
    found = bond_test(record, judgement)
    assert found is not None
    assert found.held == pytest.approx(598.5, rel=1e-6)
    assert found.failed is None


def test_an_anchor_that_crept_held_the_step_before_and_failed_at_the_test_load() -> None:
    record, judgement = proof(Model(creep=0.004), extended=True)
    assert judgement.decision == "not accepted"
    found = bond_test(record, judgement)
    assert found is not None
    assert found.failed == pytest.approx(598.5, rel=1e-3)
    assert found.held == pytest.approx(1.2 * 450.0, rel=1e-3)


def test_load_lost_ahead_of_the_bond_is_not_a_failure_of_the_bond() -> None:
    record, judgement = proof(Model(friction=250.0))
    assert judgement.decision == "not accepted"
    assert [c.id for c in judgement.checks if c.verdict is Verdict.FAIL] == [
        "test.free-length-least"
    ]
    found = bond_test(record, judgement)
    assert found is not None
    assert found.failed is None


# --- distribution -----------------------------------------------------------------------------


def draws(count: int, median: float, scatter: float, seed: int, held: float) -> list[Any]:
    """Return tests to a load that mobilises `held`: failures lie between the steps before it."""
    strengths = np.exp(np.random.default_rng(seed).normal(log(median), scatter, count))
    steps = [0.25, 0.5, 0.75, 1.0]
    found = []
    for x in strengths:
        if x >= held:
            found.append((held, inf))
        else:
            found.append(
                (
                    max((s * held for s in steps if s * held < x), default=0.0),
                    min(s * held for s in steps if s * held >= x),
                )
            )
    return found


def nll(point: Any, tests: list[tuple[float, float]]) -> float:
    m, s = point[0], exp(point[1])
    low = np.array([log(a) if a > 0 else -np.inf for a, _ in tests])
    high = np.array([log(b) for _, b in tests])
    return -float(np.sum(np.log(stats.norm.cdf((high - m) / s) - stats.norm.cdf((low - m) / s))))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_censored_likelihood_against_a_general_optimiser(seed: int) -> None:
    tests = draws(120, 160.0, 0.3, seed, 150.0)
    found = lognormal_fit(tests)
    wanted = optimize.minimize(
        nll, [log(150.0), log(0.3)], args=(tests,), method="Nelder-Mead",
        options={"xatol": 1e-9, "fatol": 1e-11, "maxiter": 5000},
    )  # fmt: skip
    assert found.mean == pytest.approx(wanted.x[0], abs=1e-6)
    assert found.deviation == pytest.approx(exp(wanted.x[1]), abs=1e-6)
    assert found.likelihood == pytest.approx(-wanted.fun, abs=1e-8)
    assert found.change < 1e-10


def test_exact_failures_give_mean_and_deviation_of_the_logarithms() -> None:
    values = [120.0, 150.0, 180.0, 240.0]
    found = lognormal_fit([(v, v) for v in values])
    logs = np.log(values)
    assert found.mean == pytest.approx(logs.mean())
    assert found.deviation == pytest.approx(logs.std())
    assert found.mean_error == pytest.approx(logs.std() / 2.0, rel=1e-4)
    assert found.deviation_error == pytest.approx(logs.std() / sqrt(8.0), rel=1e-4)
    assert found.variation == pytest.approx(sqrt(exp(logs.std() ** 2) - 1.0))


def test_parameters_come_back_from_draws_within_their_errors() -> None:
    off = []
    for seed in range(60):
        found = lognormal_fit(draws(150, 170.0, 0.25, seed, 160.0))
        off.append((found.mean - log(170.0)) / found.mean_error)
    assert abs(float(np.mean(off))) < 0.5
    assert 0.7 < float(np.std(off)) < 1.35


@pytest.mark.parametrize(
    ("tests", "why"),
    [
        ([(150.0, inf)] * 20, "none of 20 tests failed"),
        ([(150.0, inf), (120.0, 180.0)], "one strength explains"),
        ([(200.0, inf), (0.0, 150.0)], "no bound|no sharp"),
    ],
)
def test_tests_that_tell_no_distribution_are_refused(tests: list[Any], why: str) -> None:
    with pytest.raises(DesignError, match=why):
        lognormal_fit(tests)


@given(st.floats(-30, 30), st.floats(0.001, 20))
def test_probabilities_far_out_against_a_reference(low: float, width: float) -> None:
    assert log_above(low) == pytest.approx(float(stats.norm.logsf(low)), rel=1e-9)
    high = low + width
    right = special.logsumexp([stats.norm.logsf(low), stats.norm.logsf(high)], b=[1.0, -1.0])
    left = special.logsumexp([stats.norm.logcdf(high), stats.norm.logcdf(low)], b=[1.0, -1.0])
    wanted = right if low > 0 else left
    if wanted > -1e3:
        assert log_within(low, low + width) == pytest.approx(float(wanted), rel=1e-6, abs=1e-9)


def test_the_table_of_tails_is_as_good_as_it_says() -> None:
    z = np.random.default_rng(1).uniform(-45.0, 60.0, 4000)
    assert np.allclose(log_survival(z), stats.norm.logsf(z), rtol=2e-6, atol=1e-6)


# --- Bayes' rule ------------------------------------------------------------------------------


def test_exact_failures_update_as_the_conjugate_closed_form() -> None:
    """Normal mean with known variance: 1/v = 1/0.4^2 + 3/0.25^2, m = v (m0/0.4^2 + sum/0.25^2)."""
    values = [180.0, 200.0, 170.0]
    found = believed(known(), [(v, v) for v in values])
    v = 1.0 / (1.0 / 0.16 + 3.0 / 0.0625)
    m = v * (log(150.0) / 0.16 + sum(map(log, values)) / 0.0625)
    assert found.median() == pytest.approx(exp(m), rel=1e-9)
    assert found.median(0.05) == pytest.approx(exp(m - 1.6448536 * sqrt(v)), rel=2e-4)
    assert found.share_below(120.0) == pytest.approx(
        stats.norm.cdf((log(120.0) - m) / sqrt(v + 0.0625)), rel=1e-6
    )
    assert found.fractile(0.05) == pytest.approx(exp(m - 1.6448536 * sqrt(v + 0.0625)), rel=1e-6)
    assert found.edge < 1e-6


def test_lower_bounds_update_as_numerical_integration() -> None:
    tests = [(160.0, inf)] * 6 + [(120.0, 150.0)]
    found = believed(known(), tests)

    def weight(m: float) -> float:
        z = (np.log([160.0, 120.0, 150.0]) - m) / 0.25
        return float(
            stats.norm.pdf(m, log(150.0), 0.4) * stats.norm.sf(z[0]) ** 6
            * (stats.norm.cdf(z[2]) - stats.norm.cdf(z[1]))
        )  # fmt: skip

    whole = integrate.quad(weight, 3.0, 8.0, points=[5.1], limit=200)[0]
    mean = integrate.quad(lambda m: m * weight(m), 3.0, 8.0, points=[5.1], limit=200)[0] / whole
    got = float((found.weights * found.means).sum())
    assert got == pytest.approx(mean, abs=1e-5)


def test_an_unknown_scatter_is_learned_too() -> None:
    prior = prior_of_range(80.0, 380.0, "invented", CITE)
    rng = np.random.default_rng(4)
    even = believed(prior, [(v, v) for v in np.exp(rng.normal(log(200.0), 0.05, 30))])
    uneven = believed(prior, [(v, v) for v in np.exp(rng.normal(log(200.0), 0.6, 30))])
    assert even.scatter < believed(prior).scatter < uneven.scatter
    assert max(even.edge, uneven.edge, believed(prior).edge) < 1e-5


def test_the_prior_says_what_it_was_told() -> None:
    belief = believed(prior_of_range(80.0, 380.0, "invented", CITE))
    assert belief.median() == pytest.approx(sqrt(80.0 * 380.0), rel=1e-6)
    assert belief.median(0.05) == pytest.approx(80.0, rel=1e-3)
    assert belief.median(0.95) == pytest.approx(380.0, rel=1e-3)
    assert belief.scatter == pytest.approx(0.25, rel=0.1)
    tabled = believed(prior_of_value(100.0, "invented", CITE, tabled=True))
    assert tabled.median(0.20) == pytest.approx(100.0, rel=1e-3)
    stated = believed(prior_of_value(100.0, "invented", CITE, tabled=False))
    assert stated.median() == pytest.approx(100.0, rel=1e-6)


@given(number=st.integers(1, 60), held=st.floats(60.0, 220.0))
def test_lower_bounds_never_lower_the_bond(number: int, held: float) -> None:
    before, after = believed(known()), believed(known(), [(held, inf)] * number)
    assert after.median() >= before.median() * (1 - 1e-9)
    assert after.share_below(held) <= before.share_below(held) * (1 + 1e-6)


def test_failures_lower_the_bond_and_order_does_not_matter() -> None:
    tests = [(160.0, inf), (90.0, 110.0), (100.0, 120.0), (160.0, inf)]
    after = believed(known(), tests)
    assert after.median() < believed(known()).median()
    assert believed(known(), tests[::-1]).median() == pytest.approx(after.median(), rel=1e-9)
    assert (after.tests, after.failures) == (4, 2)


def test_beliefs_are_right_as_often_as_they_say() -> None:
    """Means drawn from the prior lie within the nine-in-ten interval of the posterior nine in ten times."""
    rng = np.random.default_rng(9)
    inside = 0
    for _ in range(200):
        mean = rng.normal(log(150.0), 0.4)
        strengths = np.exp(rng.normal(mean, 0.25, 8))
        tests = [(140.0, inf) if x >= 140.0 else (x, x) for x in strengths]
        belief = believed(known(), tests)
        inside += belief.median(0.05) <= exp(mean) <= belief.median(0.95)
    assert 163 <= inside <= 197  # 180, four standard deviations are 17


def test_share_with_belief_lies_above_the_expected_share() -> None:
    belief = believed(known(), [(150.0, inf)] * 5)
    assert belief.share_below_at_most(120.0, 0.9) > belief.share_below(120.0)
    assert belief.share_below_at_most(120.0, 0.999999) <= 1.0


def test_priors_are_those_of_the_tables_and_say_so() -> None:
    row = bond_stress_of("fine to medium sand")
    cite = Citation(row.source, row.name, row.provenance)
    part = BondPart("Sand", "granular", 8.0, pi * 0.15 * row.low, 2.0, "", cite)
    found = prior_of_part(part, 0.15)
    assert found.median == pytest.approx(sqrt(row.low * row.high))
    assert found.cite is cite
    assert "common practice" not in found.source
    assert "nine sites in ten" in found.source
    made = anchors(section())
    ((key, prior),) = priors_of(made).items()
    assert key == (("granular",), "gravity")
    assert prior.median > 145.0 / (pi * 0.15)  # the table: 145 kN/m in medium dense sand
    given_value = anchors(
        section(ground={"strata": [
            {"name": "Sand", "top": 100.0, "kind": "granular", "moist_unit_weight": 18.0,
             "saturated_unit_weight": 20.0, "friction_angle": "33 deg", "density": "medium",
             "bond": {"stress": 250.0, "source": "tests nearby"}},
        ]})
    )  # fmt: skip
    assert next(iter(priors_of(given_value).values())).median == pytest.approx(250.0)


# --- lessons and their effect -----------------------------------------------------------------


def test_lessons_by_ground_and_grouting() -> None:
    tests = [bond(598.5, anchor=f"A-1-{k:03d}") for k in range(1, 9)]
    tests += [bond(400.0, 500.0, grouting="post-grouted"), bond(700.0, grouting="post-grouted")]
    sand, pressure = lessons(tests, {(("granular",), "gravity"): known()})
    assert (len(sand.tests), sand.bounds, sand.failures) == (8, 8, 0)
    assert sand.least_held == pytest.approx(158.76, rel=1e-4)
    assert sand.fit is None
    assert "lower bounds" in sand.no_fit
    assert sand.before is not None
    assert sand.after is not None
    assert sand.value is not None
    assert sand.before.median() < sand.after.median()
    assert sand.after.median(0.05) > sand.most_held
    assert sand.value == sand.most_held  # believed or not, no test has held more
    words = expand(sand.words, UnitSystem.US)
    assert "psi" in words
    assert "none failed" in words
    assert (pressure.failures, pressure.after, pressure.value) == (1, None, None)
    assert pressure.fit is not None
    assert (pressure.fit.count, pressure.fit.failures) == (2, 1)
    assert pressure.least_failed == pytest.approx(500.0 / (pi * 0.15 * 8.0))


def test_the_least_length_is_the_one_at_which_the_accepted_share_fails() -> None:
    belief = believed(known(), [(150.0, inf)] * 10)
    length = length_for_share(belief, 598.5, 0.15, 0.02)
    assert length is not None
    assert share_failing(belief, 598.5, 0.15, length) == pytest.approx(0.02, rel=1e-6)
    assert length_for_share(belief, 598.5, 0.15, 0.02) < length_for_share(  # type: ignore[operator]
        believed(known()), 598.5, 0.15, 0.02
    )
    assert length_for_share(belief, 50_000.0, 0.15, 0.02) is None


def effect(after: BondBelief, **changes: Any) -> Any:
    made = anchors(section({"bond": {"length": 8.0}}))[0]
    values: dict[str, Any] = {"remaining": 15, "value": after.median(0.05)}
    return made, effect_on(made, believed(known()), after, BASIS, **(values | changes))


def test_good_tests_leave_the_bond_as_it_is_and_bad_ones_lengthen_it() -> None:
    made, good = effect(believed(known(), [(200.0, inf)] * 30))
    assert good.check.verdict is Verdict.PASS
    assert good.share < good.share_before
    assert good.expected == pytest.approx(15 * good.share)
    assert good.by_safety == pytest.approx(
        2.0 * made.design_load / (pi * made.hole_diameter * believed(
            known(), [(200.0, inf)] * 30).median(0.05))
    )  # fmt: skip
    assert good.needed >= max(good.by_safety, 4.5)
    _, bad = effect(believed(known(), [(40.0, 60.0)] * 6))
    assert bad.check.verdict is Verdict.FAIL
    assert bad.longer > 0.0
    assert "bond length of" in bad.check.remedy


def test_the_accepted_share_on_both_sides() -> None:
    after = believed(known(), [(120.0, inf)] * 4)
    share = effect(after)[1].share
    for accepted, verdict in ((share * 1.001, Verdict.PASS), (share * 0.999, Verdict.FAIL)):
        given_share = Factor(accepted, ACCEPTED.cite)
        assert effect(after, accepted=given_share)[1].check.verdict is verdict


def test_where_bonds_failed_the_value_is_what_is_believed() -> None:
    tests = [bond(598.5)] * 3 + [bond(400.0, 500.0)] * 5
    (found,) = lessons(tests, {(("granular",), "gravity"): known()})
    assert found.after is not None
    assert found.value == pytest.approx(found.after.median(0.05))
    assert found.value < found.most_held


# --- outliers ---------------------------------------------------------------------------------


def test_robust_scores_by_hand() -> None:
    """Median 10, absolute deviations 0 1 1 2 20: their median 1, so 20 is 13.5 deviations."""
    values = {"a": 9.0, "b": 10.0, "c": 11.0, "d": 12.0, "e": 30.0}
    scores = robust_scores(values)
    assert scores["e"] == pytest.approx((30.0 - 11.0) / (1.4826 * 1.0))
    found = outliers(values, "creep", "proof tests")
    assert [o.anchor for o in found] == ["e"]
    assert "robust standard deviations" in found[0].words


def test_limits_of_outliers_on_both_sides_and_groups_too_small() -> None:
    base = {"a": 9.0, "b": 10.0, "c": 11.0, "d": 12.0}
    edge = 11.0 + 3.5 * 1.4826
    assert outliers({**base, "e": edge - 0.01}, "creep", "g") == ()
    assert [o.anchor for o in outliers({**base, "e": edge + 0.01}, "creep", "g")] == ["e"]
    assert outliers({"a": 1.0, "b": 1.0, "c": 1.0, "d": 99.0}, "creep", "g") == ()


def test_anchors_that_agree_within_what_dials_show_are_no_outliers() -> None:
    values = dict.fromkeys("abcdefg", 0.0005) | {"h": 0.000505}
    assert outliers(values, "creep", "g", resolution=1e-5) == ()
    assert [o.anchor for o in outliers({**values, "h": 0.002}, "creep", "g", resolution=1e-5)] == [
        "h"
    ]
    assert robust_scores({"a": 1.0, "b": 1.0}) == {"a": 0.0, "b": 0.0}
    assert robust_scores({}) == {}


def test_the_anchor_that_creeps_stands_out_along_the_wall() -> None:
    judged = []
    for k in range(8):
        creep = 0.0008 if k == 5 else 0.0003 + 0.00001 * k
        model = Model(anchor=anchor(name=f"A-1-{k + 1:03d}"), creep=creep, seed=k)
        judged.append(proof(model))
    assert all(j.decision == "accepted" for _, j in judged)
    found = outliers_of_tests(judged)
    assert {o.anchor for o in found} == {"A-1-006"}
    assert {o.what for o in found} == {"creep", "residual movement", "total movement"}
    assert "performance tests in granular" in found[0].group
