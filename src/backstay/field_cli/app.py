"""The application that the field commands hang on, their options, and words to standard error."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

if TYPE_CHECKING:
    from backstay.files import Written

ACCEPTED, NOT_ACCEPTED, WRONG_INPUT = 0, 1, 2

app = typer.Typer(rich_markup_mode=None)
"""The application that the commands hang on; `backstay.field_cli.field` takes them in when asked."""

File = Annotated[Path, typer.Argument(metavar="FILE", help="Project file (YAML).")]
Anchor = Annotated[
    str, typer.Argument(metavar="ANCHOR", help="Name of an anchor; row and number may do: 1-7.")
]
Anchors = Annotated[
    list[str] | None,
    typer.Argument(metavar="[ANCHOR]...", help="Names of anchors; row and number may do: 1-7."),
]
Kept = Annotated[
    str,
    typer.Option(
        "--records", metavar="PATH|URL", envvar="BACKSTAY_RECORDS",
        help="Field records: a file, or a PostgreSQL address; FILE.records if not given.",
    ),
]  # fmt: skip
Units = Annotated[
    Literal["SI", "US"] | None,
    typer.Option("--units", metavar="SI|US", case_sensitive=False, help="Units to show; those of the file if not given."),
]  # fmt: skip
By = Annotated[str, typer.Option("--by", metavar="NAME", help="Who records it.")]
On = Annotated[
    str,
    typer.Option("--on", metavar="WHEN", help='When it happened, "2026-03-02 09:30"; now if not given.'),
]  # fmt: skip
Output = Annotated[
    Path | None, typer.Option("--output", "-o", metavar="PATH", help="What to write.")
]
Json = Annotated[bool, typer.Option("--json", help="Print it as JSON instead.")]
Exception_ = Annotated[
    str,
    typer.Option(
        "--exception", metavar="WORDS", help="Record it although it does not fit, and why."
    ),
]


def say(words: str) -> None:
    """Say something to a person, on standard error."""
    typer.echo(words, err=True)


def refuse(words: str) -> typer.Exit:
    """Say what is wrong with the input, and return what ends the command."""
    say(words)
    return typer.Exit(WRONG_INPUT)


def page_at(path: Path, kind: Written = "PDF", *inputs: Path) -> Path:
    """Return where to write a file of a kind. Ends the command where it may not go there.

    inputs: files that the command reads, which are never written over.
    """
    from backstay.files import MisplacedError, output_at

    try:
        return output_at(path, kind, *inputs)
    except MisplacedError as error:
        raise refuse(f"{error.strerror}.") from None


def folder_at(path: Path) -> Path:
    """Return a folder to write to, made where it is not there. Ends the command where it is a file."""
    from backstay.files import MisplacedError, folder_for

    try:
        return folder_for(path)
    except MisplacedError as error:
        raise refuse(f"{error.strerror}.") from None
