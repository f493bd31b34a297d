"""Adding to the records: every fact is held against what is there before it is written."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import Any, cast

from backstay.records.book import Book
from backstay.records.encoding import canonical, checked, moment, name, plain_of, sound_text
from backstay.records.facts import (
    KINDS,
    Attachment,
    Fact,
    JackCertified,
    LiftedOff,
    LockedOff,
    Planned,
    Remark,
    Replaced,
    Submittal,
    TestBegun,
    TestClosed,
    VerdictIssued,
)  # fmt: skip
from backstay.records.known import Known
from backstay.records.refusal import RefusedError
from backstay.records.rows import EntryRow
from backstay.records.standing import NOTHING, standing
from backstay.stressing.procedure import Procedure

_CLOCKS_DIFFER = timedelta(hours=1)


class Adding:
    """One writing transaction: by whom, at which time, on which state of the records."""

    def __init__(self, known: Known, book: Book, *, author: str, now: datetime) -> None:
        self.known = known
        self.book = book
        self.author = name(author, "author")
        self.now = now
        self.recorded = moment(now, "now")
        self._places: dict[tuple[object, ...], str] | None = None

    def add(self, fact: Fact, on: datetime | None, exception: str) -> EntryRow:
        """Add a fact. Raises RefusedError, and then nothing is written."""
        kind = kind_of(fact)
        if isinstance(fact, Attachment):
            raise RefusedError("a file is added with its content: attach it")
        sound, what = self._sound(fact, kind)
        anchor = _anchor(sound)
        test = self._held_against_what_is_there(sound)
        row = EntryRow(
            id=0, kind=kind, anchor=anchor, test=test, happened=self.happened(on),
            recorded=self.recorded, author=self.author, supersedes=None, reason="",
            exception=_exception(exception), payload=self.payload(sound),
        )  # fmt: skip
        if isinstance(sound, Planned):
            return self.write(row)
        self.fits(row, _anchors(sound), what)
        return self.write(row)

    def attach(self, fact: Attachment, on: datetime | None) -> EntryRow:
        """Add a file whose content is kept already."""
        sound = checked(fact, "file")
        name(sound.name.strip(), "the name of the file")
        if sound.anchor:
            self.known.registered(sound.anchor)
        return self.write(
            EntryRow(
                id=0, kind="file", anchor=_anchor(sound), test=None, happened=self.happened(on),
                recorded=self.recorded, author=self.author, supersedes=None, reason="",
                exception="", payload=self.payload(sound),
            )
        )  # fmt: skip

    def write(self, row: EntryRow) -> EntryRow:
        """Write a row at the end of the records."""
        written = cast(EntryRow, self.book.write(row))
        self.known.take(written)
        return written

    def happened(self, on: datetime | None) -> str:
        """Return when a fact happened, now where it is not told. Raises RefusedError."""
        if on is None:
            return self.recorded
        text = moment(on, "the time it happened")
        if on > self.now + _CLOCKS_DIFFER:
            raise RefusedError(
                f"the time it happened, {text}, is still to come (now {self.recorded})"
            )
        return text

    def payload(self, fact: Fact) -> str:
        """Return the payload of a fact; the procedure of a test stands once, for all alike."""
        plain = plain_of(fact)
        if isinstance(fact, TestBegun):
            plain["procedure"] = self._procedure(fact.procedure)
        return canonical(plain)

    def plain_before(self, row: EntryRow) -> dict[str, Any] | None:
        """Return the fact of an entry as plain data; of a withdrawal, the one it took away."""
        while row.payload == NOTHING and row.supersedes is not None:
            row = self.known.entry(row.supersedes)
        plain: dict[str, Any] | None = json.loads(row.payload)
        return plain

    def fits(self, row: EntryRow, anchors: Iterable[str], what: str) -> None:
        """Hold a row against the life of the anchors it is about. Raises RefusedError."""
        coming = row._replace(id=self.book.id + 1)
        covering = self.known.covering(coming) if row.kind == "submittal" else None
        for anchor in anchors:
            before = {(m.id, m.never) for m in self.known.life(anchor).misfits}
            after = self.known.life(anchor, coming, covering).misfits
            new = [m for m in after if (m.id, m.never) not in before]
            for misfit in new:
                if misfit.never or not row.exception:
                    late = "" if misfit.id == coming.id else f" (entry {misfit.id} would not fit)"
                    how = "" if misfit.never else "; state an exception to record it all the same"
                    raise RefusedError(f"{anchor}: {what} does not fit: {misfit.words}{late}{how}")

    def _sound(self, fact: Fact, kind: str) -> tuple[Fact, str]:
        what = f"'{kind}'"
        sound = checked(fact, what)
        for field in ("anchor", "jack", "certificate", "replacement"):
            value = getattr(sound, field, None)
            if isinstance(value, str) and (value or not _may_be_empty(sound, field)):
                name(value, field)
        return sound, what

    def _held_against_what_is_there(self, fact: Fact) -> int | None:
        """Return the number of the test that a fact is on, or begins. Raises RefusedError."""
        if isinstance(fact, Planned):
            self._new_anchor(fact)
        elif isinstance(fact, JackCertified):
            self._new_jack(fact)
        elif isinstance(fact, Submittal):
            self.covers(fact)
        elif anchor := _anchor(fact):
            self.known.registered(anchor)
        if isinstance(fact, Replaced):
            self.replacement(fact)
        self.known_jack(fact)
        if isinstance(fact, TestBegun):
            name(fact.tested_by, "tested_by")
            return self._next_test(fact.anchor)
        if isinstance(fact, TestClosed):
            test = self.known.test(fact.anchor, fact.test)
            if not test.open:
                raise RefusedError(f"{fact.anchor}: test {fact.test} is closed already")
            return test.number
        if isinstance(fact, VerdictIssued):
            return self.known.test(fact.anchor, fact.test).number
        return None

    def _new_anchor(self, fact: Planned) -> None:
        if self.known.has(fact.anchor):
            raise RefusedError(f"{fact.anchor}: this anchor is in the register already")
        if fact.replaces:
            self.known.registered(fact.replaces)
        self.place_is_free(fact)

    def place_is_free(self, fact: Planned) -> None:
        """Refuse a second anchor in the place of another, unless it replaces it. Raises RefusedError."""
        if self._places is None:
            planned = standing(self.known.of_kind("planned"))
            self._places = {
                _place(one.plain): one.plain["anchor"]
                for one in planned
                if not one.plain["replaces"]
            }
        if fact.replaces:
            return
        taken = self._places.setdefault(_place(plain_of(fact)), fact.anchor)
        if taken != fact.anchor:
            raise RefusedError(
                f"{fact.anchor}: {fact.part} row {fact.row} number {fact.number} is in the "
                f"register already, as {taken}"
            )

    def _new_jack(self, fact: JackCertified) -> None:
        jack = name(fact.jack.name, "jack")
        certificate = name(fact.jack.calibration.certificate, "certificate")
        if (jack, certificate) in self._jacks():
            raise RefusedError(f"jack {jack}: certificate {certificate} is recorded already")

    def known_jack(self, fact: Fact) -> None:
        """Refuse a jack and certificate that are not recorded. Raises RefusedError."""
        if not isinstance(fact, TestBegun | LockedOff | LiftedOff):
            return
        named = (fact.jack, fact.certificate)
        if named != ("", "") and named not in self._jacks():
            raise RefusedError(
                f"{fact.anchor}: jack {fact.jack!r} with certificate {fact.certificate!r} "
                "is not recorded"
            )

    def replacement(self, fact: Replaced) -> None:
        """Refuse a replacement that is not registered, or the anchor itself. Raises RefusedError."""
        if fact.replacement == fact.anchor:
            raise RefusedError(f"{fact.anchor}: an anchor does not replace itself")
        self.known.registered(fact.replacement)

    def _jacks(self) -> set[tuple[str, str]]:
        found = set()
        for one in standing(self.known.of_kind("jack")):
            jack = one.plain["jack"]
            found.add((jack["name"], jack["calibration"]["certificate"]))
        return found

    def covers(self, fact: Submittal) -> None:
        """Refuse a submittal for anchors that are not registered. Raises RefusedError."""
        if not fact.anchors or len(set(fact.anchors)) != len(fact.anchors):
            raise RefusedError(f"submittal {fact.number}: name each anchor that it covers once")
        self.known.load(fact.anchors)
        for anchor in fact.anchors:
            self.known.registered(anchor)

    def _next_test(self, anchor: str) -> int:
        begun = [test for test in self.known.tests(anchor) if test.open]
        if begun:
            raise RefusedError(f"{anchor}: test {begun[-1].number} still goes on; close it first")
        return 1 + max(
            (r.test or 0 for r in self.known.rows(anchor) if r.kind == "test"), default=0
        )

    def _procedure(self, procedure: Procedure) -> int:
        payload = canonical(plain_of(procedure))
        for row in self.known.of_kind("procedure"):
            if row.payload == payload:
                return row.id
        row = EntryRow(
            id=0, kind="procedure", anchor=None, test=None, happened=self.recorded,
            recorded=self.recorded, author=self.author, supersedes=None, reason="", exception="",
            payload=payload,
        )  # fmt: skip
        return self.write(row).id


def kind_of(fact: object) -> str:
    """Return the kind of a fact. Raises RefusedError for anything else."""
    for kind, type_ in KINDS.items():
        if type(fact) is type_:
            return kind
    raise RefusedError(f"this is no fact that can be recorded: {type(fact).__name__}")


def _may_be_empty(fact: Fact, field: str) -> bool:
    """Return whether a name may be left out: a remark on the whole work, a jack not noted."""
    if field == "anchor":
        return isinstance(fact, Remark | Attachment)
    return field in ("jack", "certificate") and isinstance(fact, LockedOff | LiftedOff)


def _anchor(fact: Fact) -> str | None:
    return getattr(fact, "anchor", None) or None


def _anchors(fact: Fact) -> Sequence[str]:
    if isinstance(fact, Submittal):
        return fact.anchors
    anchor = _anchor(fact)
    return [anchor] if anchor else []


def _place(planned: dict[str, object]) -> tuple[object, ...]:
    return tuple(planned[field] for field in ("part", "row", "number", "trial"))


def _exception(text: object) -> str:
    if not isinstance(text, str):
        raise RefusedError("an exception is stated in words")
    return sound_text(text.strip(), "exception")
