"""Columns of the schedule: those of the project file, and those that the design finds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, get_args

from pydantic import BaseModel

from backstay.anchors import AnchorDesign
from backstay.anchors.schedule import ScheduleRow
from backstay.model.anchors import AnchorRow
from backstay.model.fields import Kind
from backstay.model.slope import SlopeAnchors, SlopePoint
from backstay.quantity import Quantity, UnitSystem
from backstay.tables import Writer, bond_words, least_length

Wanted = Literal["usual", "seldom"]


@dataclass(frozen=True, slots=True)
class Given:
    """A column of values that stand in the project file.

    path: from the row; words: of its head; kind: what the model accepts there; seldom: shown only
    when asked for.
    """

    path: tuple[str, ...]
    words: str
    kind: Kind
    optional: bool
    seldom: bool = False

    @property
    def quantity(self) -> Quantity | None:
        """Return the quantity of its numbers."""
        return self.kind.quantity

    @property
    def whole(self) -> bool:
        """Say whether its numbers are whole, without a unit."""
        return any(choice.annotation is int for choice in self.kind.choices())

    @property
    def options(self) -> tuple[str, ...]:
        """Return the words that may stand there."""
        return self.kind.words

    @property
    def free(self) -> bool:
        """Say whether any text may stand there."""
        return self.quantity is None and not self.whole and not self._closed

    @property
    def _closed(self) -> bool:
        return all(get_args(choice.annotation) for choice in self.kind.choices())

    def head(self, units: UnitSystem) -> str:
        """Return the head with its unit."""
        label = self.quantity.unit(units).label if self.quantity else ""
        return f"{self.words} ({label})" if label else self.words

    def accepted(self, units: UnitSystem) -> str:
        """Say what may stand there."""
        return self.kind.accepted(units) + (", or nothing" if self.optional else "")

    def value(self, row: BaseModel) -> object:
        """Return the value of a row."""
        found: object = row
        for piece in self.path:
            found = getattr(found, piece)
        return found


@dataclass(frozen=True, slots=True)
class Found:
    """A column that follows from the design: it is not edited."""

    words: str
    quantity: str
    text: Callable[[AnchorDesign, ScheduleRow, Writer], str]
    right: bool = True

    def head(self, units: UnitSystem) -> str:
        """Return the head with its unit."""
        return Writer(units).head(self.words, self.quantity) if self.quantity else self.words


def given(model: type[BaseModel], path: tuple[str, ...], words: str, *, seldom: bool = False) -> Given:  # fmt: skip
    """Return the column of a field of a model. Raises KeyError where it has none of that name."""
    inside = model
    for piece in path[:-1]:
        inside = Kind.of_field(inside.model_fields[piece]).models[0]
    info = inside.model_fields[path[-1]]
    return Given(path, words, Kind.of_field(info), not info.is_required(), seldom)


def _tendon_and_bond(model: type[BaseModel]) -> tuple[Given, ...]:
    return (
        given(model, ("design_load",), "Design load asked"),
        given(model, ("test_factor",), "Test load"),
        given(model, ("lock_off",), "Lock-off"),
        given(model, ("tendon", "kind"), "Tendon"),
        given(model, ("tendon", "product"), "Product"),
        given(model, ("tendon", "strands"), "Strands"),
        given(model, ("unbonded_length",), "Unbonded"),
        given(model, ("bond", "by"), "Bond by"),
        given(model, ("bond", "length"), "Bond"),
        given(model, ("bond", "grouting"), "Grouting"),
        given(model, ("bond", "hole_diameter"), "Hole"),
        given(model, ("protection",), "Protection"),
        given(model, ("ground_aggressive",), "Aggressive ground", seldom=True),
        given(model, ("draw_in",), "Draw-in", seldom=True),
        given(model, ("tail_length",), "Tail", seldom=True),
    )


def wall_columns(*, piles: bool) -> tuple[Given, ...]:
    """Return the columns of a row of anchors in a wall; piles: spaced by soldier piles."""
    along = given(AnchorRow, ("every",), "Every nth pile") if piles else given(
        AnchorRow, ("spacing",), "Spacing"
    )  # fmt: skip
    return (
        given(AnchorRow, ("elevation",), "Elevation"),
        given(AnchorRow, ("inclination",), "Inclination"),
        along,
        *_tendon_and_bond(AnchorRow),
        given(AnchorRow, ("skew",), "Skew", seldom=True),
        given(AnchorRow, ("note",), "Note", seldom=True),
    )


def head_columns() -> tuple[Given, ...]:
    """Return the columns of a row of anchors on a slope: where its heads are."""
    return (given(SlopePoint, ("x",), "Head, x"), given(SlopePoint, ("elevation",), "Elevation"))


def slope_columns() -> tuple[Given, ...]:
    """Return the columns of what all rows of a slope share."""
    return (
        given(SlopeAnchors, ("inclination",), "Inclination"),
        given(SlopeAnchors, ("spacing",), "Spacing"),
        given(SlopeAnchors, ("greatest_load",), "Greatest load"),
        given(SlopeAnchors, ("transfer",), "Load transfer"),
        given(SlopeAnchors, ("counts",), "Counts"),
        *_tendon_and_bond(SlopeAnchors),
        given(SlopeAnchors, ("spacing_least",), "Least spacing", seldom=True),
        given(SlopeAnchors, ("spacing_greatest",), "Greatest spacing", seldom=True),
        given(SlopeAnchors, ("spacing_step",), "Step of spacing", seldom=True),
    )


FOUND = (
    Found("No.", "", lambda _, row, __: str(row.number)),
    Found("Load needed", "force", lambda a, _, w: w.fixed(a.required_load, "force", 0)),
    Found("Design load", "force", lambda a, _, w: w.fixed(a.design_load, "force", 0)),
    Found("Test load", "force", lambda a, _, w: w.fixed(a.test_load, "force", 0)),
    Found("Lock-off load", "force", lambda a, _, w: w.fixed(a.lock_off_load, "force", 0)),
    Found("Least unbonded", "length", lambda a, _, w: least_length(a.unbonded_least, w.units)),
    Found("Unbonded", "length", lambda a, _, w: least_length(a.unbonded_length, w.units)),
    Found("Bond", "length", lambda a, _, w: bond_words(a, w.units)),
    Found("Tendon", "", lambda a, _, __: a.tendon.title, right=False),
    Found("Hole", "small length", lambda a, _, w: w.cell(a.hole_diameter, "small length", 3)),
    Found("Protection", "", lambda a, _, __: a.protection, right=False),
    Found("Tests", "", lambda _, row, __: row.tests, right=False),
)
"""What the design finds for each row: as in the schedule of the drawings."""
