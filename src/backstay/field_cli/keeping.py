"""The records as such: taken out whole, brought in whole, and verified."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from backstay.field_cli.app import NOT_ACCEPTED, File, Kept, app, page_at, refuse, say
from backstay.field_cli.work import place_of, work


@app.command()
def export(
    file: File,
    archive: Annotated[Path, typer.Argument(metavar="ARCHIVE", help="Archive to write (zip).")],
    kept: Kept = "",
) -> None:
    """Write everything recorded, files and history too, to one archive."""
    target = page_at(archive, "zip archive", file)
    with work(file, kept) as job:
        job.records.export(target)
        say(f"Wrote {archive}: entries up to {job.records.last()[0]}.")


@app.command("import")
def import_(
    file: File,
    archive: Annotated[Path, typer.Argument(metavar="ARCHIVE", help="Archive to bring in.")],
    kept: Kept = "",
) -> None:
    """Bring in an archive, or what is new in it, after checking every hash."""
    if archive.is_dir():
        raise refuse(f"{archive} is a folder; name the archive in it.")
    if not archive.is_file():
        raise refuse(f"{archive}: there is no such file.")
    place = place_of(file, kept)
    new = isinstance(place, Path) and not place.exists()
    done = False
    try:
        with work(file, kept, make=True) as job:
            count = job.records.import_archive(archive)
            entries = "entry" if count == 1 else "entries"
            say(f"Brought in {count} {entries}." if count else "Nothing is new in the archive.")
            done = True
    finally:
        if new and not done and isinstance(place, Path):
            place.unlink(missing_ok=True)  # made for this, and empty


@app.command()
def verify(
    file: File,
    seen: Annotated[
        str, typer.Option("--seen", metavar="NUMBER:HASH", help="A last entry that was written down before.")
    ] = "",
    kept: Kept = "",
) -> None:  # fmt: skip
    """Check every hash and file of the records, and print the last entry to write down."""
    before = _seen(seen)
    with work(file, kept) as job:
        found = job.records.verify(before)
        for fault in found.faults:
            say(f"  {fault}")
        number, digest = job.records.last()
        if not found.sound:
            say("The records are NOT as they were recorded.")
            raise typer.Exit(NOT_ACCEPTED)
        typer.echo(f"{number}:{digest}")
        say(f"Sound: {number} entries.")


@app.command()
def schema(
    what: Annotated[
        Literal["book", "submittal", "register", "judgements"],
        typer.Argument(metavar="WHAT", help="book, submittal, register or judgements."),
    ],
) -> None:
    """Print the JSON schema of a field book, a submittal, or of what --json prints."""
    import json

    if what in ("register", "judgements"):
        from backstay.results.field import field_schema

        document = field_schema("register" if what == "register" else "judgements")
    elif what == "submittal":
        from backstay.model.submittal import Submittal

        document = Submittal.model_json_schema()
    else:
        from backstay.fieldbook.book import FieldBook

        document = FieldBook.model_json_schema()
    typer.echo(json.dumps(document, indent=2, ensure_ascii=False))


def _seen(text: str) -> tuple[int, str] | None:
    if not text:
        return None
    number, _, digest = text.partition(":")
    if not number.isdigit() or len(digest) != 64:
        raise refuse("--seen: write number and hash as verify prints them, NUMBER:HASH.")
    return int(number), digest
