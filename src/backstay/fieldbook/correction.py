"""A correction as a person writes it, ``length=46 ft``, laid over what is recorded."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import datetime
from typing import Any, Literal, get_args, get_origin, get_type_hints

from pydantic_core import PydanticCustomError

from backstay.checks import expand
from backstay.errors import DesignError, Fault, ProjectError
from backstay.fieldbook.facts_of_book import SUMS, accepted_of, quantity_of
from backstay.fieldbook.moments import moment_of
from backstay.fieldbook.reach import beyond
from backstay.model.faults import likely
from backstay.model.units import parse
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.records.entries import Entry
from backstay.records.facts import JackCertified
from backstay.stressing.record import Reading
from backstay.stressing.strands import strand_loads

_OF_READING: Mapping[str, str] = {
    "minute": "minutes", "gauge": "gauge pressure", "load": "force", "reference": "small length",
    "share": "ratio", "target": "ratio",
}  # fmt: skip
FIXED = frozenset({"anchor", "test", "number", "sha256", "size", "procedure", "design"})
_YES, _NO = ("yes", "true"), ("no", "false")


@dataclass(frozen=True, slots=True)
class Correction:
    """What takes the place of an entry. on: when it happened, where that changes."""

    fact: Any
    on: datetime | None = None


def correction(entry: Entry[Any], written: Mapping[str, str], units: UnitSystem) -> Correction:
    """Return an entry with changes laid over it. Raises ProjectError with every fault."""
    fact = entry.fact
    if fact is None:
        raise ProjectError(
            [Fault(0, 0, "", f"entry {entry.id} is a withdrawal: there is nothing to change")]
        )
    holder = fact.jack if isinstance(fact, JackCertified) else fact
    changes: dict[str, Any] = {}
    faults: list[Fault] = []
    on: datetime | None = None
    for key, text in written.items():
        try:
            if key == "on" and not isinstance(fact, Reading):
                zone = entry.happened.tzinfo if entry.happened else None
                on = moment_of(text).at(zone)
            elif isinstance(fact, Reading):
                _reading_change(fact, key, text, units, changes)
            else:
                changes[key] = _value(holder, key, text, units)
        except PydanticCustomError as error:
            context = error.context or {}
            faults.append(
                Fault(
                    0,
                    0,
                    key,
                    str(context.get("reason", error)),
                    f"'{text}'",
                    str(context.get("accepted", "")),
                )
            )
        except ValueError as error:
            faults.append(Fault(0, 0, key, str(error), f"'{text}'"))
    if faults:
        raise ProjectError(faults, f"entry {entry.id}")
    try:
        total = SUMS.get(type(holder))
        if changes.get("strands") and total is not None and total not in changes:
            changes[total] = strand_loads(changes["strands"]).total
        made = replace(holder, **changes)
    except DesignError as error:
        rule = expand(error.reason, units)
        raise ProjectError([Fault(0, 0, "", rule)], f"entry {entry.id}") from None
    return Correction(JackCertified(jack=made) if isinstance(fact, JackCertified) else made, on)


def _reading_change(
    reading: Reading, key: str, text: str, units: UnitSystem, changes: dict[str, Any]
) -> None:
    """Note one change of a reading. Raises ValueError."""
    dial = re.fullmatch(r"dial ?([1-9])?", key)
    if dial:
        number = int(dial[1] or 1)
        if number > len(reading.dials):
            raise ValueError(f"the reading has {len(reading.dials)} dials")
        dials = list(changes.get("dials", reading.dials))
        dials[number - 1] = _within(text, "small length", units)
        changes["dials"] = tuple(dials)
    elif key in _OF_READING:
        field = "target" if key == "share" else key
        changes[field] = _within(text, _OF_READING[key], units)
    elif key == "cycle" and re.fullmatch(r"[1-9]\d{0,3}", text):
        changes[key] = int(text)
    elif (key == "phase" and text in ("loading", "hold", "unloading")) or key == "remark":
        changes[key] = text
    elif key in ("cycle", "phase"):
        raise ValueError(
            "a whole number is wanted" if key == "cycle" else "loading, hold or unloading"
        )
    else:
        known = (
            "minute",
            "gauge",
            "load",
            "dial1",
            "reference",
            "cycle",
            "share",
            "phase",
            "remark",
        )
        raise ValueError(f"a reading has no such value; there are: {', '.join(known)}")


def _within(text: str, name: str, units: UnitSystem) -> float:
    """Return a number of a reading. Raises PydanticCustomError, also where it is beyond all reach."""
    value = parse(text, QUANTITIES[name], units)
    if accepted := beyond(name, value, units):
        raise _refused(accepted)
    return value


def _refused(accepted: str) -> PydanticCustomError:
    return PydanticCustomError(
        "beyond", "{reason}; accepted: {accepted}",
        {"reason": "this is not a value that is met on site", "accepted": accepted},
    )  # fmt: skip


def _value(holder: Any, key: str, text: str, units: UnitSystem) -> Any:
    """Return the value that a text says for a field of a fact. Raises ValueError."""
    names = [f.name for f in fields(holder) if f.name not in FIXED]
    if key not in names:
        hint = likely(key, tuple(names))
        raise ValueError(
            f"there is no such value to correct; there are: {', '.join(names)}"
            + (f"; {hint}" if hint else "")
        )
    declared = get_type_hints(type(holder))[key]
    choices = get_args(declared)
    if text.casefold() == "none" and type(None) in choices:
        return None
    quantity = quantity_of(holder, key)
    listed = get_origin(declared) is tuple
    if quantity is not None:
        texts = [one.strip() for one in text.split(",")] if listed else [text]
        values = tuple(parse(one, quantity, units) for one in texts)
        accepted = accepted_of(holder, key, text, units)
        for value in values:
            accepted = accepted or beyond(quantity.name, value, units)
        if accepted:
            raise _refused(accepted)
        return values if listed else values[0]
    plain = plain_type(declared)
    if listed or plain is None:
        raise ValueError("this cannot be changed by itself: withdraw the entry, and enter it anew")
    if plain is bool:
        if text.casefold() not in (*_YES, *_NO):
            raise ValueError("yes or no is wanted")
        return text.casefold() in _YES
    if plain in (int, float):
        return plain(float(text))
    words = get_args(declared if get_origin(declared) is Literal else plain)
    if words and text not in words:
        raise ValueError(f"this is not one of the choices: {', '.join(words)}")
    return text


def plain_type(declared: Any) -> Any:
    """Return what a field holds where one word says it: bool, int, float, str or choices; else None."""
    return next(
        (
            c
            for c in (declared, *get_args(declared))
            if c in (bool, int, float, str) or get_origin(c) is Literal
        ),
        None,
    )
