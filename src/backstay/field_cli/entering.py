"""On site: the field book, readings of load tests, and corrections of either."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from backstay.field_cli.app import (
    WRONG_INPUT,
    By,
    Exception_,
    File,
    Kept,
    On,
    Units,
    app,
    refuse,
    say,
)
from backstay.field_cli.hints import with_options
from backstay.field_cli.planning import kind_named, length_read
from backstay.field_cli.work import author, moment, work

if TYPE_CHECKING:
    from backstay.fieldbook.cells import Cells


@app.command()
def enter(
    file: File,
    book: Annotated[Path, typer.Argument(metavar="BOOK", help="Field book (YAML).")],
    by: By = "",
    kept: Kept = "",
) -> None:
    """Record a field book: all that is new in it, or nothing with every fault named."""
    from datetime import UTC, datetime

    from backstay.fieldbook.book_reading import read_book

    name = author(by)
    text = read_book(book)
    with work(file, kept, unfit=WRONG_INPUT) as job:
        from backstay.fieldbook.entering import enter_book

        job.lines()
        done = enter_book(text, job.records, by=name, now=datetime.now(UTC), rules=job.rules)
    before = f" {done.before} were recorded before." if done.before else ""
    if not done.new:
        say(f"Nothing is new in {book}:{before or ' it has no entries.'}")
    else:
        entries = "entry" if done.new == 1 else "entries"
        say(f"Recorded {done.new} {entries} of {book}.{before}")


@app.command()
def readings(
    file: File,
    table: Annotated[Path, typer.Argument(metavar="TABLE", help="CSV or XLSX; - for text pasted to standard input.")],
    anchor: Annotated[str, typer.Option("--anchor", metavar="NAME", help="Which anchor, unless the table says it.")] = "",
    by: By = "",
    jack: Annotated[str, typer.Option("--jack", metavar="NAME", help="Jack in use, where several are recorded.")] = "",
    certificate: Annotated[str, typer.Option("--certificate", metavar="NUMBER", help="Of the jack, where it has several.")] = "",
    kind: Annotated[str, typer.Option("--kind", help="Kind of test; the next of the plan if not given.")] = "",
    jack_length: Annotated[str, typer.Option("--jack-length", metavar="LENGTH", help="Tendon from plate to grip; that of the design if not given.")] = "",
    tested_by: Annotated[str, typer.Option("--tested-by", metavar="NAME", help="Who was at the jack; who records it if not given.")] = "",
    on: On = "",
    over: Annotated[bool, typer.Option("--over", help="The test is over, with these readings.")] = False,
    stopped: Annotated[str, typer.Option("--stopped", metavar="WHY", help="The test was stopped before its end.")] = "",
    sheet: Annotated[str, typer.Option("--sheet", metavar="NAME", help="Sheet of the workbook.")] = "",
    as_read: Annotated[bool, typer.Option("--as-read", help="Record them although units or order look wrong.")] = False,
    no_return: Annotated[bool, typer.Option("--no-return", help="A proof test that does not come back to the alignment load.")] = False,
    exception: Exception_ = "",
    kept: Kept = "",
    units: Units = None,
) -> None:  # fmt: skip
    """Record readings of a load test from a table, and say how the test stands."""
    name = author(by)
    wanted = kind_named(kind)
    when = moment(on)
    tables = _tables(table, sheet)
    with work(file, kept, units, unfit=WRONG_INPUT) as job:
        from backstay.fieldbook.at_hand import Asked
        from backstay.fieldbook.heads import reading_table
        from backstay.fieldbook.readings import bring_in
        from backstay.fieldbook.table_rows import written_rows
        from backstay.terminal.field import print_standing

        understood = reading_table(tables)
        if understood.passed_over:
            say(
                f"Not read: column{'s' * (len(understood.passed_over) > 1)} {', '.join(understood.passed_over)}"
            )
        with with_options():
            rows = written_rows(understood, day=when.date() if when else None, zone=None)
        job.lines()
        asked = Asked(
            anchor=anchor, kind=wanted, jack=jack, certificate=certificate,
            jack_length=length_read(jack_length, job), residual=not no_return,
            tested_by=tested_by.strip() or name, on=when, closed=over, stopped=stopped.strip(),
            as_read=as_read, exception=exception,
        )  # fmt: skip
        with with_options():
            found = bring_in(understood, rows, asked, job.records, job.rules, job.units, by=name)
        for done in found:
            before = f", {done.before} were recorded before" if done.before else ""
            readings = "reading" if done.new == 1 else "readings"
            new = f"recorded {done.new} {readings}" if done.new else "nothing is new"
            say(f"{done.anchor}, test {done.test} ({done.record.procedure.kind}): {new}{before}.")
            print_standing(done.anchor, done.test, done.judgement, job.units)


def _tables(table: Path, sheet: str) -> tuple[Cells, ...]:
    from backstay.fieldbook.cells import MAX_BYTES, cells_of_bytes, cells_of_file

    if str(table) != "-":
        return cells_of_file(table, sheet=sheet)
    return (cells_of_bytes(sys.stdin.buffer.read(MAX_BYTES + 1), "standard input"),)


@app.command()
def correct(
    file: File,
    entry: Annotated[int, typer.Argument(metavar="ENTRY", min=1, help="Number of the entry, as history shows it.")],
    changes: Annotated[list[str] | None, typer.Argument(metavar="[KEY=VALUE]...", help='What it should say: length="46 ft", gauge="3200 psi".')] = None,
    by: By = "",
    reason: Annotated[str, typer.Option("--reason", metavar="WORDS", help="Why.")] = "",
    withdraw: Annotated[bool, typer.Option("--withdraw", help="It should not have been; nothing takes its place.")] = False,
    exception: Exception_ = "",
    kept: Kept = "",
) -> None:  # fmt: skip
    """Put a correction in the place of an entry or a reading; both stay, with author and reason."""
    name = author(by)
    if not reason.strip():
        raise refuse("Say why it is corrected: --reason WORDS.")
    written = _changes(changes or [])
    if withdraw == bool(written):
        raise refuse("Say what the entry should say, KEY=VALUE, or --withdraw it.")
    with work(file, kept, unfit=WRONG_INPUT) as job:
        from backstay.fieldbook.correcting import correct_entry

        done = correct_entry(
            job.records, entry, written, job.project.units, by=name, reason=reason,
            withdraw=withdraw, exception=exception, rules=job.rules,
        )  # fmt: skip
        say(done.words)


def _changes(changes: list[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for one in changes:
        key, mark, value = one.partition("=")
        if not mark or not key.strip() or not value.strip():
            raise refuse(f"'{one}' is no correction; write KEY=VALUE, such as length=\"46 ft\".")
        if key.strip() in found:
            raise refuse(f"{key.strip()} is given twice.")
        found[key.strip()] = value.strip()
    return found
