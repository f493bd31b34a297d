"""`backstay people`: who may use the workbench when it is served to others.

Passwords are asked for, twice, and never shown; where nobody is at the keyboard the first line of
standard input is taken. They are no options of the command: those show in the list of processes
and in the history of the terminal.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

if TYPE_CHECKING:
    from backstay.workbench.access.people import People, Person

_WRONG_INPUT = 2

app = typer.Typer(
    name="people",
    help="Say who may use the workbench when it is served to others, and what each may do.",
    epilog="Roles: reads; records (reads and records tests); designs (all of that, and designs). "
    "Exit status: 0 done, 2 the input is wrong and nothing has changed.",
    no_args_is_help=True,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)

Name = Annotated[str, typer.Argument(metavar="NAME", help="As the person signs in.")]
RoleName = Literal["reads", "records", "designs"]
AccountsFile = Annotated[
    Path | None,
    typer.Option("--people", metavar="FILE", help="Accounts file; in your settings if not given."),
]


@app.command("list")
def list_people(people: AccountsFile = None) -> None:
    """Print the people and what each may do."""

    def work(accounts: People) -> str:
        everybody = accounts.everybody()
        widest = max((len(person.name) for person in everybody), default=0)
        for person in everybody:
            typer.echo(f"{person.name:{widest}}  {person.role.value}")
        return "" if everybody else f"Nobody has an account yet ({accounts.path})."

    _do(people, work)


@app.command()
def add(
    name: Name,
    role: Annotated[RoleName, typer.Option("--role", help="What the person may do.")],
    people: AccountsFile = None,
) -> None:
    """Give a person an account."""
    from backstay.workbench.access.people import Role

    def work(accounts: People) -> str:
        person = accounts.add(name, Role(role), _password())
        return f"{person.name} {person.role.words}. Kept in {accounts.path}."

    _do(people, work)


@app.command("role")
def change_role(
    name: Name,
    role: Annotated[RoleName, typer.Argument(metavar="ROLE", help="reads, records or designs.")],
    people: AccountsFile = None,
) -> None:
    """Change what a person may do."""
    from backstay.workbench.access.people import Role

    _do(people, lambda accounts: _changed(accounts.change_role(name, Role(role))))


@app.command("password")
def change_password(name: Name, people: AccountsFile = None) -> None:
    """Set another password for a person."""

    def work(accounts: People) -> str:
        person = accounts.person(name)  # before anything has been typed
        return _changed(accounts.change_password(person.name, _password()))

    _do(people, work)


@app.command()
def remove(name: Name, people: AccountsFile = None) -> None:
    """Take a person's account away."""
    _do(people, lambda accounts: f"{accounts.remove(name).name} has no account any more.")


def _do(file: Path | None, work: Callable[[People], str]) -> None:
    from backstay.workbench.access.people import AccountsError, People

    try:
        said = work(People(file))
    except AccountsError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(_WRONG_INPUT) from None
    if said:
        typer.echo(said, err=True)


def _changed(person: Person) -> str:
    return f"{person.name} {person.role.words}, and has to sign in again."


def _password() -> str:
    if sys.stdin.isatty():
        asked: str = typer.prompt("Password", hide_input=True, confirmation_prompt=True, err=True)
        return asked
    return sys.stdin.readline().rstrip("\r\n")
