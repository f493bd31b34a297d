"""The application: pages, files and routes, behind the guard."""

from __future__ import annotations

from pathlib import Path
from secrets import token_urlsafe

from fastapi import FastAPI, Request
from fastapi.responses import RedirectResponse, Response
from nicegui import ui
from starlette.staticfiles import StaticFiles

from backstay.errors import ProjectError
from backstay.fonts import font_folder
from backstay.workbench.access.guard import needs, person_of, token_of
from backstay.workbench.access.paths import UnsafePathError, safe_path
from backstay.workbench.access.people import Role
from backstay.workbench.desk import Desk, words_of
from backstay.workbench.jack import jack_router
from backstay.workbench.look import begin_page, look_of
from backstay.workbench.opened import OpenProjects
from backstay.workbench.parts import numbered
from backstay.workbench.projects import address, build_projects
from backstay.workbench.shell import build_shell

STATIC = Path(__file__).with_name("static")
RECONNECT = 10.0
"""Seconds that a page may be cut off, or busy, before it is loaded anew and what is half typed is lost."""


def build_app(projects: OpenProjects, shown: str = "") -> FastAPI:
    """Return the application over the projects of one folder; the guard goes around it.

    shown: name of the project that the first page shows.
    """
    app = FastAPI(title="Backstay", docs_url=None, redoc_url=None, openapi_url=None)
    app.mount("/static/fonts", StaticFiles(directory=font_folder()))
    app.mount("/static", StaticFiles(directory=STATIC))

    @app.get("/")
    def first() -> Response:
        return RedirectResponse(address(shown) if shown else "/projects")

    @ui.page("/project/{name:path}", title="Backstay")
    async def project(request: Request, name: str, at: str = "section", part: str = "") -> None:
        look = look_of(request)
        begin_page(look)
        try:
            opened = projects.get(safe_path(projects.root, name))
        except (UnsafePathError, ProjectError) as error:
            words = words_of(error) if isinstance(error, ProjectError) else str(error)
            ui.label(words).classes("notice").props('role="alert"')
            return
        build_shell(Desk(opened, person_of(request), look, numbered(part)), at)

    @ui.page("/projects", title="Backstay")
    async def all_projects(request: Request) -> None:
        look = look_of(request)
        begin_page(look)
        build_projects(projects, person_of(request), look)

    app.include_router(
        jack_router(
            projects.jack_site, reads=needs(Role.READS), records=needs(Role.RECORDS), token=token_of
        )
    )
    ui.run_with(
        app,
        title="Backstay",
        language="en-US",
        storage_secret=token_urlsafe(32),
        show_welcome_message=False,
        reconnect_timeout=RECONNECT,
    )
    return app
