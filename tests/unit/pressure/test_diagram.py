"""Diagrams: exact areas, moments, jumps and sums."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from backstay.pressure.diagram import Diagram, total

STEP = Diagram("step", (0.0, 1.0, 1.0, 3.0), (0.0, 2.0, 5.0, 1.0))


def test_area_and_moment_of_a_triangle_and_a_trapezoid() -> None:
    triangle = Diagram("t", (0.0, 6.0), (0.0, 30.0))
    assert triangle.resultant() == 90.0
    assert triangle.centroid() == pytest.approx(4.0)
    assert triangle.moment_about(6.0) == pytest.approx(-180.0)


def test_value_on_either_side_of_a_jump() -> None:
    assert STEP.at(1.0) == 5.0
    assert STEP.at(1.0, below=False) == 2.0
    assert STEP.at(3.0) == 1.0
    assert STEP.at(3.1) == 0.0


def test_clipping_keeps_area() -> None:
    assert STEP.clipped(0.5, 2.0).resultant() == pytest.approx(STEP.resultant(0.5, 2.0))


def test_depths_that_fall_are_refused() -> None:
    with pytest.raises(ValueError, match="fall"):
        Diagram("x", (1.0, 0.0), (0.0, 0.0))


@st.composite
def diagrams(draw: st.DrawFn) -> Diagram:
    n = draw(st.integers(2, 6))
    z = sorted(draw(st.lists(st.integers(0, 20), min_size=n, max_size=n)))
    p = draw(st.lists(st.integers(-50, 50), min_size=n, max_size=n))
    return Diagram("d", tuple(z), tuple(float(v) for v in p))


@given(st.lists(diagrams(), min_size=1, max_size=4))
def test_a_sum_has_the_area_and_moment_of_its_parts(parts: list[Diagram]) -> None:
    whole = total("sum", parts)
    assert_allclose(whole.resultant(), sum(d.resultant() for d in parts), atol=1e-9)
    assert_allclose(whole.moment_about(3.0), sum(d.moment_about(3.0) for d in parts), atol=1e-8)


@given(diagrams())
def test_area_agrees_with_numerical_integration(d: Diagram) -> None:
    z = np.linspace(-1, 21, 44001) + 1e-7
    p = np.array([d.at(float(x)) for x in z[::20]])
    assert_allclose(np.trapezoid(p, z[::20]), d.resultant(), atol=2.0)
