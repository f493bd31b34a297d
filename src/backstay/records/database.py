"""The connection: safe settings, one writer at a time, and errors in words.

SQLite: write-ahead log, every commit forced to the disk, foreign keys, and a wait for whoever
else is writing. PostgreSQL: every commit forced to the disk, one advisory lock for writers.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from backstay.records.refusal import StoreError

WRITERS = 0x42535259
"""Key of the advisory lock, and application id of the SQLite file ("BSRY")."""
_WRITING = "backstay_writing"
_SQLITE = {
    sqlite3.SQLITE_BUSY: "another program is writing to it, and went on for longer than the wait",
    sqlite3.SQLITE_LOCKED: "another program is writing to it",
    sqlite3.SQLITE_FULL: "the disk is full",
    sqlite3.SQLITE_READONLY: "it cannot be written: the file or its folder is read-only",
    sqlite3.SQLITE_CANTOPEN: "it cannot be opened: no such folder, or no right to it",
    sqlite3.SQLITE_PERM: "there is no right to it",
    sqlite3.SQLITE_NOTADB: "this is not a database",
    sqlite3.SQLITE_CORRUPT: "the file is damaged; go back to a copy or an export",
    sqlite3.SQLITE_IOERR: "the disk failed to read or write",
    sqlite3.SQLITE_TOOBIG: "an entry is too long",
}
_POSTGRES = {
    "55P03": "another program is writing to it, and went on for longer than the wait",
    "53100": "the disk of the server is full",
    "53200": "the server is out of memory",
    "53300": "the server has no connection left",
    "25006": "the server takes no writing (it is read-only)",
    "42501": "there is no right to it",
    "3D000": "the server has no such database",
    "57P01": "the server was shut down",
}
_NOTHING_LOST = "Nothing of this was recorded; what was confirmed before is safe."


class Database:
    """A database of field records, open. `label` names it without a password."""

    def __init__(self, url: str | Path, *, wait: float = 10.0) -> None:
        self.url = _url(url)
        self.wait = wait
        self.sqlite = self.url.get_backend_name() == "sqlite"
        self.path = Path(self.url.database or "").absolute() if self.sqlite else None
        self.label = str(self.url.database) if self.sqlite else self.url.render_as_string()
        self.read_only = self.path is not None and _only_to_read(self.path)
        if self.read_only and self.path is not None:
            self.url = URL.create("sqlite", database=_still(self.path), query={"uri": "true"})
        self.engine = self._sqlite_engine() if self.sqlite else self._postgres_engine()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees one state of the database throughout. Raises StoreError."""
        with self.in_words(), self.engine.connect() as connection:
            if not self.sqlite:
                connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give the connection of the one writer; on leaving, the disk has it. Raises StoreError."""
        if self.read_only:
            raise self._words(_SQLITE[sqlite3.SQLITE_READONLY], _NOTHING_LOST)
        with self.in_words(_NOTHING_LOST), self.engine.connect() as connection:
            connection.execution_options(**{_WRITING: True})
            if not self.sqlite:  # whoever waited for the lock must see what was written meanwhile
                connection.execution_options(isolation_level="READ COMMITTED")
            with connection.begin():
                if not self.sqlite:
                    milliseconds = max(1, int(1000 * self.wait))
                    connection.exec_driver_sql("SET LOCAL synchronous_commit = on")
                    connection.exec_driver_sql(f"SET LOCAL lock_timeout = {milliseconds}")
                    connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITERS})")
                yield connection

    @contextmanager
    def in_words(self, consequence: str = "") -> Iterator[None]:
        """Turn the errors of the database into one sentence. Raises StoreError."""
        try:
            yield
        except DBAPIError as error:
            raise self._words(_reason(error), consequence) from error
        except PoolTimeout as error:
            raise self._words("too many are using it at once", consequence) from error
        except SQLAlchemyError as error:
            raise self._words(str(error).splitlines()[0], consequence) from error

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    def _words(self, reason: str, consequence: str) -> StoreError:
        return StoreError(" ".join(filter(None, (f"{reason}.", consequence))), self.label)

    def _sqlite_engine(self) -> Engine:
        engine = create_engine(self.url, connect_args={"timeout": self.wait})

        @event.listens_for(engine, "connect")
        def _settings(raw: sqlite3.Connection, _: object) -> None:
            raw.isolation_level = None  # transactions are begun below, not by the driver
            for setting in (
                "synchronous = FULL", "foreign_keys = ON", "recursive_triggers = ON",
                "trusted_schema = OFF",
            ):  # fmt: skip
                raw.execute(f"PRAGMA {setting}")

        @event.listens_for(engine, "begin")
        def _begin(connection: Connection) -> None:
            writing = connection.get_execution_options().get(_WRITING, False)
            connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

        return engine

    def _postgres_engine(self) -> Engine:
        try:
            return create_engine(self.url, pool_pre_ping=True, connect_args={"connect_timeout": 10})
        except ModuleNotFoundError:
            raise StoreError(
                "PostgreSQL needs the extra 'postgres': pip install 'backstay[postgres]'"
            ) from None


def _only_to_read(path: Path) -> bool:
    """Say whether records can be read and not written, and nothing of them is in a log beside them.

    SQLite makes its log beside the file to read it, where it can. Where the folder takes none, the
    file is read as one that nobody changes; a log that is there already must be read with it.
    """
    if not path.is_file() or os.access(path.parent, os.W_OK) or not os.access(path, os.R_OK):
        return False
    log = path.with_name(f"{path.name}-wal")
    return not log.exists() or log.stat().st_size == 0


def _still(path: Path) -> str:
    """Return the address by which SQLite reads a file that nobody changes."""
    return f"file:{quote(str(path))}?mode=ro&immutable=1"


def _url(url: str | Path) -> URL:
    """Return the address; a path is that of an SQLite file. Raises StoreError."""
    if not isinstance(url, str | Path) or not str(url) or "\0" in str(url):
        raise StoreError("no file was named for the field records")
    if isinstance(url, Path) or "://" not in url:
        return URL.create("sqlite", database=str(url))
    try:
        made = make_url(url)
        backend = made.get_backend_name()
        if backend == "postgresql":
            made = made.set(drivername="postgresql+psycopg")
    except (ArgumentError, NoSuchModuleError, ValueError):
        raise StoreError("the address of the field records cannot be read") from None
    if backend not in ("sqlite", "postgresql"):
        raise StoreError(f"field records are kept in SQLite or PostgreSQL, not in {backend}")
    if backend == "sqlite" and made.database in (None, "", ":memory:"):
        raise StoreError("field records are kept in a file; name one")
    return made


def _reason(error: DBAPIError) -> str:
    """Return what went wrong, in words."""
    if isinstance(error.orig, sqlite3.Error):
        code = getattr(error.orig, "sqlite_errorcode", 0)
        return _SQLITE.get(code & 0xFF) or str(error.orig)
    state = getattr(error.orig, "sqlstate", None)
    if state in _POSTGRES:
        return _POSTGRES[state]
    first = (str(error.orig).splitlines() or ["no reason given"])[0]
    if state is None:
        return f"the server does not answer ({first})"
    return first
