"""All records in one archive, out and in again, without loss.

The archive is a zip file: ``manifest.json`` (format, counts, the last hash), ``records.jsonl``
(every entry and reading as recorded, one JSON object a line) and ``files/`` (by SHA-256). The same
records give the same bytes. What comes in is checked hash by hash before any of it counts.
"""

from __future__ import annotations

import json
import shutil
import zlib
from collections.abc import Iterator
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import IO, Any, get_type_hints
from zipfile import ZIP_DEFLATED, BadZipFile, ZipFile, ZipInfo, is_zipfile

from sqlalchemy import Connection

from backstay.files import atomic_path
from backstay.records.attachments import MOST_BYTES, Folder
from backstay.records.book import Book
from backstay.records.encoding import START, canonical, fact_of, moment, of_text
from backstay.records.facts import Attachment
from backstay.records.readings import reading_of, reading_row
from backstay.records.refusal import RecordsError, RefusedError, StoreError
from backstay.records.rows import EntryRow, ReadingRow, Row
from backstay.records.verify import rows
from backstay.stressing.procedure import Procedure

FORMAT = "backstay field records"
VERSION = 1
_MANIFEST, _RECORDS, _FILES = "manifest.json", "records.jsonl", "files/"
_LONGEST_LINE = 10_000_000
_AT_ONCE = 1 << 20
_TYPES = {kind: get_type_hints(kind) for kind in (EntryRow, ReadingRow)}


def export_archive(connection: Connection, folder: Folder, path: Path) -> None:
    """Write all records and files to an archive, whole or not at all. Raises StoreError.

    What is there already is replaced where it is an archive, and nothing else is.
    """
    try:
        if path.is_file() and path.stat().st_size and not is_zipfile(path):
            raise StoreError(
                f"{path}: not written (it is there already and is no archive; name another file)."
            )
        with atomic_path(path) as whole, ZipFile(whole, "w", ZIP_DEFLATED, compresslevel=6) as out:
            files, counts, last = _write_records(connection, out)
            for digest in sorted(files):
                fault = folder.fault(digest, files[digest])
                if fault:
                    raise StoreError(f"{path}: not written, because {fault}.")
                with (
                    folder.place(digest).open("rb") as source,
                    out.open(_member(f"{_FILES}{digest}"), "w") as target,
                ):
                    shutil.copyfileobj(source, target, _AT_ONCE)
            manifest = {
                "format": FORMAT, "version": VERSION, **counts, "files": len(files),
                "last": last[0], "hash": last[1].hex(),
            }  # fmt: skip
            out.writestr(_member(_MANIFEST), json.dumps(manifest, indent=2) + "\n")
    except OSError as error:
        raise StoreError(f"{path}: not written ({error.strerror or error}).") from error


def _write_records(
    connection: Connection, out: ZipFile
) -> tuple[dict[str, int], dict[str, int], tuple[int, bytes]]:
    files: dict[str, int] = {}
    counts = {"entries": 0, "readings": 0}
    last = (0, START)
    with out.open(_member(_RECORDS), "w", force_zip64=True) as stream:
        for row in rows(connection):
            plain = row._asdict() | {"hash": row.hash.hex()}
            if isinstance(row, EntryRow):
                counts["entries"] += 1
                plain["payload"] = json.loads(row.payload)
                if row.kind == "file" and plain["payload"]:
                    files[plain["payload"]["sha256"]] = plain["payload"]["size"]
            else:
                counts["readings"] += 1
                plain["dials"] = json.loads(row.dials)
            stream.write(canonical(plain).encode("utf-8") + b"\n")
            last = (row.id, row.hash)
    return files, counts, last


def _member(name: str) -> ZipInfo:
    """Return a member of the archive without a date, so that the same records give the same bytes."""
    info = ZipInfo(name, (1980, 1, 1, 0, 0, 0))
    info.compress_type = ZIP_DEFLATED
    info.external_attr = 0o644 << 16
    return info


def import_archive(connection: Connection, folder: Folder, path: Path) -> int:
    """Bring an archive in, whole or not at all; return how many entries came in.

    Records that are there already must be the beginning of those in the archive: then what is new
    is added. Raises RefusedError with the reason where the archive cannot be taken.
    """
    try:
        with ZipFile(path) as archive:
            manifest = _manifest(archive)
            files = _files(archive)
            reader = _Reader(connection, files)
            with archive.open(_RECORDS) as stream:
                for number, line in enumerate(_lines(stream), 1):
                    reader.take(line, number)
            reader.end(manifest)
            for digest, size in sorted(reader.files.items()):
                with archive.open(f"{_FILES}{digest}") as content:
                    kept = content.read(MOST_BYTES + 1)
                if len(kept) != size or sha256(kept).hexdigest() != digest:
                    raise RefusedError(f"file {digest} is not what its name says")
                folder.keep(kept)
            return reader.added
    except RecordsError as error:
        raise type(error)(f"{path}: {error}") from None
    except (BadZipFile, KeyError, EOFError, NotImplementedError, RuntimeError, zlib.error) as error:
        raise RefusedError(f"{path}: this is no archive of field records ({error})") from None
    except OSError as error:
        raise StoreError(f"{path}: {error.strerror or error}") from None


def _manifest(archive: ZipFile) -> dict[str, Any]:
    try:
        with archive.open(_MANIFEST) as stream:
            manifest = json.loads(stream.read(100_000))
    except (KeyError, ValueError):
        manifest = None
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        raise RefusedError("this is no archive of field records")
    version = manifest.get("version")
    if not isinstance(version, int) or version > VERSION:
        raise RefusedError(
            f"written by a newer Backstay (archive version {version}; this one knows {VERSION})"
        )
    return manifest


def _files(archive: ZipFile) -> set[str]:
    return {name.removeprefix(_FILES) for name in archive.namelist() if name.startswith(_FILES)}


def _lines(stream: IO[bytes]) -> Iterator[bytes]:
    while line := stream.readline(_LONGEST_LINE):
        yield line


class _Reader:
    """Takes the lines of an archive in order: each must chain to the one before."""

    def __init__(self, connection: Connection, files: set[str]) -> None:
        self.connection = connection
        self.book = Book(connection)
        self.present = self.book.id
        self.there = files
        self.last, self.hash = 0, START
        self.added = 0
        self.files: dict[str, int] = {}
        self.counts = {"entries": 0, "readings": 0}
        self._procedures: dict[int, Procedure] = {}

    def take(self, line: bytes, number: int) -> None:
        """Take one line. Raises RefusedError."""
        try:
            row = _row(json.loads(line))
        except (ValueError, TypeError, KeyError, RecursionError) as error:
            raise RefusedError(f"line {number} of the records cannot be read ({error})") from None
        if row.id != self.last + 1:
            raise RefusedError(f"between entry {self.last} and entry {row.id} something is missing")
        try:
            if row.hash != row.chained(self.hash):
                raise RefusedError(f"entry {row.id} is not as it was written")
            self._sound(row)
        except (ValueError, TypeError, KeyError) as error:
            raise RefusedError(f"entry {row.id} cannot be read ({error})") from None
        self.last, self.hash = row.id, row.hash
        if row.id == self.present and row.hash != self.book.hash:
            raise RefusedError(
                "the records that are there are not the beginning of those in the archive "
                f"(they part at entry {row.id} or before); import it into a new database"
            )
        if row.id > self.present:
            self.book.take(row)
            self.added += 1

    def end(self, manifest: dict[str, Any]) -> None:
        """Hold the whole against the manifest. Raises RefusedError."""
        self.book.flush()
        found = {
            **self.counts,
            "last": self.last,
            "hash": self.hash.hex(),
            "files": len(self.files),
        }
        for name, value in found.items():
            if manifest.get(name) != value:
                raise RefusedError(f"the archive is not whole: its {name} differ from the manifest")
        if self.last < self.present:
            raise RefusedError(
                f"there are {self.present} entries already, and the archive ends at {self.last}"
            )

    def _sound(self, row: Row) -> None:
        times = (row.recorded,) if isinstance(row, ReadingRow) else (row.happened, row.recorded)
        for text in times:
            if moment(datetime.fromisoformat(text), "a time") != text:
                raise RefusedError(f"entry {row.id} has no proper time")
        if isinstance(row, ReadingRow):
            self.counts["readings"] += 1
            again = reading_row(
                reading_of(row), test=row.test, revision=row.revision,
                withdrawn=bool(row.withdrawn), recorded=row.recorded, author=row.author,
                reason=row.reason,
            )  # fmt: skip
            if again._replace(id=row.id, hash=row.hash) != row:
                raise RefusedError(f"entry {row.id} is no reading")
            return
        self.counts["entries"] += 1
        if row.kind == "procedure":
            self._procedures[row.id] = of_text(Procedure, row.payload)
            return
        fact = fact_of(row.kind, row.payload, self._procedures)
        if isinstance(fact, Attachment):
            if fact.sha256 not in self.there:
                raise RefusedError(f"file {fact.sha256} is missing")
            self.files[fact.sha256] = fact.size


def _row(plain: Any) -> Row:
    kind: type[EntryRow] | type[ReadingRow] = EntryRow if "payload" in plain else ReadingRow
    if set(plain) != set(kind._fields):
        raise ValueError("its columns are not those of a record")
    packed = "payload" if kind is EntryRow else "dials"
    plain |= {packed: canonical(plain[packed]), "hash": bytes.fromhex(plain["hash"])}
    row = kind(**plain)
    for field, value in row._asdict().items():
        if not isinstance(value, _TYPES[kind][field]):
            raise ValueError(f"{field} is of the wrong type")
    return row
