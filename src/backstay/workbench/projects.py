"""The page of all projects in the folder: open one, begin one, bring one along."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

from nicegui import events, ui

from backstay.errors import BackstayError
from backstay.files import atomic_create
from backstay.model.document import MAX_BYTES, decode
from backstay.model.starter import starter
from backstay.quantity import UnitSystem
from backstay.workbench.access.pages import WHO
from backstay.workbench.access.paths import safe_path
from backstay.workbench.access.people import Person, Role
from backstay.workbench.field.uploading import uploader
from backstay.workbench.look import Look, theme_button
from backstay.workbench.opened import SUFFIXES, OpenProjects


def build_projects(projects: OpenProjects, person: Person, look: Look) -> None:
    """Build the page."""
    with ui.element("header").classes("head"):
        with ui.element("h1").classes("grow"):
            ui.label("Projects")
        theme_button(look)
        if person.name:
            ui.link(person.name, WHO).props('title="Who is signed in; sign out"')
    with ui.element("div").classes("panel"):
        names = projects.names()
        if not names:
            ui.label("There is no project file in this folder yet.").classes("quiet")
        with ui.element("ul"):
            for name in names:
                with ui.element("li"):
                    ui.link(name, address(name))
        if person.role >= Role.DESIGNS:
            _begin(projects)
            _bring(projects)


def address(name: str) -> str:
    """Return where a project is shown."""
    return f"/project/{quote(name)}"


def _begin(projects: OpenProjects) -> None:
    with ui.element("h2"):
        ui.label("Begin a project")
    with ui.row().classes("items-end gap-3"):
        name = ui.input("File name", value="wall.yaml").props("outlined dense maxlength=120")
        units = ui.select(
            {one: one.value for one in UnitSystem}, value=UnitSystem.SI, label="Units"
        )
        units.props("outlined dense").classes("w-28")
        begin = ui.button("Begin").classes("act main").props("flat no-caps")
    wrong = ui.label().classes("notice").props('role="alert"')
    wrong.set_visibility(False)

    def made() -> None:
        text = starter(UnitSystem(units.value))
        refused = _create(projects, name.value.strip(), text.encode("utf-8"))
        wrong.text = refused
        wrong.set_visibility(bool(refused))
        if not refused:
            ui.navigate.to(address(name.value.strip()))

    begin.on_click(made)


def _bring(projects: OpenProjects) -> None:
    with ui.element("h2"):
        ui.label("Bring a project file along")
    wrong = ui.label().classes("notice").props('role="alert"')
    wrong.set_visibility(False)

    def refuse(words: str) -> None:
        wrong.text = words
        wrong.set_visibility(True)

    async def brought(event: events.UploadEventArguments) -> None:
        name = Path(event.file.name).name
        try:
            raw = await event.file.read()
            decode(raw, name)
        except BackstayError as error:
            refuse(f"{name}: {error}")
            return
        refused = _create(projects, name, raw)
        if refused:
            refuse(refused)
        else:
            ui.navigate.to(address(name))

    uploader(
        f"A project file (YAML), up to {MAX_BYTES // 1000} kB",
        brought,
        refuse,
        most=MAX_BYTES,
        kinds=",".join(SUFFIXES),
    )


def _create(projects: OpenProjects, name: str, content: bytes) -> str:
    """Write a new project file; return "" or why not."""
    try:
        atomic_create(safe_path(projects.root, name), content)
    except FileExistsError:
        return f"{name} is there already; choose another name."
    except BackstayError as error:
        return f"{error} A project's name ends with .yaml."
    except OSError as error:
        return f"{name} cannot be written: {error.strerror or error}"
    return ""
