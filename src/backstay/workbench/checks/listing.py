"""The checks of a design as rows: named, filtered by what a person asks, grouped by part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from markupsafe import Markup

from backstay.checks import Check, Sense, Verdict, expand
from backstay.design import Design
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.prose import prose
from backstay.tables import comparison_words, place_words, sentence, utilisation_words
from backstay.workbench.markup import tag

Show = Literal["all", "failing", "to be shown", "passing"]
SHOWS: dict[Show, str] = {
    "all": "All",
    "failing": "Failing",
    "to be shown": "To be shown",
    "passing": "Passing",
}
_VERDICTS: dict[Show, Verdict] = {
    "failing": Verdict.FAIL, "to be shown": Verdict.SHOW, "passing": Verdict.PASS,
}  # fmt: skip
KINDS = {
    "anchor": "Anchors", "wall": "Wall", "stability": "Stability", "slope": "Slope",
    "movement": "Movement", "pressure": "Pressures",
}  # fmt: skip
"""Kinds of checks, by the first piece of their identifiers."""
SIGNS = {
    Verdict.PASS: ("✓", "passes", "verdict-pass"),
    Verdict.FAIL: ("✗", "fails", "verdict-fail"),
    Verdict.SHOW: ("○", "to be shown", "verdict-show"),
}


@dataclass(frozen=True, slots=True)
class Key:
    """What names a check in an address: its part, identifier, place, and count among equals."""

    part: int
    id: str
    where: str
    again: int = 0

    @property
    def text(self) -> str:
        """Return the key as one word for the page."""
        return "\x1f".join((str(self.part), self.id, self.where, str(self.again)))


@dataclass(frozen=True, slots=True)
class Row:
    """A check in the list. title: of its part."""

    key: Key
    title: str
    check: Check


@dataclass(frozen=True, slots=True)
class Asked:
    """What a person wants to see. kind: of `KINDS`, "" for all; words: all must be found."""

    show: Show = "all"
    kind: str = ""
    words: str = ""


def rows_of(design: Design) -> list[Row]:
    """Return all checks of a design, worst first."""
    index = {id(part): i for i, part in enumerate(design.parts)}
    seen: dict[Key, int] = {}
    rows = []
    for part, check in design.checks:
        first = Key(index[id(part)], check.id, check.where)
        again = seen.get(first, 0)
        seen[first] = again + 1
        key = Key(first.part, first.id, first.where, again)
        rows.append(Row(key, sentence(part.title), check))
    return rows


def filtered(rows: Sequence[Row], asked: Asked) -> list[Row]:
    """Return the rows that are asked for, in their order."""
    wanted = _VERDICTS.get(asked.show)
    words = asked.words.casefold().split()
    return [
        row
        for row in rows
        if (wanted is None or row.check.verdict is wanted)
        and (not asked.kind or row.check.id.split(".")[0] == asked.kind)
        and all(word in _text(row) for word in words)
    ]


def _text(row: Row) -> str:
    """Return what words are looked for in."""
    check = row.check
    return " ".join((row.title, check.name, check.where, check.id, str(check.clause))).casefold()


def found(
    rows: Sequence[Row], id: str, where: str = "", part: int | None = None, again: int = 0
) -> Row | None:
    """Return the check of an address: at that place, else the worst with that identifier."""
    named = [r for r in rows if r.key.id == id and part in (None, r.key.part)]
    at = [r for r in named if r.key.where == where]
    exact = [r for r in at if r.key.again == again]
    return next(iter((*exact, *at, *named)), None)


def list_table(
    rows: Sequence[Row], units: UnitSystem, *, grouped: bool, chosen: Key | None
) -> Markup:
    """Return the list as a table; grouped: under the name of each part, else worst first through all."""
    if not rows:
        return tag("p", "No check is of this kind.", class_="notice")
    several = len({row.key.part for row in rows}) > 1
    parts = sorted({row.key.part for row in rows}) if grouped else [None]
    bodies = []
    way_in = chosen if any(row.key == chosen for row in rows) else rows[0].key
    for part in parts:
        own = [row for row in rows if part is None or row.key.part == part]
        head = [_group_head(own)] if part is not None else []
        bodies.append(
            tag(
                "tbody",
                *head,
                *(_row(row, units, chosen, way_in, named=several and not grouped) for row in own),
            )
        )
    heads = (
        ("Verdict", ""), ("Check", ""), ("Where", ""), ("Demand", "number"), ("Limit", "number"),
        ("Used", "number"), ("Clause", ""),
    )  # fmt: skip
    return tag(
        "table",
        tag("caption", _caption(rows), class_="quiet"),
        tag("thead", tag("tr", *(tag("th", h, scope="col", class_=c or None) for h, c in heads))),
        *bodies,
        class_="sheet check-list",
    )


def _caption(rows: Sequence[Row]) -> str:
    count = f"{len(rows)} check{'s' if len(rows) > 1 else ''}, worst first"
    failing = sum(row.check.verdict is Verdict.FAIL for row in rows)
    return f"{count}; {failing} fail{'s' if failing == 1 else ''}" if failing else count


def _group_head(rows: Sequence[Row]) -> Markup:
    failing = sum(row.check.verdict is Verdict.FAIL for row in rows)
    words = f"{rows[0].title}: {failing} failing" if failing else rows[0].title
    return tag("tr", tag("th", words, colspan=7, scope="rowgroup"), class_="group")


def _row(
    row: Row, units: UnitSystem, chosen: Key | None, way_in: Key | None, *, named: bool
) -> Markup:
    check, key = row.check, row.key
    sign, word, look = SIGNS[check.verdict]
    current = key == chosen
    # only one row is on the way of the Tab key; the arrow keys go from row to row
    link = tag(
        "button",
        sentence(expand(check.name, units)),
        type="button",
        data_key=key.text,
        tabindex=0 if key == way_in else -1,
        aria_current="true" if current else None,
        class_="open",
    )
    place = expand(place_words(check), units)
    where = ", ".join(filter(None, (row.title, place)))
    demand, limit = compared(check, units)
    settled = check.verdict is not Verdict.SHOW
    return tag(
        "tr",
        tag("td", f"{sign} {word}", class_=f"verdict {look}"),
        tag("td", link),
        tag("td", where if named else place),
        tag("td", demand, class_="number"),
        tag("td", limit, class_="number"),
        tag("td", utilisation_words(check) if settled else "–", class_="number"),
        tag("td", prose(str(check.clause), units), class_="quiet clause"),
        class_="chosen" if current else None,
    )


def compared(check: Check, units: UnitSystem) -> tuple[str, str]:
    """Return demand and limit, each with its unit; of a limit that is rounding, that it is met to it."""
    if comparison_words(check, units) != check.comparison(units):
        return comparison_words(check, units), "equal"
    sign = "≤" if check.sense is Sense.AT_MOST else "≥"
    quantity = QUANTITIES[check.quantity.name]
    return quantity.text(check.demand, units), f"{sign} {quantity.text(check.capacity, units)}"
