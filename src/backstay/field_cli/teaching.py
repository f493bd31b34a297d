"""What tests teach of the bond, and what a failed anchor does to the wall."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from backstay.field_cli.app import (
    ACCEPTED,
    NOT_ACCEPTED,
    Anchor,
    By,
    File,
    Kept,
    On,
    Units,
    app,
    refuse,
    say,
)
from backstay.field_cli.work import author, designed, moment, work


@app.command()
def learn(file: File, kept: Kept = "", units: Units = None) -> None:
    """Print what the tests teach of the bond, failures to expect, and anchors that stand out."""
    with work(file, kept, units) as job:
        from backstay.fieldbook.taught import taught
        from backstay.terminal.field_lessons import print_lessons

        lines = job.lines()
        found = taught(job.records, job.rules, designed(job.project), lines)
        if not found.tests:
            raise refuse("No test shows anything of the bond yet.")
        print_lessons(found, job.units)


@app.command()
def derate(
    file: File,
    anchor: Anchor,
    rate: Annotated[
        Literal["rule", "proven"],
        typer.Option("--rate", help="Down-rate by the rule of the practice, or by the load that was proven."),
    ] = "rule",
    by: By = "",
    reason: Annotated[
        str, typer.Option("--reason", metavar="WORDS", help="Record the down-rating, and why.")
    ] = "",
    on: On = "",
    kept: Kept = "",
    units: Units = None,
) -> None:  # fmt: skip
    """Print what an anchor that failed may carry, and what that does to neighbours and wall."""
    if by and not reason.strip():
        raise refuse("Say why it is down-rated: --reason WORDS.")
    recorder = author(by) if reason.strip() else ""
    when = moment(on)
    with work(file, kept, units) as job:
        from backstay.fieldbook.down_rating import (
            consequences,
            failed_anchor,
            record_down_rating,
            require_recordable,
        )
        from backstay.terminal.field_lessons import print_derating

        name = job.meant([anchor])[0]
        failed = failed_anchor(job.records, job.rules, name)
        if recorder:
            require_recordable(job.records, failed, by=recorder, reason=reason.strip(), on=when)
        result = consequences(failed, job.rules, designed(job.project), rate=rate)
        print_derating(result, job.units)
        if recorder:
            entry = record_down_rating(
                job.records, failed.line, result.rated, by=recorder, reason=reason.strip(), on=when
            )
            say(
                "It was recorded before; nothing was added."
                if entry is None
                else f"Recorded as entry {entry}: the design of {name} is down-rated."
            )
        raise typer.Exit(ACCEPTED if result.carries else NOT_ACCEPTED)
