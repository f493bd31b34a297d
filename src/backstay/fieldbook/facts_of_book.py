"""The entries of a field book as facts, each with its place in the book and when it happened."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from dataclasses import fields as dataclass_fields
from typing import Annotated, Any

from pydantic import TypeAdapter, ValidationError

from backstay.fieldbook.book import (
    BookedCubes,
    BookedGrout,
    BookedHole,
    BookedJack,
    BookedLiftOff,
    BookedLoad,
    BookedLockOff,
    BookedRepair,
    BookedReplacement,
    BookedTendon,
    FieldBook,
    Happened,
)
from backstay.fieldbook.lift_offs import FoundLiftOff
from backstay.fieldbook.moments import Moment
from backstay.model.document import Path
from backstay.model.entry import Entry
from backstay.model.fields import Kind
from backstay.model.units import CONTEXT_UNITS
from backstay.quantity import QUANTITIES, Quantity, UnitSystem
from backstay.records.entries import RegisterLine
from backstay.records.facts import (
    Drilled,
    Fact,
    Grouted,
    GroutStrength,
    JackCertified,
    LiftedOff,
    LoadRead,
    LockedOff,
    Planned,
    Remark,
    Repaired,
    Replaced,
    StratumMet,
    TendonPlaced,
)
from backstay.stressing.jack import Calibration, CalibrationPoint, Jack
from backstay.stressing.strands import strand_loads

PLAIN: dict[str, tuple[type[Happened], Any]] = {
    "drilled": (BookedHole, Drilled), "tendons": (BookedTendon, TendonPlaced),
    "grouted": (BookedGrout, Grouted), "cubes": (BookedCubes, GroutStrength),
    "locked_off": (BookedLockOff, LockedOff), "lifted_off": (BookedLiftOff, LiftedOff),
    "loads": (BookedLoad, LoadRead), "repairs": (BookedRepair, Repaired),
}  # fmt: skip
"""Lists of the book whose entries have the fields of a fact, by the same names."""
LATE = frozenset({"locked_off", "lifted_off", "loads", "repairs", "replacements"})
"""Lists of what follows a test: a day alone counts as its end."""
MODELS: dict[type, type[Entry]] = {fact: model for model, fact in PLAIN.values()} | {
    Jack: BookedJack
}
"""How the book writes each kind of fact."""
SUMS: dict[Any, str] = {LockedOff: "jack_load", LiftedOff: "load"}
"""Field that is the sum of the strands, where they were read one by one."""
_BOUNDS = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}
_OTHERS = {"jack_length": "length", "design_load": "force"}


@dataclass(frozen=True, slots=True)
class Booked:
    """A fact of the book: where it stands, when it happened, whether a day alone is its end.

    on: None for what has no day of its own (a jack counts from its certificate); found: fields that
    were not written but found from what was read: what is recorded of them stands.
    """

    path: Path
    fact: Fact
    on: Moment | None
    late: bool = False
    exception: str = ""
    found: frozenset[str] = frozenset()


def booked(
    book: FieldBook, names: dict[Path, str], register: dict[str, RegisterLine],
    lift_offs: Mapping[int, FoundLiftOff],
) -> Iterator[Booked]:  # fmt: skip
    """Yield the facts of a book in the order in which they are recorded.

    names: of the register, by the place of each anchor in the book; lift_offs: what is found of
    lift-offs as read, by their place in the book. Files are not among them.
    Raises DesignError for a certificate on which no line can stand.
    """
    for i, jack in enumerate(book.jacks):
        yield Booked(("jacks", i), JackCertified(jack=jack_of(jack)), None)
    for key, (_, kind) in PLAIN.items():
        for i, entry in enumerate(getattr(book, key)):
            path: Path = (key, i)
            fields = {
                k: getattr(entry, k)
                for k in type(entry).model_fields
                if k not in ("on", "exception")
            }
            fields["anchor"] = names[(*path, "anchor")]
            if "strata" in fields:
                fields["strata"] = tuple(StratumMet(**dict(s)) for s in entry.strata)
            if fields.get("strands"):
                fields[SUMS[kind]] = strand_loads(fields["strands"]).total
            found: frozenset[str] = frozenset()
            if key == "lifted_off" and i in lift_offs:
                read = {
                    f.name: getattr(lift_offs[i], f.name) for f in dataclass_fields(lift_offs[i])
                }
                found = frozenset(k for k in read if not fields[k])
                fields |= read
            yield Booked(path, kind(**fields), entry.on, key in LATE, entry.exception, found)
    for i, one in enumerate(book.replacements):
        yield from _replacement(("replacements", i), one, names, register)
    for i, remark in enumerate(book.remarks):
        path = ("remarks", i)
        yield Booked(
            path, Remark(text=remark.text, anchor=names.get((*path, "anchor"), "")), remark.on
        )


def jack_of(jack: BookedJack) -> Jack:
    """Return the jack of a book. Raises DesignError."""
    paper = jack.calibration
    points = tuple(CalibrationPoint(p.pressure, p.load) for p in paper.points)
    return Jack(
        name=jack.name, gauge=jack.gauge, ram_area=jack.ram_area, capacity=jack.capacity,
        stroke=jack.stroke,
        calibration=Calibration(
            certificate=paper.certificate, on=paper.on, expires=paper.expires, points=points
        ),
    )  # fmt: skip


def _replacement(
    path: Path, one: BookedReplacement, names: dict[Path, str], register: dict[str, RegisterLine]
) -> Iterator[Booked]:
    """Yield the new anchor in the place of the old one, and that it replaces it."""
    old = register[names[(*path, "anchor")]]
    changes = {
        key: value for key in ("free_length", "bond_length", "inclination")
        if (value := getattr(one, key)) is not None
    }  # fmt: skip
    planned = Planned(
        anchor=one.replacement, part=old.part, row=old.row, number=old.number, pile=old.pile,
        trial=old.trial, design=replace(old.design, **changes), replaces=old.anchor,
    )  # fmt: skip
    yield Booked(path, planned, one.on, True, one.exception)
    replaced = Replaced(anchor=old.anchor, replacement=one.replacement, why=one.why)
    yield Booked(path, replaced, one.on, True, one.exception)


def accepted_of(fact: object, key: str, text: str, units: UnitSystem) -> str:
    """Return what the book accepts for a field of a fact where it refuses this text, else nothing."""
    model = MODELS.get(type(fact))
    info = model.model_fields.get(key) if model else None
    if info is None:
        return ""
    kind = Kind.of_field(info)
    listed = kind.child(0, ())
    value = [one.strip() for one in text.split(",")] if listed else text
    declared: Any = info.annotation
    if info.metadata:
        declared = Annotated[declared, *info.metadata]
    adapter: TypeAdapter[Any] = TypeAdapter(declared)
    try:
        adapter.validate_python(value, context={CONTEXT_UNITS: units})
    except ValidationError as error:
        bounds = error.errors(include_url=False)[0].get("ctx", {})
        quantity = (listed or kind).quantity
        said = [
            f"{words} {quantity.text(bounds[key], units)}"
            for key, words in _BOUNDS.items()
            if key in bounds and quantity is not None
        ]
        return ", ".join(said) or (listed or kind).accepted(units)
    return ""


def quantity_of(fact: object, key: str) -> Quantity | None:
    """Return the quantity of a field of a fact (of each value, where there are several)."""
    model = MODELS.get(type(fact))
    info = model.model_fields.get(key) if model else None
    if info is None:
        return QUANTITIES[_OTHERS[key]] if key in _OTHERS else None
    kind = Kind.of_field(info)
    return (kind.child(0, ()) or kind).quantity
