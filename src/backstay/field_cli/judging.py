"""At the jack and after: judge, sign, report, and what happened to an anchor."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from backstay.field_cli.app import (
    ACCEPTED,
    NOT_ACCEPTED,
    Anchor,
    Anchors,
    By,
    Exception_,
    File,
    Json,
    Kept,
    On,
    Units,
    app,
    folder_at,
    refuse,
    say,
)
from backstay.field_cli.hints import with_options
from backstay.field_cli.work import author, moment, work

Test = Annotated[
    int | None, typer.Option("--test", min=1, help="Number of the test; the last if not given.")
]


@app.command()
def judge(
    file: File,
    anchors: Anchors = None,
    test: Test = None,
    json: Json = False,
    kept: Kept = "",
    units: Units = None,
) -> None:
    """Judge the tests of anchors, or of all: decision, reasons, and what is allowed next."""
    with work(file, kept, units, json=json) as job:
        from backstay.fieldbook.judged import judged_tests

        lines = job.lines()
        names = job.meant(anchors or [])
        wanted = [line for line in lines if line.anchor in names] if names else lines
        untested = [line.anchor for line in wanted if not line.tests]
        if names and untested:
            raise refuse(f"No test has begun: {', '.join(untested)}.")
        found = list(judged_tests(job.records, job.rules, wanted, number=test))
        if not found:
            raise refuse("No test has begun yet.")
        if json:
            from backstay.results.field import judgements_json

            typer.echo(judgements_json(found, job.project.project.name, job.rules, job.units))
        else:
            from backstay.terminal.field import print_judgements

            print_judgements(found, job.units)
        raise typer.Exit(ACCEPTED if all(one.accepted for one in found) else NOT_ACCEPTED)


@app.command()
def sign(
    file: File,
    anchor: Anchor,
    by: By = "",
    licence: Annotated[str, typer.Option("--licence", metavar="NUMBER", help="Of who signs.")] = "",
    test: Test = None,
    not_accepted: Annotated[
        str, typer.Option("--not-accepted", metavar="WHY", help="The engineer does not accept it although the criteria are met.")
    ] = "",
    on: On = "",
    exception: Exception_ = "",
    kept: Kept = "",
    units: Units = None,
) -> None:  # fmt: skip
    """Issue the verdict on a test that is over, signed by the engineer; with the tool's criteria."""
    name = author(by)
    with work(file, kept, units) as job:
        from backstay.fieldbook.verdicts import sign_verdict

        meant = job.meant([anchor])[0]
        line = next(line for line in job.lines() if line.anchor == meant)
        with with_options():
            fact = sign_verdict(
                job.records, line, job.rules, job.units, by=name, licence=licence, test=test,
                against=not_accepted.strip(), on=moment(on), exception=exception,
            )  # fmt: skip
        say(f"{meant}, test {fact.test}: {fact.decision}, signed by {name}.")
        raise typer.Exit(ACCEPTED if fact.decision == "accepted" else NOT_ACCEPTED)


@app.command()
def report(
    file: File,
    anchors: Anchors = None,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", metavar="FOLDER", help="Folder to write to; FILE-field if not given.")
    ] = None,
    readings: Annotated[bool, typer.Option("--readings/--no-readings", help="With all readings and derivations.")] = True,
    kept: Kept = "",
    units: Units = None,
) -> None:  # fmt: skip
    """Write the pages of anchors, the summary of the wall, and the register as a spreadsheet."""
    with work(file, kept, units) as job:
        from backstay.files import atomic_write
        from backstay.report.field.whole import wall_papers

        lines = job.lines()
        names = job.meant(anchors or [])
        papers = wall_papers(job.records, lines, job.rules, job.project)
        folder = folder_at(output or file.with_name(f"{file.stem}-field"))
        shown = papers.of(names)
        if shown:
            pages = folder / "anchors.pdf"
            atomic_write(pages, papers.pages(shown, job.units, readings=readings))
            say(f"Wrote {pages}")
        else:
            say("No test has begun: there are no pages of anchors.")
        summary, book = folder / "summary.pdf", folder / "register.xlsx"
        atomic_write(summary, papers.summary(job.units))
        say(f"Wrote {summary}")
        atomic_write(book, papers.register(job.units))
        say(f"Wrote {book}")


@app.command()
def history(file: File, anchor: Anchor, kept: Kept = "", units: Units = None) -> None:
    """Print everything recorded about an anchor, corrected or not, with who and when."""
    with work(file, kept, units) as job:
        from backstay.terminal.field_history import print_history

        name = job.meant([anchor])[0]
        print_history(name, job.records.history(name), job.records.anchor(name), job.units)
