"""One entry of the field book as the fields of a form: what each holds, and its faults by field.

A form is the entry of the book written field by field: the same validation, the same recording.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from types import NoneType
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel

from backstay.errors import Fault, ProjectError
from backstay.fieldbook.book import BookedStratum, FieldBook
from backstay.fieldbook.book_reading import book_text
from backstay.fieldbook.entering import Entered, enter_book
from backstay.model.fields import Kind
from backstay.quantity import UnitSystem
from backstay.records.store import Records
from backstay.stressing.rules import TestRules

List = Literal[
    "drilled", "tendons", "grouted", "cubes", "locked_off", "lifted_off", "loads", "repairs",
    "replacements", "remarks",
]  # fmt: skip
Written = str | list[str] | list[dict[str, str]]
"""What is written in a field: text, several values, or the lines of a drill log."""
_LISTED = frozenset({"strengths", "strands", "loads", "movements", "strand_gauges", "gauges"})
_YES_NO: Mapping[str, bool] = {"yes": True, "no": False}


@dataclass(frozen=True, slots=True)
class FormField:
    """A field: its key in the book, its unit as a label, whether it must be filled, its choices.

    help: what it holds, where the name does not say it; several: values with commas between.
    """

    key: str
    unit: str
    needed: bool
    choices: tuple[str, ...]
    help: str
    several: bool


def fields_of(entry: List, units: UnitSystem) -> tuple[FormField, ...]:
    """Return the fields of an entry of the book but for the anchor and a drill log's lines."""
    model = _model(entry)
    return tuple(
        _field(model, key, units) for key in model.model_fields if key not in ("anchor", "strata")
    )


def stratum_fields(units: UnitSystem) -> tuple[FormField, ...]:
    """Return the fields of a line of a drill log."""
    return tuple(_field(BookedStratum, key, units) for key in BookedStratum.model_fields)


def record_form(
    entry: List, anchor: str, written: Mapping[str, Written], records: Records, units: UnitSystem, *,
    by: str, now: datetime, rules: TestRules | None = None,
) -> Entered:  # fmt: skip
    """Record what a form says. written: by the keys of its fields, empty ones left out.

    rules: of the project, by which a lift-off is found from its readings.

    Raises ProjectError with every fault; its path is the field, such as ``strata[1].bottom``.
    """
    one: dict[str, Any] = {"anchor": anchor}
    for key, value in written.items():
        said = _said(key, value)
        if said is not None:
            one[key] = said
    book = {"field_book": "workbench", "units": units.value, entry: [one]}
    try:
        text = book_text(json.dumps(book, ensure_ascii=False), "form", None)
        return enter_book(text, records, by=by, now=now, rules=rules)
    except ProjectError as error:
        raise ProjectError(_by_field(error.faults, entry)) from None


def _said(key: str, value: Written) -> Any:
    """Return what a field says as the book has it, None for nothing."""
    if isinstance(value, str):
        text = value.strip()
        if not text:
            return None
        if key in _LISTED:
            return [one.strip() for one in text.split(",") if one.strip()]
        return _YES_NO[text] if key in ("creeps", "regroutable") and text in _YES_NO else text
    kept: list[Any] = []
    for one in value:
        if isinstance(one, str):
            kept += [one.strip()] if one.strip() else []
        elif line := {k: v.strip() for k, v in one.items() if v.strip()}:
            kept.append(line)
    return kept or None


def _by_field(faults: Sequence[Fault], entry: str) -> list[Fault]:
    """Return faults at their fields: without lines, which a form does not have."""
    head = f"{entry}[0]"
    return [
        Fault(
            0, 0, fault.path.removeprefix(head).removeprefix("."), fault.rule,
            "" if fault.read.startswith("{") else fault.read, fault.accepted, fault.hint,
        )
        for fault in faults
    ]  # fmt: skip


def _model(entry: List) -> type[BaseModel]:
    kind = Kind.of_field(FieldBook.model_fields[entry]).child(0, ())
    assert kind is not None  # noqa: S101  # every list of the book has entries
    return kind.models[0]


def _field(model: type[BaseModel], key: str, units: UnitSystem) -> FormField:
    info = model.model_fields[key]
    kind = Kind.of_field(info)
    several = key in _LISTED
    quantity = ((kind.child(0, ()) or kind) if several else kind).quantity
    choices: tuple[str, ...] = ()
    for one in kind.choices():
        if one.annotation is bool:
            choices = ("yes", "no")
        elif get_origin(one.annotation) is Literal:
            choices = tuple(str(a) for a in get_args(one.annotation) if a is not NoneType)
    return FormField(
        key, quantity.unit(units).label if quantity else "", info.is_required(), choices,
        info.description or "", several,
    )  # fmt: skip
