"""Opening a field database: create it, upgrade it, or say why not.

The schema is numbered; alembic takes a database from one number to the next in one transaction.
A database that is newer than this program, or another program's, is left as it is.
"""

from __future__ import annotations

import sqlite3
import time
from contextlib import closing
from pathlib import Path

from sqlalchemy import Connection, inspect, text

from backstay.files import atomic_path
from backstay.records.database import WRITERS, Database
from backstay.records.refusal import StoreError

NEWEST = "0001"
"""Schema that this program writes: number of the last migration."""
LOCATION = Path(__file__).parent / "migrations"
_TABLE = "field_schema"


def prepare(database: Database) -> None:
    """Bring a database to the newest schema; an SQLite file is copied first. Raises StoreError."""
    if database.path is not None:
        _refuse_place(database.path)
    with database.reading() as connection:
        found = _version(database, connection)
    if found != NEWEST:
        if database.path is not None and found:
            with database.in_words():
                _copy(database.path, found)
        with database.writing() as connection:
            if _version(database, connection) != NEWEST:  # nobody was quicker
                _upgrade(connection)
                if database.sqlite:
                    connection.exec_driver_sql(f"PRAGMA application_id = {WRITERS}")
                    connection.exec_driver_sql(f"PRAGMA user_version = {int(NEWEST)}")
    if database.sqlite and not database.read_only:
        _write_ahead(database)


def _refuse_place(path: Path) -> None:
    if path.is_dir():
        raise StoreError(f"{path}: this is a folder; name a file for the field records.")
    if not path.parent.is_dir():
        raise StoreError(f"{path}: there is no folder {path.parent}; make it first.")


def _version(database: Database, connection: Connection) -> str:
    """Return the number of the schema that is there, "" for none. Raises StoreError."""
    tables = set(inspect(connection).get_table_names())
    foreign = StoreError("this is no database of field records.", database.label)
    if database.sqlite:
        mark = connection.exec_driver_sql("PRAGMA application_id").scalar_one()
        if mark not in (0, WRITERS) or (mark == 0 and tables):
            raise foreign
    if _TABLE not in tables:
        if {"field_entry", "field_reading"} & tables:
            raise foreign
        return ""
    found = str(connection.execute(text(f"SELECT version_num FROM {_TABLE}")).scalar() or "")  # noqa: S608
    if found > NEWEST:
        raise StoreError(
            f"written by a newer Backstay (schema {found}; this one knows {NEWEST}). Update "
            "Backstay; the records are left as they are.",
            database.label,
        )
    return found


def _upgrade(connection: Connection) -> None:
    from alembic import command  # takes longer to import than a database to open
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(LOCATION).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def _copy(path: Path, found: str) -> None:
    """Copy an SQLite file, with its log, to a name of its own beside it."""
    name = f"{path.name}.schema-{found}"
    copy, number = path.with_name(name), 1
    while copy.exists():
        number += 1
        copy = path.with_name(f"{name}-{number}")
    try:
        with (
            atomic_path(copy) as whole,
            closing(sqlite3.connect(path)) as source,
            closing(sqlite3.connect(whole)) as target,
        ):
            source.backup(target)
    except (OSError, sqlite3.Error) as error:
        raise StoreError(
            f"{path}: the copy before the upgrade failed ({error}); nothing was changed."
        ) from error


def _write_ahead(database: Database) -> None:
    """Keep the log of an SQLite file ahead of it; where that cannot be, commits are as safe."""
    with database.in_words():
        raw = database.engine.raw_connection()
        try:
            for _ in range(50):
                cursor = raw.cursor()
                try:
                    cursor.execute("PRAGMA journal_mode")
                    if (cursor.fetchone() or ("",))[0] == "wal":
                        return
                    cursor.execute("PRAGMA journal_mode = WAL")
                    return
                except sqlite3.OperationalError as error:
                    if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
                        return  # read-only: the journal that is there does
                    time.sleep(0.02)
                finally:
                    cursor.close()
        finally:
            raw.close()
