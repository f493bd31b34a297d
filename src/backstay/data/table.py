"""Reading a published table: a CSV file that opens with ``#`` lines naming title and source."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import NoReturn, TypeVar, cast, get_args

from backstay.cite import Provenance

T = TypeVar("T")

INCH = 0.0254
FOOT = 0.3048
POUND = 0.45359237
KIP = 4.4482216152605
PSI = 6.894757293168361
"""Metres, metres, kilograms, kilonewtons and kilopascals: exact by definition of the pound."""

_HEADS = ("title", "source", "provenance", "units")


@dataclass(frozen=True, slots=True)
class Record:
    """One line of a table as text: read by column, with where it comes from."""

    table: str
    cells: dict[str, str]
    source: str
    provenance: Provenance
    memory: tuple[str, ...]

    def text(self, column: str) -> str:
        """Return a cell as it stands."""
        return self.cells[column]

    def words(self, column: str) -> tuple[str, ...]:
        """Return the parts of a cell that lists several, divided by ``|``."""
        return tuple(word for word in self.cells[column].split("|") if word)

    def number(self, column: str, unit: float = 1.0) -> float:
        """Return a cell times its unit. Raises ValueError where it holds no number."""
        return float(self.cells[column]) * unit

    def optional(self, column: str, unit: float = 1.0) -> float | None:
        """Return a cell times its unit, or None where it is empty."""
        return self.number(column, unit) if self.cells[column] else None


@dataclass(frozen=True, slots=True)
class PublishedTable:
    """A table with its title, source, provenance and units in words, and its records."""

    name: str
    title: str
    source: str
    provenance: str
    units: str
    records: tuple[Record, ...]


@cache
def read_table(name: str) -> PublishedTable:
    """Return the table in ``name.csv``.

    Raises ValueError where a header line is missing, a record has too few or too many cells, or
    its provenance is not one of the words that citations use.
    """
    text = files("backstay.data").joinpath(f"{name}.csv").read_text(encoding="utf-8")
    lines = text.splitlines()
    heads = dict(_heads(lines))
    missing = [head for head in _HEADS if not heads.get(head)]
    if missing:
        raise ValueError(f"table {name}: header lacks {', '.join(missing)}")
    reader = csv.DictReader(line for line in lines if line and not line.startswith("#"))
    records = tuple(_record(name, heads, cells) for cells in reader)
    return PublishedTable(
        name, heads["title"], heads["source"], heads["provenance"], heads["units"], records
    )


def _heads(lines: Iterable[str]) -> Iterator[tuple[str, str]]:
    for line in lines:
        if not line.startswith("#"):
            return
        head, _, words = line.lstrip("# ").partition(":")
        yield head, words.strip()


def _record(name: str, heads: dict[str, str], cells: dict[str, str]) -> Record:
    if None in cells or None in cells.values():
        raise ValueError(f"table {name}: cells do not match the columns: {cells}")
    said = cells.get("provenance") or heads["provenance"]
    if said not in get_args(Provenance):
        raise ValueError(f"table {name}: unknown provenance {said!r}")
    memory = tuple(word for word in cells.get("memory", "").split("|") if word)
    unknown = [word for word in memory if word not in cells]
    if unknown:
        raise ValueError(f"table {name}: no column {', '.join(unknown)}")
    return Record(
        name, cells, cells.get("source") or heads["source"], cast(Provenance, said), memory
    )


def plain(name: str) -> str:
    """Return a name without case and spaces, the form in which names are compared."""
    return "".join(name.casefold().replace("×", "x").split())


def refuse(name: str, kind: str, known: Iterable[str]) -> NoReturn:
    """Raise LookupError for an unknown name, with the close ones, or all where none is close."""
    from difflib import get_close_matches

    names = {plain(each): each for each in known}
    close = get_close_matches(plain(name), names, n=5, cutoff=0.6)
    listed = [names[each] for each in close] or list(names.values())[:30]
    rest = len(names) - len(listed)
    more = f" (and {rest} more)" if rest and not close else ""
    raise LookupError(f"no {kind} {name!r}; did you mean: {', '.join(listed)}{more}")


def find(name: str, kind: str, rows: Iterable[T], names: Callable[[T], tuple[str, ...]]) -> T:
    """Return the row of that name, without regard to case and spaces.

    names: the names of a row, the chief one first. Raises LookupError where none fits.
    """
    wanted = plain(name)
    rows = tuple(rows)
    for row in rows:
        if wanted in {plain(each) for each in names(row)}:
            return row
    return refuse(name, kind, (names(row)[0] for row in rows))
