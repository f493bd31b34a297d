"""Serving the workbench: what is shown to whom, from where, until it is stopped."""

from __future__ import annotations

import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from backstay.errors import Fault, ProjectError
from backstay.fieldbook.place import ELSEWHERE, told_elsewhere
from backstay.kernels import prepare
from backstay.stability.slip.build import KERNEL as SLIP_SURFACES
from backstay.wall.staged.build import KERNEL as STAGES
from backstay.workbench.access import Exposure, People
from backstay.workbench.access.guard import Guard
from backstay.workbench.access.page_clients import forget_pages_with
from backstay.workbench.app import build_app
from backstay.workbench.opened import SUFFIXES, OpenProjects

STARTS = 1.0
"""Seconds after which the browser is opened."""


def guarded(projects: OpenProjects, exposure: Exposure, people: People, first: str = "") -> Guard:
    """Return the application behind its guard. Raises RefusedToServeError, AccountsError.

    first: name of the project that the first page shows; a choice of all where there is none.
    """
    guard = Guard(build_app(projects, first), exposure=exposure, people=people)
    forget_pages_with(guard.sessions)
    return guard


def serve(
    target: Path, exposure: Exposure, people: People, *, browser: bool, say: Callable[[str], None]
) -> None:
    """Serve a project file, or the projects of a folder, until the program is interrupted.

    Raises ProjectError where there is no such file, RefusedToServeError, OSError.
    """
    root, first = root_of(target)
    with OpenProjects(root, first, told_for(first)).closing() as projects:
        guard = guarded(projects, exposure, people, first)
        prepare((STAGES, SLIP_SURFACES), say)
        address = exposure.public or f"http{'s' * exposure.https}://{_shown(exposure)}"
        say(f"The workbench is at {address} - stop it with Ctrl+C.")
        for words in exposure.warnings():
            say(words)
        if browser:
            opens = threading.Timer(STARTS, webbrowser.open, (address,))
            opens.daemon = True
            opens.start()
        uvicorn.run(guard, log_level="warning", **exposure.uvicorn_options())


def root_of(target: Path) -> tuple[Path, str]:
    """Return the folder of the projects, and the name of the one that is meant, "" for none."""
    if target.is_dir():
        return target, ""
    if not target.is_file():
        raise ProjectError([Fault(0, 0, "", "there is no such file", f"'{target}'")], str(target))
    if target.suffix.lower() not in SUFFIXES:
        fault = Fault(0, 0, "", "this is not a project file", f"'{target}'", "a file *.yaml")
        raise ProjectError([fault], str(target))
    return target.parent, target.name


def told_for(first: str) -> str:
    """Return where the environment says that the records of a project are, "" for beside it.

    Raises ProjectError where a place is named and several projects are served.
    """
    told = told_elsewhere()
    if told and not first:
        rule = f"{ELSEWHERE} names one place of field records, and that is of one project"
        accepted = f"a project file, or a folder without {ELSEWHERE}"
        raise ProjectError([Fault(0, 0, "", rule, "a folder of projects", accepted)])
    return told


def _shown(exposure: Exposure) -> str:
    host = f"[{exposure.address}]" if ":" in exposure.address else exposure.address
    return f"{host}:{exposure.port}"
