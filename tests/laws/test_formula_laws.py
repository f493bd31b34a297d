"""Laws that every formula of the project obeys."""

from __future__ import annotations

import importlib
import math
import pkgutil
import random

import pint
import pytest

import backstay
from backstay.errors import DesignError
from backstay.expression import definition, written
from backstay.notation import PlainText
from backstay.quantity import Quantity, UnitSystem
from backstay.trace import FORMULAS, Computed, Formula, trace

for _module in pkgutil.walk_packages(backstay.__path__, "backstay."):
    if not _module.name.endswith("__main__"):
        importlib.import_module(_module.name)

ALL = sorted((f for f in FORMULAS.values() if not f.id.startswith("test")), key=lambda f: f.id)
REGISTRY = pint.UnitRegistry(cache_folder=None)


def dimensions(quantity: Quantity) -> tuple[float, float]:
    """Return the exponents of force and length of a quantity (mass counts as force)."""
    found = REGISTRY.Unit(quantity.si.pint).dimensionality
    mass = float(found.get("[mass]", 0))
    time = float(found.get("[time]", 0))
    if time == -2 * mass:  # a force: mass length / time^2
        return mass, float(found.get("[length]", 0)) - mass
    return mass, float(found.get("[length]", 0))


def sample(formula: Formula[...], seed: int) -> dict[str, float]:
    """Return arguments of plausible size, all positive."""
    rng = random.Random(f"{formula.id}{seed}")  # noqa: S311 - a reproducible sample
    sizes = {
        "angle": (0.1, 0.5), "ratio": (0.2, 3.0), "percent": (0.01, 0.2), "count": (1, 9),
        "stress": (5, 200), "length": (0.5, 12), "unit weight": (15, 22), "strain": (1e-4, 2e-3),
        "small length": (0.01, 0.5), "section area": (1e-3, 2e-2), "force": (10, 900),
        "section modulus": (1e-4, 5e-3), "inertia": (1e-5, 1e-3), "strength": (1e5, 5e5),
        "steel modulus": (1.9e8, 2.1e8), "moment": (10, 900),
    }  # fmt: skip
    return {
        a.name: rng.uniform(*sizes.get(a.quantity.name, (0.5, 20.0))) for a in formula.arguments
    }


def evaluate(formula: Formula[...], values: dict[str, float]) -> float | None:
    try:
        value = formula(**values)
    except (ValueError, ZeroDivisionError, DesignError, OverflowError):
        return None
    return value if math.isfinite(value) else None


@pytest.mark.parametrize("formula", ALL, ids=lambda f: f.id)
def test_every_formula_can_be_written_and_is_explained(formula: Formula[...]) -> None:
    definition(formula)
    assert formula.title
    assert formula.arguments or not formula.arguments
    assert formula.quantity
    shown = 0
    for seed in range(60):
        values = sample(formula, seed)
        with trace() as t:
            value = evaluate(formula, values)
        if value is None:
            continue
        step = next(
            s for s in reversed(t.steps) if isinstance(s, Computed) and s.formula is formula
        )
        for system in UnitSystem:
            assert written(step, PlainText(), system)
        shown += 1
    assert shown > 0, f"no sample of {formula.id} could be computed"


@pytest.mark.parametrize("formula", [f for f in ALL if not f.empirical], ids=lambda f: f.id)
def test_every_formula_holds_in_any_consistent_units(formula: Formula[...]) -> None:
    """Scale the units of force and length: the result scales by its own dimensions."""
    tried = 0
    for seed in range(60):
        values = sample(formula, seed)
        value = evaluate(formula, values)
        if value is None:
            continue
        force, length = 0.2248, 3.2808
        scaled = {
            a.name: values[a.name]
            * force ** dimensions(a.quantity)[0]
            * length ** dimensions(a.quantity)[1]
            for a in formula.arguments
        }
        f, m = dimensions(formula.quantity)
        again = evaluate(formula, scaled)
        assert again is not None
        assert math.isclose(again, value * force**f * length**m, rel_tol=1e-9, abs_tol=1e-12)
        tried += 1
    assert tried > 0
