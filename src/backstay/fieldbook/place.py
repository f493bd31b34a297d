"""Where the field records of a project are, unless somebody names another place."""

from __future__ import annotations

from pathlib import Path


def records_beside(file: Path) -> Path:
    """Return the file of the records beside a project file: ``wall.records`` beside ``wall.yaml``."""
    return file.with_name(f"{file.stem}.records")
