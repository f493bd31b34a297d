"""Quantities: conversion and formatting."""

import math

import pint
import pytest

from backstay.quantity import QUANTITIES, UnitSystem, quantity, significant

REGISTRY = pint.UnitRegistry(cache_folder=None)


@pytest.mark.parametrize("name", QUANTITIES)
def test_us_factor_agrees_with_an_independent_unit_library(name: str) -> None:
    q = QUANTITIES[name]
    in_si = q.internal(1.0, UnitSystem.US) * q.si.factor
    wanted = REGISTRY.Quantity(1.0, q.us.pint).to(q.si.pint).magnitude
    assert math.isclose(in_si, wanted, rel_tol=1e-9)


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (0.30726, 4, "0.3073"), (12345.6, 3, "12346"), (0.0, 4, "0"), (-0.00001234, 3, "-0.0000123"),
        (1e-15, 3, "0"), (9.9996, 4, "10.000"), (math.inf, 3, "∞"), (173.98, 4, "174.0"),
    ],
)  # fmt: skip
def test_significant_digits_in_plain_decimals(value: float, digits: int, text: str) -> None:
    assert significant(value, digits) == text


def test_text_carries_the_unit() -> None:
    assert quantity("force").text(100.0, UnitSystem.SI) == "100.0 kN"
    assert quantity("force").text(100.0, UnitSystem.US) == "22.48 kip"
    assert quantity("angle").text(math.radians(15), UnitSystem.SI) == "15.00°"


def test_unknown_quantity_names_the_choices() -> None:
    with pytest.raises(LookupError, match="length"):
        quantity("lenght")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.9, "0.90 of the design load"), (1.33, "1.33 of the design load"),
        (0.875, "0.875 of the design load"), (1.0, "1.00 of the design load"),
    ],
)  # fmt: skip
def test_a_share_of_the_design_load_is_never_a_bare_number(value: float, text: str) -> None:
    share = QUANTITIES["share of the design load"]
    assert share.text(value, UnitSystem.SI) == share.text(value, UnitSystem.US) == text
