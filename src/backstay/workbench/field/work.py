"""What the panel works with: the project, its rules of testing, the place of the records; and refusals."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from time import monotonic
from typing import TypeVar

from nicegui import run

from backstay.checks import expand
from backstay.errors import BackstayError, DesignError, Fault, ProjectError
from backstay.model.project import Project
from backstay.quantity import UnitSystem
from backstay.records.refusal import RecordsError
from backstay.records.store import Records, open_records
from backstay.stressing.project_rules import rules_of
from backstay.stressing.rules import TestRules
from backstay.tables import sentence
from backstay.workbench.desk import Desk

T = TypeVar("T")
_log = logging.getLogger(__name__)
ASKED_ANEW = 15.0
"""Seconds after which what a database holds is shown anew."""
NO_PROJECT = "The project cannot be read as it stands, so its anchors are not known. Mend it first."


class FieldError(BackstayError):
    """Something cannot be done; the words are for a person."""


@dataclass(frozen=True, slots=True)
class Refused:
    """Why something was not done. faults: each with its place, where there are places."""

    words: str
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class FieldWork:
    """Project, rules, and the records: a file, which need not be there yet, or a database."""

    project: Project
    rules: TestRules
    place: Path | str

    @property
    def there(self) -> bool:
        """Say whether there are records."""
        if isinstance(self.place, str):
            return True
        try:
            return self.place.stat().st_size > 0
        except OSError:
            return False

    @property
    def stamp(self) -> tuple[int, ...]:
        """Return what changes whenever something is recorded, by whatever program."""
        if isinstance(self.place, str):  # a database tells nothing without being asked
            return (int(monotonic() / ASKED_ANEW),)
        found = []
        for name in (self.place.name, f"{self.place.name}-wal"):
            try:
                state = self.place.with_name(name).stat()
            except OSError:
                continue
            found += [state.st_mtime_ns, state.st_size]
        return tuple(found)

    @contextmanager
    def records(self, *, make: bool = False) -> Iterator[Records]:
        """Open the records for one operation. Raises FieldError where there are none."""
        if not make and not self.there:
            raise FieldError("There are no field records yet: begin the register first.")
        with open_records(self.place) as records:
            yield records


def work_of(desk: Desk) -> FieldWork:
    """Return what the panel works with. Raises FieldError, DesignError."""
    standing = desk.standing
    project = standing.project if standing is not None else None
    if project is None:
        project = desk.design.project if desk.design is not None else None
    if project is None:
        raise FieldError(NO_PROJECT)
    return FieldWork(project, rules_of(project), desk.opened.records)


async def attempt(work: Callable[[], T], units: UnitSystem) -> T | Refused:
    """Do something in a thread; return what came of it, or why it was not done."""

    def tried() -> tuple[T | Refused]:
        try:
            return (work(),)
        except (BackstayError, OSError) as error:
            return (refused_by(error, units),)
        except Exception as error:  # the page must be told, and go on
            _log.exception("a fault of the program in the field panel")
            what = f"{type(error).__name__}: {error}".splitlines()[0]
            return (Refused(f"This is a fault of the program: {what}"),)

    found = await run.io_bound(tried)
    return Refused("The workbench is closing.") if found is None else found[0]


def refused_by(error: BackstayError | OSError, units: UnitSystem) -> Refused:
    """Return an error as a refusal, its quantities in the units that are shown."""
    if isinstance(error, ProjectError):
        count = len(error.faults)
        words = "This cannot be taken" + (f": {count} faults." if count > 1 else ".")
        return Refused(words, error.faults)
    if isinstance(error, OSError):
        return Refused(f"The disk refuses: {error.strerror or error}.")
    words = str(error)
    if isinstance(error, DesignError | RecordsError):
        words = expand(words, units)
    return Refused(sentence(words) + ("" if words.endswith(".") else "."))
