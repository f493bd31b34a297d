"""Tests of bond and beliefs that the tests of learning share."""

from __future__ import annotations

from math import log
from typing import Any

from backstay.cite import common_practice
from backstay.stressing.bond_priors import (
    BondPrior,
)
from backstay.stressing.bond_tests import BondTest
from backstay.stressing.judge import judge
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
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


def proof(model: Model, *, extended: bool = False) -> tuple[Any, Any]:
    procedure = procedure_of("performance", model.anchor, 1.33, US_RULES)
    record = record_of(model, procedure, extended=extended)
    return record, judge(record, US_RULES)
