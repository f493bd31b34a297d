"""`backstay serve`: the workbench from the command line. What it needs is loaded when it runs."""

from __future__ import annotations

import gc
import sys
from pathlib import Path
from typing import Annotated

import typer

_WRONG_INPUT = 2


def serve(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Project file (YAML), or a folder of them.")],
    port: Annotated[int, typer.Option("--port", help="Port to listen on.")] = 8080,
    address: Annotated[
        str, typer.Option("--address", help="Address to listen on; any but this machine's own needs accounts.")
    ] = "127.0.0.1",
    name: Annotated[
        list[str] | None, typer.Option("--name", help="Name by which others reach this machine.")
    ] = None,
    certificate: Annotated[
        Path | None, typer.Option("--certificate", metavar="PEM", help="Certificate, to serve https.")
    ] = None,
    key: Annotated[Path | None, typer.Option("--key", metavar="PEM", help="Key of the certificate.")] = None,
    public: Annotated[
        str, typer.Option("--public", metavar="URL", help="Address that people type where a proxy stands in front.")
    ] = "",
    people: Annotated[
        Path | None, typer.Option("--people", metavar="FILE", help="Accounts file; in your settings if not given.")
    ] = None,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the browser.")] = True,
) -> None:  # fmt: skip
    """Open the workbench in the browser.

    It listens on this machine alone; serving others needs an address and accounts.
    """
    from backstay.workbench.access import AccountsError, Exposure, People, RefusedToServeError
    from backstay.workbench.serving import serve as serve_workbench

    exposure = Exposure(address, port, tuple(name or ()), certificate, key, public)
    _wake_for_good()
    try:
        serve_workbench(file, exposure, People(people), browser=browser, say=_say)
    except (RefusedToServeError, AccountsError) as error:
        _say(str(error))
        raise typer.Exit(_WRONG_INPUT) from None


def _wake_for_good() -> None:
    """Take back what makes a short command quick: this one runs on."""
    for name in ("scipy", "yaml"):
        if sys.modules.get(name, sys) is None:
            del sys.modules[name]
    gc.enable()


def _say(words: str) -> None:
    typer.echo(words, err=True)
