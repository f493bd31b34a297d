"""Putting a correction in the place of an entry or a reading, or withdrawing it: what was wrong stays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from backstay.checks import expand
from backstay.errors import DesignError, Fault, ProjectError
from backstay.fieldbook.correction import correction
from backstay.fieldbook.lift_offs import load_as_read
from backstay.quantity import UnitSystem
from backstay.records.entries import Entry
from backstay.records.facts import LiftedOff
from backstay.records.refusal import RefusedError
from backstay.records.store import Records
from backstay.stressing.record import Reading
from backstay.stressing.rules import TestRules


@dataclass(frozen=True, slots=True)
class Corrected:
    """What was corrected, and the number of the entry that takes its place."""

    entry: Entry[Any]
    number: int
    withdrawn: bool

    @property
    def words(self) -> str:
        """Return what happened, as a sentence."""
        what = "withdrawn" if self.withdrawn else "corrected"
        of = f" of {self.entry.anchor}" if self.entry.anchor else ""
        return f"Entry {self.entry.id} ({self.entry.kind}{of}) is {what} by entry {self.number}."


def correct_entry(
    records: Records, number: int, written: Mapping[str, str], units: UnitSystem, *, by: str,
    reason: str, withdraw: bool = False, exception: str = "", rules: TestRules | None = None,
) -> Corrected:  # fmt: skip
    """Correct an entry by the values that are written for its fields, or withdraw it.

    units: of bare numbers; rules: of the project, by which a lift-off is found from its readings:
    without them such readings are not corrected. Raises ProjectError with every fault, its path the field; RefusedError
    where there is nothing to correct, no reason, or it does not fit.
    """
    there = records.entry(number)
    if there.superseded_by is not None:
        raise RefusedError(
            f"entry {number} is corrected by entry {there.superseded_by} already; correct that one"
        )
    reading = isinstance(there.fact, Reading)
    if withdraw and isinstance(there.fact, Reading):
        records.withdraw_reading(
            there.anchor, there.fact.number, by=by, reason=reason, test=there.test
        )
    elif withdraw:
        records.withdraw(number, by=by, reason=reason, exception=exception)
    else:
        made = correction(there, written, units)
        if isinstance(made.fact, LiftedOff):
            made = replace(
                made, fact=_read_again(records, made.fact, written, rules, units, number)
            )
        if made.fact == there.fact and made.on is None:
            raise RefusedError(f"entry {number} says this already; nothing was recorded")
        if reading:
            records.correct_reading(there.anchor, made.fact, by=by, reason=reason, test=there.test)
        else:
            records.correct(
                number, made.fact, by=by, reason=reason, on=made.on, exception=exception
            )
    return Corrected(there, records.last()[0], withdraw)


def _read_again(
    records: Records, fact: LiftedOff, written: Mapping[str, str], rules: TestRules | None,
    units: UnitSystem, number: int,
) -> LiftedOff:  # fmt: skip
    """Return a lift-off with the load that it tells as corrected. Raises ProjectError, RefusedError.

    A load that follows from what was read is not written over: what was read is corrected.
    """
    if not (fact.by_gauge or fact.movements):
        return fact
    if "load" in written:
        rule = "this follows from what was read: correct that"
        raise ProjectError([Fault(0, 0, "load", rule)], f"entry {number}")
    named = (fact.jack, fact.certificate)
    jacks = {(jack.name, jack.calibration.certificate): jack for jack in records.jacks()}
    if fact.by_gauge and named not in jacks:
        raise RefusedError(
            f"{fact.anchor}: jack {fact.jack!r} with certificate {fact.certificate!r} is not recorded"
        )
    try:
        load = load_as_read(fact, records, rules, jacks[named] if fact.by_gauge else None)
    except DesignError as error:
        rule = expand(error.reason, units)
        raise ProjectError([Fault(0, 0, "", rule)], f"entry {number}") from None
    return replace(fact, load=load)
