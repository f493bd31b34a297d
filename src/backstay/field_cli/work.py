"""What a field command works with: the project, its rules of testing, and the field records."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from backstay.field_cli.app import NOT_ACCEPTED, WRONG_INPUT, refuse, say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backstay.design import Design
    from backstay.model.project import Project
    from backstay.quantity import UnitSystem
    from backstay.records import RegisterLine
    from backstay.records.store import Records
    from backstay.stressing.rules import TestRules


@dataclass(frozen=True, slots=True)
class Work:
    """Project, rules, units to show, and the records, open."""

    project: Project
    rules: TestRules
    units: UnitSystem
    records: Records

    def lines(self) -> tuple[RegisterLine, ...]:
        """Return the register. Ends the command where it is empty."""
        found = self.records.register()
        if not found:
            raise refuse(
                "The register is empty; begin with: backstay field register FILE --by NAME"
            )
        return found

    def meant(self, written: Sequence[str]) -> list[str]:
        """Return the names of the register that are meant. Ends the command with every unknown one."""
        from backstay.fieldbook.names import AnchorNames, UnknownAnchorError

        names = AnchorNames(line.anchor for line in self.lines())
        found, unknown = [], []
        for one in written:
            try:
                found.append(names.meant(one))
            except UnknownAnchorError as error:
                unknown.append(str(error))
        if unknown:
            raise refuse("\n".join(sentence(words) for words in unknown))
        return list(dict.fromkeys(found))


@contextmanager
def work(
    file: Path,
    kept: str,
    units: str | None = None,
    *,
    make: bool = False,
    json: bool = False,
    unfit: int = NOT_ACCEPTED,
) -> Iterator[Work]:
    """Give what a command works with; say in a sentence why something cannot be done.

    make: make the records where there are none; json: refusals as data on standard output too;
    unfit: exit status where there is no design, test or sheet as described: of a command that
    records what a person brings, that is wrong input.
    """
    from backstay.checks import expand
    from backstay.errors import DesignError, ProjectError
    from backstay.model.reading import read_project
    from backstay.quantity import UnitSystem

    shown = UnitSystem(units) if units else UnitSystem.SI
    try:
        project = read_project(file)
        shown = UnitSystem(units) if units else project.units
        from backstay.records.refusal import RecordsError
        from backstay.stressing.project_rules import rules_of

        rules = rules_of(project)
        where = place_of(file, kept)
        if isinstance(where, Path) and not make and not where.exists():
            raise refuse(
                f"There are no field records at {where}; begin with: backstay field register {file} --by NAME"
            )
        if isinstance(where, Path) and not make and _is_empty(where):
            raise refuse(f"{where} is an empty file: there are no field records in it")
        from backstay.records.store import open_records

        try:
            with open_records(where) as records:
                yield Work(project, rules, shown, records)
        except RecordsError as error:
            words = expand(str(error), shown)
            _as_data(json, DesignError(words, "records"))
            say(f"{sentence(words)}{'' if words.endswith('.') else '.'}")
            raise typer.Exit(WRONG_INPUT) from None
    except ProjectError as error:
        _as_data(json, error)
        raise
    except DesignError as error:
        _as_data(json, error)
        words = expand(str(error), shown)
        say(f"{sentence(words)}.")
        raise typer.Exit(unfit) from None


def sentence(words: str) -> str:
    """Return words with a capital, but for a name of a file or an address at their head."""
    first = words.split(maxsplit=1)[:1]
    return words if first and first[0].endswith(":") else words[:1].upper() + words[1:]


def _is_empty(where: Path) -> bool:
    return where.is_file() and where.stat().st_size == 0


def _as_data(json: bool, error: Exception) -> None:
    if json:
        from backstay.terminal.refusal import refusal_json

        typer.echo(refusal_json(error))  # type: ignore[arg-type]


def place_of(file: Path, kept: str) -> Path | str:
    """Return where the records are: as told, else beside the project."""
    from backstay.fieldbook.place import records_place

    return records_place(file, kept)


def moment(on: str, *, late: bool = False) -> datetime | None:
    """Return when something happened, None for now. Ends the command where it is no moment."""
    from backstay.fieldbook.moments import moment_of

    if not on:
        return None
    try:
        return moment_of(on).at(None, late=late, now=datetime.now(UTC))
    except ValueError as error:
        raise refuse(f"--on '{on}': {error}") from None


def author(by: str) -> str:
    """Return who records. Ends the command where nobody is named."""
    if not by.strip():
        raise refuse("Say who records it: --by NAME.")
    return by.strip()


def designed(project: Project) -> Design:
    """Return the design of a project, without the search of slip surfaces, which no anchor needs."""
    from backstay.design import design
    from backstay.kernels import prepare
    from backstay.stability.slip.build import KERNEL as SLIP_SURFACES
    from backstay.wall.staged.build import KERNEL as STAGES

    prepare((*(SLIP_SURFACES,) * bool(project.slopes), *(STAGES,) * bool(project.sections)), say)
    return design(project, slip_surfaces="leave out")
