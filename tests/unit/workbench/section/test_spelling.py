"""Values as they go into the file and as they are shown to be typed over."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backstay.model.units import parse
from backstay.quantity import QUANTITIES, Quantity, UnitSystem
from backstay.workbench.section.spelling import Spelling

SI, US = UnitSystem.SI, UnitSystem.US
LENGTH = QUANTITIES["length"]


@given(
    value=st.floats(1e-3, 1e5),
    quantity=st.sampled_from(
        [QUANTITIES[q] for q in ("length", "force", "angle", "stress", "small length")]
    ),
    shown=st.sampled_from(list(UnitSystem)),
    own=st.sampled_from(list(UnitSystem)),
)
def test_what_is_written_is_read_as_the_value(
    value: float, quantity: Quantity, shown: UnitSystem, own: UnitSystem
) -> None:
    """Through the one door that parses numbers, with or without a unit."""
    written = Spelling(shown, own).written(quantity, value)
    assert parse(written, quantity, own) == pytest.approx(value, rel=1e-8)


@given(value=st.floats(-1e4, 1e4), shown=st.sampled_from(list(UnitSystem)))
def test_what_is_shown_is_typed_back_unchanged_to_the_eye(value: float, shown: UnitSystem) -> None:
    spelling = Spelling(shown, US)
    text = spelling.text(LENGTH, value)
    assert parse(spelling.typed(LENGTH, text), LENGTH, US) == pytest.approx(
        value, rel=1e-5, abs=1e-8
    )


@pytest.mark.parametrize(
    ("typed", "shown", "own", "written"),
    [
        ("91.5", US, US, 91.5), ("91", US, US, 91), ("27.9", SI, US, "27.9 m"),
        ("27.9 m", US, US, "27.9 m"), (" 12'-6\" ", US, SI, "12'-6\""), ("auto", SI, US, "auto"),
        ("-3", SI, SI, -3), (".5", US, US, 0.5),
    ],
)  # fmt: skip
def test_a_bare_number_is_in_the_units_that_are_shown(
    typed: str, shown: UnitSystem, own: UnitSystem, written: object
) -> None:
    assert Spelling(shown, own).typed(LENGTH, typed) == written


def test_an_angle_has_one_unit_in_both_systems() -> None:
    """20 degrees is written 20 in a project of either system, whatever is shown."""
    angle = QUANTITIES["angle"]
    assert Spelling(SI, US).written(angle, 0.3490658503988659) == 20


def test_words_are_left_as_they_are() -> None:
    assert Spelling(SI, US).typed(None, "  Dense sand ") == "Dense sand"
    assert Spelling(SI, US).typed(None, "12") == "12"


@pytest.mark.parametrize("shown", UnitSystem)
def test_a_share_says_what_it_is_of_and_is_written_bare(shown: UnitSystem) -> None:
    share, spelling = QUANTITIES["share of the design load"], Spelling(shown, UnitSystem.US)
    assert spelling.text(share, 0.9) == "0.9 of the design load"
    assert spelling.typed(share, "0.85 of the design load") == 0.85
    assert spelling.typed(share, " 0.85 ") == 0.85
    assert spelling.typed(share, "85%") == "85%"
    assert spelling.typed(share, "a lot of the design load") == "a lot"
