"""What an entry of the records says, in words: kind, values, and what became of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from datetime import date, datetime
from typing import Any

from backstay.fieldbook.facts_of_book import quantity_of
from backstay.quantity import QUANTITIES, Quantity, UnitSystem
from backstay.records.entries import Entry
from backstay.stressing.record import Reading

_HIDDEN = frozenset(
    {"anchor", "test", "procedure", "design", "statement", "criteria", "strata", "jack"}
)


def entry_words(entry: Entry[Any], units: UnitSystem) -> str:
    """Return what an entry says: its kind, its values, and what became of it."""
    fact = entry.fact
    words = entry.kind if entry.test is None else f"{entry.kind}, test {entry.test}"
    if fact is None:
        words += ": withdrawn"
    elif isinstance(fact, Reading):
        words = f"reading {fact.number}: {_reading(fact, units)}"
    else:
        said = ", ".join(f"{name} {value}" for name, value in fact_values(fact, units))
        words += f": {said}" if said else ""
    if entry.supersedes:
        words += f"; in the place of {entry.supersedes} ({entry.reason})"
    if entry.superseded_by:
        words += f"; corrected by {entry.superseded_by}"
    if entry.exception:
        words += f"; exception: {entry.exception}"
    return words


def _reading(r: Reading, units: UnitSystem) -> str:
    small = QUANTITIES["small length"]
    load = (
        QUANTITIES["force"].text(r.load, units) if r.load is not None
        else QUANTITIES["gauge pressure"].text(r.gauge or 0.0, units)
    )  # fmt: skip
    dials = ", ".join(small.text(d, units) for d in r.dials)
    remark = f"; {r.remark}" if r.remark else ""
    return f"cycle {r.cycle}, {r.target:.3g} DL {r.phase}, minute {r.minute:g}: {load}, {dials}{remark}"


def fact_values(fact: Any, units: UnitSystem) -> Iterator[tuple[str, str]]:
    """Yield what a fact says, field by field: its name and its value; what is empty is left out."""
    for field in fields(fact):
        value = getattr(fact, field.name)
        if field.name in _HIDDEN and not (field.name == "jack" and isinstance(value, str)):
            continue
        if value is None or value == "" or value == () or value is False:
            continue
        if field.name == "design_load" and not value:  # of a verdict that accepts nothing
            continue
        name = field.name.replace("_", " ")
        yield name, value_words(value, quantity_of(fact, field.name), units)


def value_words(value: Any, quantity: Quantity | None, units: UnitSystem) -> str:
    """Return a value of a fact in words; many as the first, and how many more."""
    if isinstance(value, tuple):
        if len(value) > 6:
            return f"{value_words(value[0], quantity, units)} and {len(value) - 1} more"
        return ", ".join(value_words(one, quantity, units) for one in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, float) and quantity is not None:
        return quantity.text(value, units)
    return f"{value:g}" if isinstance(value, float) else str(value)
