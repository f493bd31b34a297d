"""Another place of records is taken by the workbench as by the commands, for the project it serves."""

from __future__ import annotations

import shutil
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from typer.testing import CliRunner

from backstay.cli import app
from backstay.errors import ProjectError
from backstay.fieldbook.place import ELSEWHERE, records_place
from backstay.workbench.field.work import FieldWork, work_of
from backstay.workbench.jack import NoSuchProjectError
from backstay.workbench.opened import OpenProjects
from backstay.workbench.serving import told_for
from tests.unit.workbench.field.wall import PART, wall


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two projects; the records of the first are in another folder, which the environment names."""
    (tmp_path / "kept").mkdir()
    wall(tmp_path)
    shutil.move(tmp_path / "wall.records", tmp_path / "kept" / "site.records")
    shutil.copy(tmp_path / "wall.yaml", tmp_path / "other.yaml")
    monkeypatch.setenv(ELSEWHERE, str(tmp_path / "kept" / "site.records"))
    return tmp_path


def field_work(projects: OpenProjects, name: str) -> FieldWork:
    opened = projects.get(projects.root / name)
    standing = SimpleNamespace(project=opened.file.project())
    return work_of(cast("Any", SimpleNamespace(opened=opened, standing=standing)))


def test_panel_and_stressing_page_work_where_the_command_does(site: Path) -> None:
    said = CliRunner().invoke(app, ["field", "register", str(site / "wall.yaml")])
    assert said.exit_code == 0
    with OpenProjects(site, "wall.yaml", told_for("wall.yaml")).closing() as projects:
        work = field_work(projects, "wall.yaml")
        assert work.place == site / "kept" / "site.records"
        assert work.there
        with work.records() as records:
            lines = records.register()
        jack = projects.jack_site("wall.yaml")
        assert jack.anchor("1-1") == f"{PART}-1-001"
        assert jack.sent == site / "kept" / "site.records.sent"
    assert f"{len(lines)} anchors" in said.output
    assert not list(site.glob("*.records*")), "nothing is made beside the project"


def test_the_records_of_one_project_are_not_those_of_another(site: Path) -> None:
    with OpenProjects(site, "wall.yaml", told_for("wall.yaml")).closing() as projects:
        assert field_work(projects, "other.yaml").place == site / "other.records"
        with pytest.raises(NoSuchProjectError, match="no field records"):
            projects.jack_site("other.yaml")


def test_a_folder_is_not_served_over_one_place_of_records(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    served = CliRunner().invoke(app, ["serve", str(site), "--no-browser"])
    assert served.exit_code != 0
    with pytest.raises(ProjectError, match=ELSEWHERE):
        told_for("")
    monkeypatch.delenv(ELSEWHERE)
    assert told_for("") == told_for("wall.yaml") == ""


def test_an_address_of_a_database_stays_one() -> None:
    address = "postgresql://db/site"
    assert records_place(Path("wall.yaml"), address) == address
    assert FieldWork(cast("Any", None), cast("Any", None), address).there
