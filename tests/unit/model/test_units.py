"""Numbers at the door, against an independent unit library and definitions of the units."""

from __future__ import annotations

import math

import pint
import pytest
from pydantic_core import PydanticCustomError

from backstay.model.units import accepted, parse
from backstay.quantity import QUANTITIES, UnitSystem

REGISTRY = pint.UnitRegistry(cache_folder=None)
SI, US = UnitSystem.SI, UnitSystem.US


@pytest.mark.parametrize("name", QUANTITIES)
@pytest.mark.parametrize("system", list(UnitSystem))
def test_a_bare_number_is_in_the_unit_of_the_project(name: str, system: UnitSystem) -> None:
    quantity = QUANTITIES[name]
    assert math.isclose(quantity.shown(parse(7.5, quantity, system), system), 7.5)
    assert parse("7.5", quantity, system) == parse(7.5, quantity, system)


@pytest.mark.parametrize("name", QUANTITIES)
def test_text_with_the_shown_unit_means_the_same_in_any_project(name: str) -> None:
    quantity = QUANTITIES[name]
    for unit in (quantity.si, quantity.us):
        if unit.label:
            for spelling in (unit.label, unit.pint):
                value = parse(f"3 {spelling}", quantity, SI)
                assert math.isclose(value, parse(f"3{spelling}", quantity, US))
                assert math.isclose(value, 3.0 / unit.factor)


# value, quantity, the same in a unit that the independent library knows
@pytest.mark.parametrize(
    ("text", "name", "number", "unit"),
    [
        ("30 ft", "length", 30, "foot"), ("9.2 m", "length", 9.2, "m"), ("115 pcf", "unit weight", 115, "lbf/ft**3"),
        ("3 ksf", "stress", 3000, "lbf/ft**2"), ("1.5 tsf", "stress", 3000, "lbf/ft**2"), ("20 deg", "angle", 20, "degree"),
        ("20°", "angle", 20, "degree"), ("18 kN/m³", "unit weight", 18, "kN/m**3"), ("18 kN/m3", "unit weight", 18, "kN/m**3"),
        ("36 in", "length", 3, "foot"), ('36"', "length", 3, "foot"), ("6'", "length", 6, "foot"),
        ("12'-6\"", "length", 12.5, "foot"), ("12 ft 6 in", "length", 12.5, "foot"), ("-12'-6\"", "length", -12.5, "foot"),
        ("150 mm", "small length", 150, "mm"), ("15 cm", "small length", 150, "mm"), ("120 lb/ft^3", "unit weight", 120, "lbf/ft**3"),
        ("500 plf", "force per length", 500, "lbf/ft"), ("2 klf", "force per length", 2000, "lbf/ft"), ("40 kips", "force", 40, "kip"),
        ("50 ksi", "strength", 50, "kip/in**2"), ("36 ksi", "bond stress", 36000, "lbf/in**2"), ("1e3 kPa", "stress", 1000, "kPa"),
        (".5 m", "length", 0.5, "m"), ("5. m", "length", 5, "m"), ("+5 m", "length", 5, "m"), ("40 %", "ratio", 0.4, "dimensionless"),
        ("2 years", "duration", 2, "year"),
    ],
)  # fmt: skip
def test_units_of_the_trade(text: str, name: str, number: float, unit: str) -> None:
    quantity = QUANTITIES[name]
    wanted = REGISTRY.Quantity(number, unit).to(quantity.si.pint).magnitude / quantity.si.factor
    assert math.isclose(parse(text, quantity, SI), wanted, rel_tol=1e-9)
    assert math.isclose(parse(text, quantity, US), wanted, rel_tol=1e-9)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("82 kg", "not a unit of length"), ("5 furlongs per", "not a unit of length"), ("12 kPa", "not a unit of length"),
        ("twelve", "not a number"), ("", "not a number"), (True, "not a number"), (None, "not a number"),
        ([1], "not a number"), (float("nan"), "finite"), (math.inf, "finite"), ("1e999 ft", "not a unit|finite|not a number"),
        (10**400, "finite"), ("8,000", "without a comma"), ("1,234,567.5 ft", "without a comma"), ("2,5", "decimal sign"),
        ("1 m**99", "not a unit"), ("1 __import__('os')", "not a unit"),
    ],
)  # fmt: skip
def test_what_is_no_length_is_refused_with_what_is(value: object, said: str) -> None:
    with pytest.raises(PydanticCustomError, match=said) as caught:
        parse(value, QUANTITIES["length"], US)
    assert 'a number in ft, or text with a unit, such as "12 ft"' in str(caught.value)


def test_what_is_accepted_names_the_unit_of_the_project() -> None:
    assert (
        accepted(QUANTITIES["angle"], SI) == 'a number in °, or text with a unit, such as "12 deg"'
    )
    assert accepted(QUANTITIES["ratio"], SI) == "a number"


def test_next_to_nothing_is_nothing() -> None:
    assert parse(1e-300, QUANTITIES["angle"], SI) == 0.0
    assert parse(1e-9, QUANTITIES["permeability"], SI) == 1e-9


@pytest.mark.parametrize("text", ["0.9", "90%", "90 %", "0.9 of the design load", 0.9])
def test_a_share_is_read_as_a_person_says_it(text: object) -> None:
    share = QUANTITIES["share of the design load"]
    assert parse(text, share, UnitSystem.US) == pytest.approx(0.9)
    with pytest.raises(
        PydanticCustomError, match=r"not a share of the design load.*such as 0\.9 or"
    ):
        parse("12 kip", share, UnitSystem.US)
