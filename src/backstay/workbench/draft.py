"""The draft of a project: its text with the steps that are not saved, beside the file, against a crash.

It is written after each step and goes when the project is saved. What a program that ended without
saving has left is offered, never taken by itself; until that is decided nothing is written over it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from difflib import unified_diff
from pathlib import Path

from backstay.errors import ProjectError
from backstay.files import atomic_write
from backstay.model.document import decode


@dataclass(frozen=True, slots=True)
class Left:
    """What was left unsaved.

    text: of the project; None where it cannot be read. when: it was last written. later: whether the
    project file has been written since. lines: what differs from the file, as of `diff -U 0`.
    """

    text: str | None
    when: datetime
    later: bool
    lines: tuple[str, ...] = ()


class Draft:
    """The draft of one project file; a plain copy of its text that any editor opens."""

    def __init__(self, project: Path) -> None:
        """project: its file; ``wall.yaml`` has its draft in ``.wall.yaml.unsaved``."""
        self.project = project
        self.path = project.with_name(f".{project.name}.unsaved")
        self.trouble = ""
        """Why the last text could not be kept; "" where it was."""

    def left(self, saved: str) -> Left | None:
        """Return what was left, or None where there is nothing that differs from the saved text."""
        if self.path.is_symlink():  # not written by us, and who knows where it leads
            return None
        try:
            raw = self.path.read_bytes()
            written = self.path.stat().st_mtime
        except FileNotFoundError:
            return None
        except OSError:
            return Left(None, datetime.now().astimezone(), later=False)
        when = datetime.fromtimestamp(written).astimezone()
        later = self.project.stat().st_mtime > written
        try:
            text = decode(raw, self.path.name)
        except ProjectError:
            return Left(None, when, later)
        if text == saved:
            self.drop()
            return None
        return Left(text, when, later, _differing(saved, text))

    def keep(self, text: str) -> None:
        """Write the text, whole or not at all. That it cannot be is no error, but `trouble`."""
        if self.path.is_symlink():
            self.trouble = f"{self.path.name} is a link"
            return
        try:
            atomic_write(self.path, text.encode("utf-8"))
        except OSError as error:
            self.trouble = error.strerror or str(error)
        else:
            self.trouble = ""

    def drop(self) -> None:
        """Remove the draft; that there is none is no error."""
        self.trouble = ""
        try:
            self.path.unlink(missing_ok=True)
        except OSError as error:
            self.trouble = error.strerror or str(error)


def _differing(saved: str, text: str) -> tuple[str, ...]:
    found = unified_diff(saved.splitlines(), text.splitlines(), n=0, lineterm="")
    return tuple(line for line in list(found)[2:] if not line.startswith("@@"))
