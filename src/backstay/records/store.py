"""The field records of a wall, open: what is asked of them, and what is added."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from types import TracebackType
from typing import Any, TypeVar

from backstay.records.adding import Adding
from backstay.records.anchor_file import (
    AnchorFile,
    anchor_file,
    entries_of,
    history,
    reading_entries,
)  # fmt: skip
from backstay.records.archive import export_archive, import_archive
from backstay.records.attachments import Folder, content_of, media_of, path_of
from backstay.records.book import Book, last
from backstay.records.correcting import correct
from backstay.records.database import Database
from backstay.records.encoding import fact_of, of_plain
from backstay.records.entries import Entry, RegisterLine
from backstay.records.entry_lookup import entry_of_number
from backstay.records.facts import KINDS, Attachment, Fact
from backstay.records.known import Known
from backstay.records.load_tests import anchor_now, load_test
from backstay.records.reading_log import add_readings, correct_reading
from backstay.records.readings import in_force, reading_of, rows_of
from backstay.records.refusal import RefusedError
from backstay.records.register import register
from backstay.records.rows import EntryRow, ReadingRow
from backstay.records.schema import prepare
from backstay.records.standing import standing
from backstay.records.tabular import TestReadings, readings_csv, readings_of_csv, register_csv
from backstay.records.together import Together
from backstay.records.verify import Verification, verify
from backstay.stressing.jack import Jack
from backstay.stressing.record import Reading, TestedAnchor, TestRecord

T = TypeVar("T", bound=Fact)


def open_records(
    url: str | Path,
    *,
    files: str | Path | None = None,
    wait: float = 10.0,
    clock: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> Records:
    """Open field records, made where there are none and upgraded where they are older.

    url: path of an SQLite file, or the address of a PostgreSQL database; files: folder of
    photographs and files, beside the SQLite file where none is named; wait: seconds to wait for
    another program that writes. Raises StoreError.
    """
    database = Database(url, wait=wait)
    try:
        prepare(database)
    except BaseException:
        database.close()
        raise
    folder = path_of(files) if files is not None else None
    if folder is None and database.path is not None:
        folder = database.path.with_name(database.path.name + ".files")
    return Records(database, Folder(folder), clock)


class Records:
    """The field records of a wall.

    What an `add...`, `correct...` or `withdraw...` returns is on the disk. Nothing is ever changed
    or deleted. Raises RefusedError where an entry does not fit, StoreError where the database
    cannot do it; then nothing was recorded.
    """

    def __init__(self, database: Database, folder: Folder, clock: Callable[[], datetime]) -> None:
        self._database = database
        self._folder = folder
        self._clock = clock

    def __enter__(self) -> Records:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self._database.close()

    def add(
        self, fact: Fact, *, by: str, on: datetime | None = None, exception: str = ""
    ) -> Entry[Any]:
        """Record a fact.

        on: when it happened, now where it is not told; exception: why it is recorded although it
        does not fit the life of the anchor.
        """
        return self.add_all([fact], by=by, on=on, exception=exception)[0]

    def add_all(
        self, facts: Iterable[Fact], *, by: str, on: datetime | None = None, exception: str = ""
    ) -> tuple[Entry[Any], ...]:
        """Record facts in their order, all or none."""
        facts = list(facts)
        with self._adding(by) as adding:
            adding.known.load(a for f in facts if isinstance(a := getattr(f, "anchor", None), str))
            rows = [adding.add(fact, on, exception) for fact in facts]
            return _entries(adding, rows)

    @contextmanager
    def together(self, *, by: str) -> Iterator[Together]:
        """Give what takes several entries, which are recorded all or none when the block ends."""
        with self._adding(by) as adding:
            entries = Together(adding, self._folder)
            yield entries
            entries.end()

    def add_reading(
        self, anchor: str, reading: Reading, *, by: str, test: int | None = None
    ) -> Entry[Reading]:
        """Record one reading of a test that goes on, the last where no number is given."""
        return self.add_readings(anchor, [reading], by=by, test=test)[0]

    def add_readings(
        self, anchor: str, readings: Sequence[Reading], *, by: str, test: int | None = None
    ) -> tuple[Entry[Reading], ...]:
        """Record readings of a test that goes on, all or none."""
        with self._adding(by) as adding:
            rows = add_readings(adding, anchor, test, readings)
            return _readings(adding, anchor, rows)

    def correct(
        self, entry: int, fact: Fact, *, by: str, reason: str, on: datetime | None = None,
        exception: str = "",
    ) -> Entry[Any]:  # fmt: skip
        """Put a fact in the place of an entry. on: when it happened, as told before if not given."""
        if fact is None:
            raise RefusedError("nothing was given to put in its place; withdraw the entry instead")
        return self._correct(entry, fact, by, reason, on, exception)

    def withdraw(self, entry: int, *, by: str, reason: str, exception: str = "") -> Entry[Any]:
        """Say that an entry should not have been; nothing takes its place."""
        return self._correct(entry, None, by, reason, None, exception)

    def correct_reading(
        self, anchor: str, reading: Reading, *, by: str, reason: str, test: int | None = None
    ) -> Entry[Reading]:
        """Put a reading in the place of the one of the same number."""
        with self._adding(by) as adding:
            rows = correct_reading(adding, anchor, test, reading, reason)
            return _readings(adding, anchor, rows)[-1]

    def withdraw_reading(
        self, anchor: str, number: int, *, by: str, reason: str, test: int | None = None
    ) -> Entry[Reading]:
        """Say that a reading should not have been."""
        with self._adding(by) as adding:
            rows = correct_reading(adding, anchor, test, number, reason)
            return _readings(adding, anchor, rows)[-1]

    def attach(
        self, source: bytes | str | Path, *, called: str, by: str, anchor: str = "", caption: str = "",
        on: datetime | None = None,
    ) -> Entry[Attachment]:  # fmt: skip
        """Keep a photograph or a file. called: the name it came with, kept as a label alone."""
        content = content_of(source)
        media = media_of(content)
        with self._adding(by) as adding:
            if anchor:
                adding.known.registered(anchor)
            fact = Attachment(
                sha256=sha256(content).hexdigest(), size=len(content), media=media, name=called,
                caption=caption, anchor=anchor,
            )  # fmt: skip
            made = _entries(adding, [adding.attach(fact, on)])
            self._folder.keep(content)
        return made[0]

    def content(self, digest: str) -> bytes:
        """Return the content of an attached file by its SHA-256, and checked against it."""
        return self._folder.read(digest)

    def register(self) -> tuple[RegisterLine, ...]:
        """Return the line of every anchor of the wall, in order."""
        with self._database.reading() as connection:
            return register(connection)

    def anchor(self, anchor: str, *, until: int | None = None) -> AnchorFile:
        """Return everything in force about an anchor, now or as it was up to an entry."""
        with self._known(until) as known:
            return anchor_file(known, anchor)

    def test_record(
        self, anchor: str, test: int | None = None, *, until: int | None = None
    ) -> TestRecord:
        """Return a test, the last where no number is given, now or as it was up to an entry."""
        with self._known(until) as known:
            return load_test(known, anchor, test)

    def anchor_to_test(self, anchor: str, *, jack_length: float | None = None) -> TestedAnchor:
        """Return what a test that is still to begin must know of its anchor.

        jack_length: tendon from the plate to the grip of the jack, else that of the design.
        """
        with self._known() as known:
            return anchor_now(known, anchor, jack_length)

    def entry(self, number: int) -> Entry[Any]:
        """Return one entry or reading by its number."""
        with self._known() as known:
            return entry_of_number(known, number)

    def history(self, anchor: str) -> tuple[Entry[Any], ...]:
        """Return every entry and reading of an anchor, corrected or not, as they were recorded."""
        with self._known() as known:
            return history(known, anchor)

    def jacks(self) -> tuple[Jack, ...]:
        """Return every jack with each of its certificates, as recorded."""
        with self._known() as known:
            return tuple(
                of_plain(Jack, one.plain["jack"]) for one in standing(known.of_kind("jack"))
            )

    def facts(self, kind: type[T]) -> tuple[T, ...]:
        """Return every fact of a kind that is in force, of all anchors, as they were recorded."""
        called = next(name for name, one in KINDS.items() if one is kind)
        with self._known() as known:
            found = standing(known.of_kind(called))
            procedures = known.procedures() if called == "test" else {}
            facts = (fact_of(called, one.row.payload, procedures) for one in found)
            return tuple(fact for fact in facts if isinstance(fact, kind))

    def remarks(self) -> tuple[Entry[Any], ...]:
        """Return the remarks and files about the work as a whole."""
        with self._known() as known:
            found = [
                one.row
                for kind in ("remark", "file")
                for one in standing(known.of_kind(kind))
                if one.row.anchor is None
            ]
            return tuple(entries_of(sorted(found, key=lambda row: row.id), {}))

    def last(self) -> tuple[int, str]:
        """Return number and hash of the last entry, to write down on paper."""
        with self._database.reading() as connection:
            number, digest = last(connection)
            return number, digest.hex()

    def verify(self, seen: tuple[int, str] | None = None) -> Verification:
        """Go through every hash and file. seen: a `last` that was written down before."""
        with self._database.reading() as connection:
            return verify(connection, self._folder.fault_of, seen)

    def export(self, path: str | Path) -> None:
        """Write everything to one archive, whole or not at all."""
        place = path_of(path)
        with self._database.reading() as connection:
            export_archive(connection, self._folder, place)

    def import_archive(self, path: str | Path) -> int:
        """Bring in an archive, whole or not at all; return how many entries were new."""
        place = path_of(path)
        with self._database.writing() as connection:
            return import_archive(connection, self._folder, place)

    def readings_csv(self, anchor: str | None = None) -> str:
        """Return the readings in force of an anchor, or of all, as CSV."""
        with self._known() as known:
            return readings_csv(self._tests(known, anchor))

    def add_readings_csv(self, text: str, *, by: str) -> int:
        """Record the readings of a CSV table as `readings_csv` writes it, all or none."""
        tables = readings_of_csv(text)
        with self._adding(by) as adding:
            for anchor, test, readings in tables:
                add_readings(adding, anchor, test, readings)
            adding.book.flush()
        return sum(len(readings) for _, _, readings in tables)

    def register_csv(self) -> str:
        """Return the register as CSV."""
        return register_csv(self.register())

    def _tests(self, known: Known, anchor: str | None) -> Iterator[TestReadings]:
        planned = (one.row.anchor or "" for one in standing(known.of_kind("planned")))
        for name in [anchor] if anchor is not None else sorted(planned):
            for test in known.tests(name):
                rows = in_force(rows_of(known.connection, [test.root], None))
                yield name, test.number, [reading_of(row) for row in rows]

    def _correct(
        self, entry: int, fact: Fact | None, by: str, reason: str, on: datetime | None,
        exception: str,
    ) -> Entry[Any]:  # fmt: skip
        with self._adding(by) as adding:
            row = correct(adding, entry, fact, reason=reason, on=on, exception=exception)
            return _entries(adding, [row])[0]

    @contextmanager
    def _adding(self, by: str) -> Iterator[Adding]:
        with self._database.writing() as connection:
            book = Book(connection)
            yield Adding(Known(connection, book=book), book, author=by, now=self._clock())

    @contextmanager
    def _known(self, until: int | None = None) -> Iterator[Known]:
        with self._database.reading() as connection:
            yield Known(connection, until=until)


def _entries(adding: Adding, rows: Sequence[EntryRow]) -> tuple[Entry[Any], ...]:
    """Hand rows over to the database and return them as entries."""
    adding.book.flush()
    tested = any(row.kind == "test" for row in rows)
    return tuple(entries_of(rows, adding.known.procedures() if tested else {}))


def _readings(
    adding: Adding, anchor: str, rows: Sequence[ReadingRow]
) -> tuple[Entry[Reading], ...]:
    """Hand rows of readings over to the database and return them as entries, as recorded."""
    adding.book.flush()
    numbers: dict[int, int | None] = {t.root: t.number for t in adding.known.tests(anchor)}
    return tuple(sorted(reading_entries(anchor, rows, numbers), key=lambda entry: entry.id))
