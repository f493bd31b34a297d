"""From the tablet into the records: in order, each once, and the reason where one is refused.

An entry is known by the name that the tablet gave it. It is noted before it is recorded
(`backstay.workbench.jack.sent`), so that whatever is sent again, because an answer was lost or a
machine stopped, is recognised and not recorded twice. The first entry that is refused stops the
rest, because what follows may rest on it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from backstay.errors import DesignError
from backstay.fieldbook.at_hand import Asked, beginning
from backstay.records.entries import Entry as Recorded
from backstay.records.facts import LiftedOff, LockedOff, Remark, TestClosed
from backstay.records.refusal import RefusedError, StoreError
from backstay.stressing.record import Reading
from backstay.workbench.jack.asked import (
    Begin,
    Close,
    Correct,
    Entry,
    LiftOff,
    LockOff,
    Parcel,
    Read,
    Remarked,
)
from backstay.workbench.jack.numbers import corrected, load_at, optional, reading, value
from backstay.workbench.jack.sent import Note, SentBook, digest_of
from backstay.workbench.jack.shown import Json
from backstay.workbench.jack.site import JackSite


@dataclass(slots=True)
class Outcome:
    """What became of a parcel.

    results: of the entries that were tried, in order; elsewhere: numbers of readings that others
    recorded and the tablet has not seen, for which nothing was recorded; broken: why the store
    failed, in words.
    """

    results: list[Json] = field(default_factory=list)
    elsewhere: tuple[int, ...] = ()
    broken: str = ""


def enter(site: JackSite, anchor: str, parcel: Parcel, signed_in: str) -> Outcome:
    """Record the entries of a parcel. signed_in: name of the person, empty where nobody is."""
    entering = _Entering(site, anchor, parcel, signed_in)
    outcome = Outcome()
    try:
        outcome.elsewhere = entering.elsewhere()
        for entry in () if outcome.elsewhere else parcel.entries:
            result = entering.take(entry)
            outcome.results.append({"id": str(entry.id), **result})
            if result["state"] == "refused":
                break
    except StoreError as error:
        outcome.broken = error.reason
    return outcome


class _Entering:
    """Entries of one anchor from one tablet on their way into the records."""

    def __init__(self, site: JackSite, anchor: str, parcel: Parcel, signed_in: str) -> None:
        self.site = site
        self.anchor = anchor
        self.parcel = parcel
        self.signed_in = signed_in.strip()
        self.tablet = str(parcel.tablet)
        self.book = SentBook(site.sent)

    def elsewhere(self) -> tuple[int, ...]:
        """Return the readings of the open test that came from others and were not seen yet.

        They matter where something about readings is sent that is not recorded already.
        """
        if self.parcel.override or not any(self._is_new(e) for e in self.parcel.entries):
            return ()
        test = self._open_test()
        if test is None:
            return ()
        mine = {
            n
            for n, note in self.book.of_test(self.anchor, test).items()
            if note.tablet == self.tablet
        }
        sent = {e.at for e in self.parcel.entries if isinstance(e, Read)}
        numbers = {r.number for r in self._ever_read(test) if r.at not in sent}
        return tuple(sorted(n for n in numbers - mine if n > self.parcel.seen))

    def _is_new(self, entry: Entry) -> bool:
        if not isinstance(entry, Read | Correct | Close):
            return False
        note = self.book.note(str(entry.id))
        return note is None or not note.done

    def take(self, entry: Entry) -> Json:
        """Record one entry, or recognise it. Raises StoreError."""
        digest = digest_of(entry.model_dump(mode="json"))
        note = self.book.note(str(entry.id))
        if note is not None and (note.digest, note.anchor) != (digest, self.anchor):
            return _refused("an entry of this name was sent before, with other content")
        if note is not None and note.done:
            return {"state": "stored", "number": note.number, "test": note.test, "before": True}
        fresh = note or Note(str(entry.id), self.anchor, self.tablet, digest)
        try:
            done = self._how(entry)(entry, fresh)
        except StoreError:
            raise
        except (RefusedError, DesignError) as error:
            return _refused(str(error))
        self.book.write(replace(done, done=True))
        return {"state": "stored", "number": done.number, "test": done.test, "before": False}

    def _how(self, entry: Entry) -> Callable[[Any, Note], Note]:
        ways: dict[type, Callable[[Any, Note], Note]] = {
            Begin: self._begin, Read: self._read, Correct: self._correct, Close: self._close,
            LockOff: self._lock_off, LiftOff: self._lift_off, Remarked: self._remark,
        }  # fmt: skip
        return ways[type(entry)]

    def _author(self, entry: Entry) -> str:
        return self.signed_in or entry.by.strip()

    def _open_test(self) -> int | None:
        line = self.site.records.anchor(self.anchor).line
        return line.test if line.test_open else None

    def _ever_read(self, test: int) -> list[Reading]:
        """Return every reading ever recorded of a test, corrected ones as well."""
        return [e.fact for e in self._entries_read(test) if isinstance(e.fact, Reading)]

    def _entries_read(self, test: int) -> list[Recorded[Any]]:
        history = self.site.records.history(self.anchor)
        return [e for e in history if e.kind == "reading" and e.test == test]

    def _begin(self, entry: Begin, note: Note) -> Note:
        records = self.site.records
        line = records.anchor(self.anchor).line
        length = optional(entry.jack_length, "length", "length of tendon in the jack")
        asked = Asked(
            anchor=self.anchor, kind=entry.kind or None, jack=entry.jack, certificate=entry.certificate,
            jack_length=length, residual=entry.residual, tested_by=entry.by.strip() or self.signed_in,
            on=entry.at, exception=entry.exception,
        )  # fmt: skip
        if line.test_open and self._there("test", entry):
            return replace(note, test=line.test)
        if line.test_open:
            raise RefusedError(f"{self.anchor}: test {line.test} still goes on; close it first")
        begun = beginning(line, asked, records, self.site.rules)
        if begun.begun is None:
            raise RefusedError(f"{self.anchor}: there is nothing to begin")
        self.book.write(note)
        records.add(begun.begun, by=self._author(entry), on=entry.at, exception=entry.exception)
        return replace(note, test=begun.number)

    def _there(self, kind: str, entry: Entry) -> bool:
        """Say whether a fact of a kind that happened at the very moment of an entry is recorded."""
        history = self.site.records.history(self.anchor)
        return any(e.kind == kind and e.happened == entry.at for e in history)

    def _read(self, entry: Read, note: Note) -> Note:
        records = self.site.records
        test = note.test if note.test is not None else self._open_test()
        if test is None:
            raise RefusedError(f"{self.anchor}: no test goes on; begin one first")
        procedure = records.test_record(self.anchor, test).procedure
        ever = self._entries_read(test)
        first = [e.fact for e in ever if e.supersedes is None and isinstance(e.fact, Reading)]
        for there in first:
            if replace(reading(entry, procedure, there.number)) == there:
                return replace(note, test=test, number=there.number)
        number = 1 + max((r.number for r in first), default=0)
        made = reading(entry, procedure, number)
        intended = replace(note, test=test, number=number)
        self.book.write(intended)
        records.add_reading(self.anchor, made, by=self._author(entry), test=test)
        return intended

    def _correct(self, entry: Correct, note: Note) -> Note:
        records = self.site.records
        source = self.book.note(str(entry.of)) if entry.of else None
        number = source.number if source else entry.number
        test = source.test if source else records.anchor(self.anchor).line.test
        if number is None or test is None:
            raise RefusedError(f"{self.anchor}: the reading to correct is not in the record")
        chain = [r for r in self._ever_read(test) if r.number == number]
        if not chain:
            raise RefusedError(f"{self.anchor}: test {test} has no reading {number}")
        author = self._author(entry)
        last = chain[-1]
        made = corrected(entry, last)
        if note.test is not None and self._came_in(entry, made, number, test):
            return replace(note, test=test)
        if not entry.withdraw and made == last:
            raise RefusedError(f"reading {number} says this already")
        self.book.write(replace(note, test=test))
        if entry.withdraw:
            records.withdraw_reading(self.anchor, number, by=author, reason=entry.reason, test=test)
        else:
            records.correct_reading(self.anchor, made, by=author, reason=entry.reason, test=test)
        return replace(note, test=test)

    def _came_in(self, entry: Correct, made: Reading, number: int, test: int) -> bool:
        """Say whether a correction that was noted went into the records before its answer was lost."""
        standing = self.site.records.test_record(self.anchor, test).readings
        now = next((r for r in standing if r.number == number), None)
        last = [e for e in self._entries_read(test) if e.supersedes is not None]
        said = any(e.reason == entry.reason for e in last)
        return said and (now is None if entry.withdraw else now == made)

    def _close(self, entry: Close, note: Note) -> Note:
        records = self.site.records
        line = records.anchor(self.anchor).line
        if line.test is None:
            raise RefusedError(f"{self.anchor}: no test has begun")
        if self._there("test closed", entry):
            return replace(note, test=line.test)
        self.book.write(note)
        why = entry.why.strip()
        if entry.ended == "stopped" and not why:
            raise RefusedError("say why the test was stopped")
        fact = TestClosed(anchor=self.anchor, test=line.test, ended=entry.ended, why=why)
        records.add(fact, by=self._author(entry), on=entry.at)
        return replace(note, test=line.test)

    def _lock_off(self, entry: LockOff, note: Note) -> Note:
        if self._there("locked off", entry):
            return note
        jack = self.site.records.test_record(self.anchor).jack
        after = load_at(entry.after, jack, "gauge after") if entry.after else None
        seating = value(entry.seating, "small length", "draw-in") if entry.seating else None
        fact = LockedOff(
            anchor=self.anchor, jack_load=load_at(entry.gauge, jack, "gauge"), load=after,
            seating=seating, head=entry.head, jack=jack.name, certificate=jack.calibration.certificate,
        )  # fmt: skip
        self.book.write(note)
        self.site.records.add(fact, by=self._author(entry), on=entry.at, exception=entry.exception)
        return note

    def _lift_off(self, entry: LiftOff, note: Note) -> Note:
        if self._there("lifted off", entry):
            return note
        jack = self.site.records.test_record(self.anchor).jack
        fact = LiftedOff(
            anchor=self.anchor, load=load_at(entry.gauge, jack, "gauge"), jack=jack.name,
            certificate=jack.calibration.certificate,
            gauge=value(entry.gauge, "gauge pressure", "gauge"),
        )  # fmt: skip
        self.book.write(note)
        self.site.records.add(fact, by=self._author(entry), on=entry.at, exception=entry.exception)
        return note

    def _remark(self, entry: Remarked, note: Note) -> Note:
        said = Remark(anchor=self.anchor, text=entry.text.strip())
        history = self.site.records.history(self.anchor)
        if any(e.fact == said and e.happened == entry.at for e in history):
            return note
        if not said.text:
            raise RefusedError("a remark without words says nothing")
        self.book.write(note)
        self.site.records.add(said, by=self._author(entry), on=entry.at)
        return note


def _refused(why: str) -> Json:
    """Return the result of an entry that is refused; words with placeholders stay for the units."""
    return {"state": "refused", "words": why}
