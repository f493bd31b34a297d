"""Reading a field book: every fault of form at once, each with its line and field."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path as FilePath

from pydantic import ValidationError

from backstay.errors import Fault, ProjectError
from backstay.fieldbook.book import FieldBook
from backstay.model.document import Node, Path, compose, spelt
from backstay.model.faults import faults_of, shown
from backstay.model.fields import Kind
from backstay.model.reading import text_of_file
from backstay.model.units import CONTEXT_UNITS
from backstay.quantity import UnitSystem

_WANTED = (
    "this is not a field book",
    "a mapping with the keys field_book, units, jacks, drilled, tendons, grouted, ...",
)


@dataclass(frozen=True, slots=True)
class BookText:
    """A field book with the places of its entries.

    folder: where the files beside it are, None where it came without them, as over the network.
    """

    book: FieldBook
    root: Node
    text: str
    name: str
    folder: FilePath | None

    def fault(self, path: Path, rule: str, accepted: str = "", hint: str = "") -> Fault:
        """Return a fault at a place of the book."""
        place, node = self.root.nearest(path), self.root.at(path)
        read = "" if node is None or isinstance(node.value, dict) else shown(node, self.text)
        return Fault(place.line, place.column, spelt(path), rule, read, accepted, hint)


def read_book(path: str | FilePath) -> BookText:
    """Read a field book. Raises ProjectError with every fault, each with line and column."""
    return book_text(text_of_file(path), str(path), FilePath(path).parent)


def book_text(text: str, name: str, folder: FilePath | None) -> BookText:
    """Read the text of a field book; `name` is what to call it in messages."""
    root, faults = compose(text, name, _WANTED)
    try:
        units = UnitSystem(root.value.get("units"))
    except ValueError:
        units = UnitSystem.SI
    try:
        book = FieldBook.model_validate(root.value, context={CONTEXT_UNITS: units})
    except ValidationError as error:
        listed = error.errors(include_url=False, include_input=False)
        faults += faults_of(listed, root, text, Kind(FieldBook), units)
        raise ProjectError(list(dict.fromkeys(faults)), name) from None
    made = BookText(book, root, text, name, folder)
    faults += _breaches(made)
    if faults:
        raise ProjectError(faults, name)
    return made


def _breaches(made: BookText) -> list[Fault]:
    """Return what does not fit together within the book."""
    found = []
    for i, hole in enumerate(made.book.drilled):
        for k, one in enumerate(hole.strata):
            at: Path = ("drilled", i, "strata", k, "bottom")
            if one.bottom <= one.top:
                found.append(made.fault(at, "a stratum ends below its beginning"))
            elif one.bottom > hole.length * (1.0 + 1e-6):
                found.append(made.fault(at, "this is beyond the end of the hole"))
    for i, jack in enumerate(made.book.jacks):
        paper, at = jack.calibration, ("jacks", i, "calibration", "points")
        if len({p.pressure for p in paper.points}) < 2:
            rule = "all points are at one pressure"
            found.append(made.fault(at, rule, "two points or more at different pressures"))
        if paper.expires < paper.on:
            ends: Path = ("jacks", i, "calibration", "expires")
            rule = "the certificate expires before it was issued"
            found.append(made.fault(ends, rule, f"a day after {paper.on}"))
    return found
