"""Before the first hole: the register, the plan of tests, field sheets, the contractor's submittal."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from backstay.field_cli.app import (
    ACCEPTED,
    NOT_ACCEPTED,
    Anchors,
    By,
    File,
    Json,
    Kept,
    On,
    Output,
    Units,
    app,
    page_at,
    refuse,
    say,
)
from backstay.field_cli.work import Work, author, designed, moment, work

if TYPE_CHECKING:
    from datetime import datetime

    from backstay.model.testing import TestKind
    from backstay.records import RegisterLine

Part = Annotated[
    str,
    typer.Option("--section", metavar="NAME", help="Only of the section or slope of this name."),
]


@app.command()
def register(
    file: File,
    section: Part = "",
    state: Annotated[str, typer.Option("--state", help='Only anchors in this state, e.g. "drilled".')] = "",
    by: By = "",
    on: On = "",
    reason: Annotated[
        str, typer.Option("--reason", metavar="WORDS", help="Record that the design changed, and why.")
    ] = "",
    json: Json = False,
    kept: Kept = "",
    units: Units = None,
) -> None:  # fmt: skip
    """List the anchors and their states; with --by, put those of the project in first."""
    with work(file, kept, units, make=bool(by), json=json) as job:
        if by:
            _plan_in(job, author(by), moment(on), reason)
        lines = _chosen(job.lines(), section, state)
        if json:
            from backstay.results.field import register_json

            typer.echo(register_json(lines, job.project.project.name, job.units))
        else:
            from backstay.terminal.field import print_register

            print_register(lines, job.units)


def _plan_in(job: Work, by: str, on: datetime | None, reason: str) -> None:
    """Register the anchors of the project that are not there yet; see which designs changed."""
    from backstay.drawing.along import stations
    from backstay.fieldbook.registering import anchors_of, put_in

    design = designed(job.project)
    found = anchors_of(design, job.rules, job.records.register(), stations(design))
    told = put_in(found, job.records, by=by, on=on, reason=reason)
    say(f"{len(found.new)} anchors registered, {found.before} were there before.")
    if told:
        say(f"The design of {told} anchors changed, as recorded now: {reason}")
    elif found.changed:
        names = [one.anchor for one in found.changed]
        say(
            f"The project now designs {len(names)} anchors otherwise than recorded "
            f"({', '.join(names[:4])}{' …' if len(names) > 4 else ''}); "
            "record that with --reason WORDS."
        )
    if found.down_rated:
        kept = found.down_rated
        say(
            f"Down-rated on record, and left so: {', '.join(kept[:6])}{' …' if len(kept) > 6 else ''}"
        )
    if found.gone:
        say(
            f"The project no longer has {len(found.gone)} anchors of the register: "
            f"{', '.join(found.gone[:6])}"
        )


def _chosen(lines: tuple[RegisterLine, ...], section: str, state: str) -> tuple[RegisterLine, ...]:
    from typing import get_args

    from backstay.records.entries import State

    parts = dict.fromkeys(line.part for line in lines)
    if section and section not in parts:
        raise refuse(
            f'There is no section "{section}" in the register. There are: {", ".join(parts)}'
        )
    if state and state not in get_args(State):
        raise refuse(f'There is no state "{state}". There are: {", ".join(get_args(State))}')
    return tuple(line for line in lines if section in ("", line.part) and state in ("", line.state))


@app.command()
def plan(file: File, section: Part = "", units: Units = None) -> None:
    """Print which test each anchor has, and why."""
    from backstay.fieldbook.registering import plans
    from backstay.model.reading import read_project
    from backstay.quantity import UnitSystem
    from backstay.stressing.project_rules import rules_of
    from backstay.terminal.field import print_plan

    project = read_project(file)
    rules = rules_of(project)
    every = plans(designed(project), rules)
    if section:
        every = tuple(one for one in every if one.part == section)
        if not every:
            raise refuse(f'There is no section "{section}" in the project.')
    print_plan(every, rules, UnitSystem(units) if units else project.units)


@app.command()
def sheet(
    file: File,
    anchors: Anchors = None,
    row: Annotated[int | None, typer.Option("--row", min=1, help="Every anchor of this row.")] = None,
    section: Part = "",
    jack: Annotated[str, typer.Option("--jack", metavar="NAME", help="Jack in use; without it gauge pressures stay open.")] = "",
    certificate: Annotated[str, typer.Option("--certificate", metavar="NUMBER", help="Of the jack, where it has several.")] = "",
    kind: Annotated[str, typer.Option("--kind", help="Kind of test; the next of the plan if not given.")] = "",
    jack_length: Annotated[str, typer.Option("--jack-length", metavar="LENGTH", help='Tendon from plate to grip, e.g. "4 ft".')] = "",
    on: Annotated[str, typer.Option("--on", metavar="DAY", help="Day of the test; today if not given.")] = "",
    output: Output = None,
    kept: Kept = "",
    units: Units = None,
) -> None:  # fmt: skip
    """Write the field sheets of anchors as PDF, with gauge pressures and limits worked out."""
    from datetime import UTC, datetime

    with work(file, kept, units) as job:
        from backstay.fieldbook.sheets import field_sheets_of
        from backstay.report.field import write_field_sheets

        lines = {line.anchor: line for line in job.lines()}
        names = job.meant(anchors or [])
        if row is not None:
            names += [
                n
                for n, a in lines.items()
                if a.row == row and section in ("", a.part) and n not in names
            ]
        if not names:
            raise refuse("Name anchors, or a row that has some with --row.")
        sheets = field_sheets_of(
            [lines[name] for name in names], job.records, job.rules, jack=jack,
            certificate=certificate, kind=kind_named(kind),
            jack_length=length_read(jack_length, job),
            on=(moment(on) or datetime.now(UTC).astimezone()).date(),
        )  # fmt: skip
        target = page_at(output or file.with_name(f"{file.stem}-sheets.pdf"), "PDF", file)
        write_field_sheets(sheets, target, job.units, project=job.project.project)
        say(f"Wrote {target}: {len(sheets)} sheet{'s' * (len(sheets) > 1)}")


def kind_named(kind: str) -> TestKind | None:
    """Return the kind of test of a name, None for the one of the plan. Ends the command if unknown."""
    from typing import cast, get_args

    from backstay.model.testing import TestKind

    if kind and kind not in get_args(TestKind):
        raise refuse(f'There is no test "{kind}". There are: {", ".join(get_args(TestKind))}')
    return cast("TestKind | None", kind or None)


def length_read(text: str, job: Work) -> float | None:
    """Return a length (m) as written on the command line. Ends the command where it is none."""
    from pydantic_core import PydanticCustomError

    from backstay.model.units import parse
    from backstay.quantity import QUANTITIES

    if not text:
        return None
    try:
        return parse(text, QUANTITIES["length"], job.project.units)
    except PydanticCustomError as error:
        raise refuse(f"--jack-length '{text}': {error.message()}") from None


@app.command()
def submittal(
    file: File,
    submittal: Annotated[Path, typer.Argument(metavar="SUBMITTAL", help="The contractor's submittal (YAML).")],
    by: By = "",
    on: On = "",
    output: Output = None,
    kept: Kept = "",
    units: Units = None,
) -> None:  # fmt: skip
    """Check a contractor's submittal, write its page, and with --by record the decision."""
    from backstay.model.submittal_reading import read_submittal

    offered = read_submittal(submittal)
    target = page_at(output or submittal.with_suffix(".pdf"), "PDF", file, submittal)
    with work(file, kept, units) as job:
        from backstay.fieldbook.submittals import covered, record_submittal
        from backstay.report.field import write_submittal_page
        from backstay.stressing.submittal import review_submittal
        from backstay.terminal.field import print_submittal

        when = moment(on)
        review = review_submittal(offered, designed(job.project), job.rules)
        names = covered(job.lines(), offered)
        if by:
            recorded = record_submittal(
                job.records, review, names, job.units, by=author(by), on=when
            )
            say(
                f"Recorded for {len(names)} anchors."
                if recorded
                else "It was recorded before; nothing was added."
            )
        write_submittal_page(review, target, job.units, project=job.project.project)
        print_submittal(review, job.units)
        say(f"Wrote {target}")
        raise typer.Exit(NOT_ACCEPTED if review.decision == "revise" else ACCEPTED)
