"""The records of a wall moved into a database of a team."""

from __future__ import annotations

from pathlib import Path

from backstay.records.store import open_records
from tests.postgres import Server


def moved(records: Path, server: Server) -> str:
    """Bring records of a file into a new database on a server; return its address."""
    url = server.new_database()
    archive = records.with_name("moved.zip")
    with open_records(records) as source, open_records(url) as target:
        source.export(archive)
        target.import_archive(archive)
    archive.unlink()
    return url
