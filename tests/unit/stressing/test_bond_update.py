"""Bayes' rule on the bond, against closed forms, numerical integration and draws."""

from __future__ import annotations

from math import exp, inf, log, pi, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from backstay.anchors.bond import BondPart
from backstay.cite import Citation
from backstay.data import bond_stress_of
from backstay.stressing.bond_priors import (
    prior_of_part,
    prior_of_range,
    prior_of_value,
    priors_of,
)
from backstay.stressing.bond_update import believed
from tests.unit.anchors.example import anchors, section
from tests.unit.stressing.bonds import CITE, known


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
