"""Bringing a field book into the records: all of what is new in it, or nothing.

What was recorded before is recognised by kind, anchor, time and values, so that a book that grows
is entered again as a whole. An entry of the same kind and time with other values is refused: what
is recorded is corrected, never written over.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import datetime
from hashlib import sha256
from pathlib import Path as FilePath

from backstay.errors import DesignError, Fault, ProjectError
from backstay.fieldbook.book_reading import BookText
from backstay.fieldbook.facts_of_book import Booked, booked, jack_of
from backstay.fieldbook.lift_offs import lift_offs_as_read
from backstay.fieldbook.moments import Moment
from backstay.fieldbook.names import AnchorNames, UnknownAnchorError
from backstay.fieldbook.trying import Course, recording
from backstay.model.document import Path
from backstay.records.entries import Entry, RegisterLine
from backstay.records.facts import (
    Attachment,
    Fact,
    Grouted,
    GroutStrength,
    JackCertified,
    Planned,
    Remark,
)
from backstay.records.refusal import RefusedError
from backstay.records.store import Records
from backstay.records.together import Together
from backstay.stressing.rules import TestRules

MOST_FILE = 200_000_000


@dataclass(frozen=True, slots=True)
class Entered:
    """What became of a book: how many of its entries were recorded, and how many were before."""

    new: int
    before: int


def enter_book(
    text: BookText, records: Records, *, by: str, now: datetime, course: Course = "record",
    rules: TestRules | None = None,
) -> Entered:  # fmt: skip
    """Record what is new in a field book. Raises ProjectError with every fault found.

    course: "try" goes the same way and records nothing in the end; rules: of the project, by which
    a lift-off is found from its readings: without them such a lift-off is refused.
    """
    register = {line.anchor: line for line in records.register()}
    names = _names(text, register)
    try:
        jacks = (*records.jacks(), *map(jack_of, text.book.jacks))
        lift_offs = lift_offs_as_read(text, names, records, rules, jacks, now)
        entries = list(booked(text.book, names, register, lift_offs))
    except DesignError as error:  # a certificate on which no line can stand
        raise ProjectError(
            [text.fault(("jacks",), f"{error.where}: {error.reason}")], text.name
        ) from None
    there = _Recorded(records, register)
    faults: list[Fault] = []
    new: list[Booked] = []
    for one in entries:
        state = there.compare(one, text)
        if isinstance(state, Fault):
            faults.append(state)
        elif not state:
            new.append(one)
    files = [(i, path) for i, path in _files(text, names, there, faults)]
    if faults:
        raise ProjectError(faults, text.name)
    if new or files:
        with recording(records, by=by, course=course) as together:
            faults = [*_add(text, new, together, now), *_attach(text, files, names, together, now)]
            if faults:
                raise ProjectError(faults, text.name)
    total = len(entries) + len(text.book.files)
    return Entered(len(new) + len(files), total - len(new) - len(files))


def _names(text: BookText, register: dict[str, RegisterLine]) -> dict[Path, str]:
    """Return the names of the register by the places of the anchors in the book."""
    coming = [one.replacement for one in text.book.replacements]
    known = AnchorNames([*register, *(name for name in coming if name not in register)])
    found: dict[Path, str] = {}
    faults = []
    for key in type(text.book).model_fields:
        entries = getattr(text.book, key)
        for i, entry in enumerate(entries if isinstance(entries, tuple) else ()):
            written = getattr(entry, "anchor", None)
            path: Path = (key, i, "anchor")
            if written is None:
                continue
            try:
                found[path] = known.meant(written)
            except UnknownAnchorError as error:
                faults.append(text.fault(path, str(error)))
            else:
                if key == "replacements" and found[path] not in register:
                    faults.append(
                        text.fault(path, "an anchor of this book is no anchor to replace yet")
                    )
    if faults:
        raise ProjectError(faults, text.name)
    return found


class _Recorded:
    """What is recorded already, to recognise what was entered before."""

    def __init__(self, records: Records, register: dict[str, RegisterLine]) -> None:
        self._records = records
        self._register = register
        self._history: dict[str, tuple[Entry[Fact], ...]] = {}
        self._jacks = {(j.name, j.calibration.certificate): j for j in records.jacks()}

    def of(self, anchor: str) -> tuple[Entry[Fact], ...]:
        """Return every entry about an anchor, corrected or not; of the whole work where it is empty."""
        if anchor not in self._history:
            if not anchor:
                found = self._records.remarks()
            else:
                found = self._records.history(anchor) if anchor in self._register else ()
            self._history[anchor] = found
        return self._history[anchor]

    def compare(self, one: Booked, text: BookText) -> bool | Fault:
        """Say whether a fact is recorded, or what is wrong where it is with other values."""
        fact = one.fact
        if isinstance(fact, JackCertified):
            jack = self._jacks.get((fact.jack.name, fact.jack.calibration.certificate))
            if jack is None or jack == fact.jack:
                return jack is not None
            return text.fault(
                one.path, "this jack and certificate are recorded with other values", "", _CORRECT
            )
        if isinstance(fact, Planned):
            line = self._register.get(fact.anchor)
            return line is not None and line.replaces == fact.replaces
        alike = [
            e
            for e in self.of(getattr(fact, "anchor", ""))
            if type(e.fact) is type(fact) and self._same_time(e, one, text)
        ]
        if any(_says_the_same(e.fact, one) for e in alike):
            return True
        rival = next((e for e in alike if _rivals(e.fact, fact)), None)
        if rival is None:
            return False
        rule = f"entry {rival.id} records this already, with other values"
        return text.fault(one.path, rule, "", _CORRECT)

    def holds(self, anchor: str, digest: str) -> bool:
        """Say whether a file is kept already for an anchor."""
        return any(
            isinstance(e.fact, Attachment) and e.fact.sha256 == digest for e in self.of(anchor)
        )

    @staticmethod
    def _same_time(entry: Entry[Fact], one: Booked, text: BookText) -> bool:
        if entry.happened is None or one.on is None:
            return False
        return one.on.same(entry.happened, text.book.zone)


_CORRECT = "correct that entry instead, with a reason"


def _says_the_same(recorded: Fact | None, one: Booked) -> bool:
    """Say whether what is recorded is what the book has: what is found of it is no matter."""
    return recorded is not None and all(
        getattr(recorded, f.name) == getattr(one.fact, f.name)
        for f in fields(one.fact)
        if f.name not in one.found
    )


def _rivals(recorded: Fact | None, fact: Fact) -> bool:
    """Say whether two facts of one kind and time cannot both be."""
    if isinstance(fact, Remark):
        return False
    if isinstance(fact, Grouted) and isinstance(recorded, Grouted):
        return fact.stage == recorded.stage
    if isinstance(fact, GroutStrength) and isinstance(recorded, GroutStrength):
        return (fact.sample, fact.age) == (recorded.sample, recorded.age)
    return True


def _add(text: BookText, new: Iterable[Booked], together: Together, now: datetime) -> list[Fault]:
    """Add facts; of each anchor the first refusal alone is told, what follows rests on it."""
    faults = []
    refused: set[str] = set()
    for one in new:
        anchor = getattr(one.fact, "anchor", "")
        if anchor and anchor in refused:
            continue
        try:
            on = (
                one.on.at(text.book.zone, late=one.late, now=now)
                if one.on
                else _issued(one.fact, text)
            )
            together.add(one.fact, on=on, exception=one.exception)
        except RefusedError as refusal:
            refused.add(anchor)
            faults.append(text.fault(one.path, str(refusal)))
    return faults


def _issued(fact: Fact, text: BookText) -> datetime | None:
    """Return the day on which a certificate was issued."""
    return (
        Moment(fact.jack.calibration.on).at(text.book.zone)
        if isinstance(fact, JackCertified)
        else None
    )


def _files(
    text: BookText, names: dict[Path, str], there: _Recorded, faults: list[Fault]
) -> Iterable[tuple[int, FilePath]]:
    """Yield the files of the book that are not kept yet; note those that cannot be read."""
    for i, one in enumerate(text.book.files):
        at: Path = ("files", i, "path")
        if text.folder is None:
            faults.append(
                text.fault(
                    at, "files do not come along with a book here", "", "attach it by itself"
                )
            )
            continue
        path = text.folder / one.path
        try:
            if not path.is_file():
                faults.append(text.fault(at, "there is no such file beside the book"))
                continue
            if path.stat().st_size > MOST_FILE:
                faults.append(
                    text.fault(at, f"the file is larger than {MOST_FILE // 1_000_000} MB")
                )
                continue
            digest = sha256(path.read_bytes()).hexdigest()
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            faults.append(text.fault(at, f"the file cannot be read: {reason}"))
            continue
        if not there.holds(names.get(("files", i, "anchor"), ""), digest):
            yield i, path


def _attach(
    text: BookText, files: Iterable[tuple[int, FilePath]], names: dict[Path, str],
    together: Together, now: datetime,
) -> list[Fault]:  # fmt: skip
    faults = []
    for i, path in files:
        one = text.book.files[i]
        try:
            together.attach(
                path, called=path.name, anchor=names.get(("files", i, "anchor"), ""),
                caption=one.caption, on=one.on.at(text.book.zone, now=now),
            )  # fmt: skip
        except RefusedError as refusal:
            faults.append(text.fault(("files", i), str(refusal)))
    return faults
