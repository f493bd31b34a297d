"""What of an entry can be corrected, with the value that it has now."""

from __future__ import annotations

from dataclasses import fields
from typing import Any, get_origin, get_type_hints

from backstay.fieldbook.correction import FIXED, plain_type
from backstay.fieldbook.entry_words import value_words
from backstay.fieldbook.facts_of_book import quantity_of
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.records.entries import Entry
from backstay.records.facts import JackCertified
from backstay.stressing.record import Reading


def correctable(entry: Entry[Any], units: UnitSystem) -> tuple[tuple[str, str], ...]:
    """Return each field that `correction` takes, with its value in words, "" where it has none."""
    fact = entry.fact
    if isinstance(fact, Reading):
        return _of_reading(fact, units)
    holder = fact.jack if isinstance(fact, JackCertified) else fact
    found = []
    if holder is None or entry.kind == "procedure":
        return ()
    declared = get_type_hints(type(holder))
    for field in fields(holder):
        quantity = quantity_of(holder, field.name)
        listed = get_origin(declared[field.name]) is tuple
        plain = plain_type(declared[field.name]) is not None and not listed
        if field.name in FIXED or not (quantity or plain):
            continue
        value = getattr(holder, field.name)
        none = value is None or value in ("", ())
        found.append((field.name, "" if none else value_words(value, quantity, units)))
    when = entry.happened
    return (*found, ("on", f"{when:%Y-%m-%d %H:%M}" if when else ""))


def _of_reading(r: Reading, units: UnitSystem) -> tuple[tuple[str, str], ...]:
    def text(value: float | None, name: str) -> str:
        return "" if value is None else QUANTITIES[name].text(value, units)

    loads = (("gauge", text(r.gauge, "gauge pressure")), ("load", text(r.load, "force")))
    return (
        ("minute", f"{r.minute:g}"), *(pair for pair in loads if pair[1]),
        *((f"dial{k}", text(d, "small length")) for k, d in enumerate(r.dials, start=1)),
        ("reference", text(r.reference, "small length")), ("cycle", f"{r.cycle}"),
        ("share", f"{r.target:g}"), ("phase", r.phase), ("remark", r.remark),
    )  # fmt: skip
