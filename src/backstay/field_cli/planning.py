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
from backstay.field_cli.work import Work, author, designed, moment, plans, work

if TYPE_CHECKING:
    from datetime import datetime

    from backstay.design import Design
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
    from dataclasses import replace

    from backstay.field_cli.down_rating import is_down_rated
    from backstay.records import DesignChanged, planned_anchors

    design = designed(job.project)
    along = _stations(design)
    every = [
        replace(one, design=replace(one.design, station=along.get((one.part, one.row, one.number))))
        if not one.trial
        else one
        for plan in plans(design, job.rules)
        for one in planned_anchors(plan, job.project.service, job.rules)
    ]
    there = {line.anchor: line for line in job.records.register()}
    new = [one for one in every if one.anchor not in there]
    kept = [name for name, line in there.items() if is_down_rated(line.design)]
    changed = [
        one for one in every
        if one.anchor in there and one.anchor not in kept
        and replace(one.design, project="") != replace(there[one.anchor].design, project="")
    ]  # fmt: skip
    facts = [
        DesignChanged(anchor=one.anchor, design=one.design, reason=reason)
        for one in changed
        if reason
    ]
    if new or facts:
        with job.records.together(by=by) as together:
            for one in new:
                together.add(one, on=on)
            for fact in facts:
                together.add(fact, on=on)
    say(f"{len(new)} anchors registered, {len(there)} were there before.")
    if facts:
        say(f"The design of {len(facts)} anchors changed, as recorded now: {reason}")
    elif changed:
        say(
            f"The project now designs {len(changed)} anchors otherwise than recorded "
            f"({', '.join(one.anchor for one in changed[:4])}{' …' if len(changed) > 4 else ''}); "
            "record that with --reason WORDS."
        )
    if kept:
        say(
            f"Down-rated on record, and left so: {', '.join(kept[:6])}{' …' if len(kept) > 6 else ''}"
        )
    gone = [name for name, line in there.items() if name not in {one.anchor for one in every}
            and not line.replaces]  # fmt: skip
    if gone:
        say(f"The project no longer has {len(gone)} anchors of the register: {', '.join(gone[:6])}")


def _stations(design: Design) -> dict[tuple[str, int, int], float]:
    """Return how far along each wall (m) its anchors stand, as the elevation draws them."""
    from backstay.drawing.along import anchor_places

    return {
        (done.section.name, anchor.row, number): along
        for done in design.sections
        for anchor in done.anchors
        for number, along in enumerate(anchor_places(done, anchor), start=1)
    }


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
        from backstay.fieldbook.at_hand import next_kind, the_jack
        from backstay.report.field import write_field_sheets
        from backstay.stressing.schedules import procedure_of
        from backstay.stressing.sheet import field_sheet

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
        day = (moment(on) or datetime.now(UTC).astimezone()).date()
        used = the_jack(job.records.jacks(), jack, certificate) if jack else None
        wanted = kind_named(kind)
        length = length_read(jack_length, job)
        sheets = []
        for name in names:
            line = lines[name]
            anchor = job.records.anchor_to_test(name, jack_length=length)
            factor = line.design.test_load / line.design.design_load
            procedure = procedure_of(wanted or next_kind(line), anchor, factor, job.rules)
            sheets.append(field_sheet(anchor, procedure, used, job.rules, on=day))
        target = page_at(output or file.with_name(f"{file.stem}-sheets.pdf"))
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
    target = page_at(output or submittal.with_suffix(".pdf"))
    with work(file, kept, units) as job:
        from backstay.report.field import write_submittal_page
        from backstay.stressing.submittal import review_submittal
        from backstay.terminal.field import print_submittal

        when = moment(on)
        review = review_submittal(offered, designed(job.project), job.rules)
        names = tuple(
            line.anchor
            for line in job.lines()
            if line.part == offered.part and line.row in offered.rows
        )
        if by:
            from backstay.fieldbook.submittals import record_submittal

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
