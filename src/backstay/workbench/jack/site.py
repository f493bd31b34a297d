"""Where the stressing page works: one project, its records, and what tablets have sent."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from backstay.fieldbook.names import AnchorNames, UnknownAnchorError
from backstay.model.project import Project
from backstay.records.store import Records
from backstay.stressing.project_rules import rules_of
from backstay.stressing.rules import TestRules


class NoSuchProjectError(LookupError):
    """There is no such project, or no field records beside it; the words are for a person."""


class NoSuchAnchorError(LookupError):
    """The register has no such anchor; the words are for a person."""


class Person(Protocol):
    """Who asks: as far as the stressing page needs to know."""

    @property
    def name(self) -> str:
        """Return the name, empty where nobody is signed in."""
        ...


@dataclass(frozen=True, slots=True)
class JackSite:
    """A project with its field records, open, and the file that remembers what tablets have sent.

    sent: SQLite file, made where there is none; it may lie beside the records.
    """

    project: Project
    records: Records
    sent: Path

    @property
    def rules(self) -> TestRules:
        """Return the rules that the project tests by. Raises DesignError."""
        return rules_of(self.project)

    def anchor(self, written: str) -> str:
        """Return the name in the register. Raises NoSuchAnchorError, StoreError."""
        names = AnchorNames(line.anchor for line in self.records.register())
        try:
            return names.meant(written)
        except UnknownAnchorError as error:
            raise NoSuchAnchorError(str(error)) from None
