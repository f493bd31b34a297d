"""Formulas compute, record and explain themselves."""

from math import isclose, pi, radians, sin, sqrt, tan

import pytest

from backstay.cite import STATICS
from backstay.expression import definition, written
from backstay.notation import PlainText
from backstay.quantity import Angle, Length, Ratio, Stress, UnitSystem, UnitWeight
from backstay.trace import Computed, FormulaError, Stated, formula, remark, state, trace, untraced


@formula("K_a", STATICS)
def coefficient(phi: Angle) -> Ratio:
    """Active coefficient.

    phi: friction angle
    """
    return tan(radians(45) - phi / 2) ** 2


@formula("p", STATICS)
def pressure(gamma: UnitWeight, z: Length, phi: Angle, c_prime: Stress) -> Stress:
    """Active pressure.

    gamma: unit weight; z: depth; phi: friction angle
    c_prime: cohesion of the
        ground
    """
    if z < 0:
        raise ValueError("depth above ground")
    sigma: Stress = gamma * z
    if c_prime > 0:
        return max(sigma * coefficient(phi) - 2 * c_prime * sqrt(coefficient(phi)), 0)
    return sigma * coefficient(phi)


def steps_of(c: float) -> tuple[Computed, ...]:
    with trace() as t:
        pressure(18.0, 4.0, pi / 6, c)
    return tuple(s for s in t.steps if isinstance(s, Computed))


def lines_of(step: Computed, system: UnitSystem = UnitSystem.SI) -> list[str]:
    out = []
    for line in written(step, PlainText(), system):
        parts = [line.condition, line.symbol, line.equation, line.substituted, line.result]
        out.append(" | ".join(p for p in parts if p))
    return out


def test_nothing_is_recorded_without_a_trace_or_while_suspended() -> None:
    with trace() as t, untraced():
        coefficient(0.5)
    assert t.steps == ()


def test_calls_are_recorded_inner_first_and_once() -> None:
    assert [s.formula.symbol for s in steps_of(0.0)] == ["K_a", "p"]
    assert [s.formula.symbol for s in steps_of(5.0)] == ["K_a", "p"]


def test_outer_traces_see_inner_calls() -> None:
    with trace() as outer:
        with trace() as inner:
            coefficient(0.5)
        remark("afterwards")
    assert len(inner.steps) == 1
    assert len(outer.steps) == 2


def test_equation_numbers_and_result_are_written_in_si() -> None:
    first, second = steps_of(0.0)
    assert lines_of(first) == ["K_a | tan(45° − φ / 2)² | tan(45° − 30.00° / 2)² | 0.3333"]
    assert lines_of(second) == [
        "σ | γ · z | 18.00 kN/m³ · 4.000 m | 72.00 kPa",
        "c′ > 0 | 0 kPa > 0 | does not hold",
        "p | σ · K_a | 72.00 kPa · 0.3333 | 24.00 kPa",
    ]


def test_the_same_step_in_us_units() -> None:
    assert lines_of(steps_of(0.0)[1], UnitSystem.US)[0] == (
        "σ | γ · z | 114.6 pcf · 13.12 ft | 1504 psf"
    )


def test_the_branch_taken_is_the_branch_shown() -> None:
    lines = lines_of(steps_of(5.0)[1])
    assert lines[1] == "c′ > 0 | 5.000 kPa > 0 | holds"
    assert "max(σ · K_a − 2 · c′ · √(K_a), 0)" in lines[2]


def test_meanings_may_share_a_line_and_run_on() -> None:
    meanings = {a.name: a.meaning for a in pressure.arguments}
    assert meanings == {
        "gamma": "unit weight",
        "z": "depth",
        "phi": "friction angle",
        "c_prime": "cohesion of the ground",
    }


def test_precedence_is_kept_by_brackets() -> None:
    @formula("x", STATICS)
    def tangled(a: Ratio, b: Ratio, c: Ratio) -> Ratio:
        """Give brackets a hard time.

        a, b, c: numbers
        """
        return a - (b - c) / (a * b) / -c + (-a) ** 2 - (a + b) * c

    with trace() as t:
        value = tangled(2.0, 3.0, 5.0)
    (step,) = t.steps
    assert isinstance(step, Computed)
    (line,) = written(step, PlainText(), UnitSystem.SI)
    python = line.substituted.replace("·", "*").replace("−", "-").replace("²", "**2")
    assert isclose(eval(python), value)  # noqa: S307 - the text shown must compute


def test_what_cannot_be_shown_is_refused() -> None:
    @formula("x", STATICS)
    def looped(a: Ratio) -> Ratio:
        """Loop.

        a: number
        """
        total: Ratio = 0.0
        for _ in range(3):
            total = total + a
        return total

    with pytest.raises(FormulaError, match="cannot show"):
        definition(looped)


def test_unexplained_or_unannotated_arguments_are_refused() -> None:
    @formula("x", STATICS)
    def unexplained(a: Ratio) -> Ratio:
        """Say nothing of a."""
        return a

    @formula("x", STATICS)
    def unannotated(a: float) -> Ratio:
        """Give no unit.

        a: number
        """
        return a

    with pytest.raises(FormulaError, match="no line 'a:"):
        _ = unexplained.arguments
    with pytest.raises(FormulaError, match="annotate with a quantity"):
        _ = unannotated.arguments


def test_a_stated_number_is_returned_and_recorded() -> None:
    with trace() as t:
        assert state("theta", "critical angle", 0.9, "angle", method="search") == 0.9
    (step,) = t.steps
    assert isinstance(step, Stated)
    assert step.method == "search"


def test_a_formula_keeps_its_name_and_computes() -> None:
    assert coefficient.__name__ == "coefficient"
    assert isclose(coefficient(pi / 6), (1 - sin(pi / 6)) / (1 + sin(pi / 6)))
