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
        from backstay.fieldbook.judged import judged_tests
        from backstay.fieldbook.verdicts import verdict_of

        meant = job.meant([anchor])[0]
        lines = [line for line in job.lines() if line.anchor == meant]
        if not lines[0].tests:
            raise refuse(f"{meant}: no test has begun.")
        one = next(judged_tests(job.records, job.rules, lines, number=test))
        fact = verdict_of(
            one, job.units, signed_by=name, licence=licence, against=not_accepted.strip()
        )
        job.records.add(fact, by=name, on=moment(on), exception=exception)
        say(f"{meant}, test {one.number}: {fact.decision}, signed by {name}.")
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
        from backstay.fieldbook.judged import judged_tests
        from backstay.records import Remark
        from backstay.report.field import (
            paper_of,
            write_anchor_pages,
            write_register,
            write_summary,
        )
        from backstay.report.field.faces import faces_of
        from backstay.stressing.bond_tests import bond_test
        from backstay.stressing.learning import lessons
        from backstay.stressing.outliers import outliers_of_tests

        lines = job.lines()
        names = job.meant(anchors or [])
        found = list(judged_tests(job.records, job.rules, lines, every=True))
        papers = [
            paper_of(one.file, one.record, one.judgement, number=one.number, lift_off=one.lift_off)
            for one in found
        ]
        folder = folder_at(output or file.with_name(f"{file.stem}-field"))
        about = job.project.project
        shown = [p for p in papers if not names or p.record.anchor.name in names]
        if shown:
            pages = folder / "anchors.pdf"
            write_anchor_pages(shown, pages, job.units, job.rules, project=about, readings=readings)
            say(f"Wrote {pages}")
        else:
            say("No test has begun: there are no pages of anchors.")
        judged = [(one.record, one.judgement) for one in found]
        held = [test for record, judgement in judged if (test := bond_test(record, judgement))]
        summary, book = folder / "summary.pdf", folder / "register.xlsx"
        write_summary(
            lines, summary, job.units, judged=judged, project=about,
            lift_offs={one.line.anchor: one.lift_off for one in found if one.lift_off},
            outliers=outliers_of_tests(judged), lessons=lessons(held, {}), faces=faces_of(job.project),
        )  # fmt: skip
        say(f"Wrote {summary}")
        remarks = {
            one.line.anchor: [e.fact.text for e in one.file.of(Remark) if e.fact] for one in found
        }
        write_register(lines, book, job.units, papers=papers, remarks=remarks, project=about)
        say(f"Wrote {book}")


@app.command()
def history(file: File, anchor: Anchor, kept: Kept = "", units: Units = None) -> None:
    """Print everything recorded about an anchor, corrected or not, with who and when."""
    with work(file, kept, units) as job:
        from backstay.terminal.field_history import print_history

        name = job.meant([anchor])[0]
        print_history(name, job.records.history(name), job.records.anchor(name), job.units)
