"""The projects of a folder: which there are, that each is open once, and where the stressing page works."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Literal

import pytest

from backstay.design import Design
from backstay.errors import ProjectError
from backstay.model.changes import Set
from backstay.model.project import Project
from backstay.records.store import open_records
from backstay.workbench import live as live_module
from backstay.workbench.access.paths import safe_path
from backstay.workbench.jack import NoSuchProjectError
from backstay.workbench.opened import OpenProjects

DEMO = Path(__file__).parents[3] / "examples" / "two-row-sand.yaml"


@pytest.fixture
def projects(tmp_path: Path) -> Iterator[OpenProjects]:
    with OpenProjects(tmp_path).closing() as found:
        yield found


def test_names_are_of_project_files_alone(projects: OpenProjects) -> None:
    for name in (
        "b.yaml", "a.YML", "inner/deep/c.yaml", "notes.txt", ".hidden.yaml", ".git/d.yaml",
        "b-variants/first.yaml", "wall.yaml/not-a-file",
    ):  # fmt: skip
        path = projects.root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("")
    assert projects.names() == ["a.YML", "b.yaml", "inner/deep/c.yaml"]


def test_a_project_is_open_once(projects: OpenProjects) -> None:
    (projects.root / "inner").mkdir()
    shutil.copy(DEMO, projects.root / "inner" / "wall.yaml")
    first = projects.get(safe_path(projects.root, "inner/wall.yaml"))
    assert first is projects.get(safe_path(projects.root, "inner/wall.yaml"))
    assert first.name == "inner/wall.yaml"
    assert first.live.standing is not None
    assert first.live.standing.design is not None
    first.live.stop()


def test_a_project_that_is_not_there_is_refused(projects: OpenProjects) -> None:
    with pytest.raises(ProjectError):
        projects.get(projects.root / "none.yaml")


def test_a_stressing_page_needs_records_within_the_folder(projects: OpenProjects) -> None:
    shutil.copy(DEMO, projects.root / "wall.yaml")
    with pytest.raises(NoSuchProjectError, match=r"no field records of wall\.yaml yet"):
        projects.jack_site("wall.yaml")
    for name in ("../wall.yaml", "", "wall.records"):
        with pytest.raises(NoSuchProjectError):
            projects.jack_site(name)
    open_records(projects.root / "wall.records").close()
    site = projects.jack_site("wall.yaml")
    assert site.project.project.name == "Larkfield Library, basement shoring"
    assert projects.jack_site("wall.yaml").records is site.records
    projects.get(projects.root / "wall.yaml").live.stop()


def test_windows_cost_no_design_and_saving_none(
    projects: OpenProjects, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[str] = []
    whole = live_module.design

    def counted(project: Project, *, slip_surfaces: Literal["search", "leave out"]) -> Design:
        made.append(slip_surfaces)
        return whole(project, slip_surfaces="leave out")

    monkeypatch.setattr(live_module, "design", counted)
    shutil.copy(DEMO, projects.root / "wall.yaml")
    opened = [projects.get(projects.root / "wall.yaml") for _ in range(20)]
    for one in opened:
        one.file.listen(lambda _: None)
        one.live.listen(lambda _: None)
    assert made.count("leave out") == 1
    file = opened[0].file
    file.change([Set(("sections", 0, "anchors", 0, "elevation"), 91)], "Row 1", on=0)
    assert made.count("leave out") == 2
    standing = opened[0].live.standing
    file.save()
    assert made.count("leave out") == 2, "what is saved is designed already"
    assert standing is not None
    after = opened[0].live.standing
    assert after is not None
    assert after.project is standing.project
    opened[0].live.stop()


def test_in_the_end_searches_and_records_are_let_go(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copy(DEMO, tmp_path / "wall.yaml")
    open_records(tmp_path / "wall.records").close()
    ended: list[str] = []
    with OpenProjects(tmp_path).closing() as projects:
        site = projects.jack_site("wall.yaml")
        live = projects.get(tmp_path / "wall.yaml").live
        live.stop()
        close = site.records.close
        monkeypatch.setattr(live, "close", lambda: ended.append("search"))
        monkeypatch.setattr(
            type(site.records), "close", lambda _: (ended.append("records"), close.__func__(_))
        )
    assert ended == ["search", "records"]
