"""Where the field records of a project are, unless somebody names another place."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

ELSEWHERE = "BACKSTAY_RECORDS"
"""Variable that names another place: a file, or the address of a database."""


def records_beside(file: Path) -> Path:
    """Return the file of the records beside a project file: ``wall.records`` beside ``wall.yaml``."""
    return file.with_name(f"{file.stem}.records")


def records_place(file: Path, told: str = "") -> Path | str:
    """Return where the records of a project are: as told, a file or an address, else beside it."""
    if "://" in told:
        return told
    return Path(told) if told else records_beside(file)


def told_elsewhere(environment: Mapping[str, str] = os.environ) -> str:
    """Return the place that the environment names, "" for none."""
    return environment.get(ELSEWHERE, "")
