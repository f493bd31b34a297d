"""What is served: a file, a folder, nothing else; and never to others without accounts."""

from __future__ import annotations

from pathlib import Path

import pytest

from backstay.errors import ProjectError
from backstay.workbench.access import Exposure, People
from backstay.workbench.access.exposure import RefusedToServeError
from backstay.workbench.opened import OpenProjects
from backstay.workbench.serving import _shown, guarded, root_of


def test_a_file_is_served_from_its_folder_and_shown_first(tmp_path: Path) -> None:
    file = tmp_path / "wall.yaml"
    file.write_text("")
    assert root_of(file) == (tmp_path, "wall.yaml")
    assert root_of(tmp_path) == (tmp_path, "")
    loud = tmp_path / "WALL.YAML"
    loud.write_text("")
    assert root_of(loud) == (tmp_path, "WALL.YAML")


def test_an_address_of_colons_stands_in_brackets() -> None:
    """RFC 3986 section 3.2.2: an IPv6 address in a URL is enclosed in square brackets."""
    assert _shown(Exposure(address="::1", port=81)) == "[::1]:81"
    assert _shown(Exposure(address="127.0.0.1", port=80)) == "127.0.0.1:80"


@pytest.mark.parametrize("name", ["none.yaml", "wall.txt", "wall.records"])
def test_what_is_no_project_is_refused(tmp_path: Path, name: str) -> None:
    if not name.startswith("none"):
        (tmp_path / name).write_text("")
    with pytest.raises(ProjectError, match=name):
        root_of(tmp_path / name)


def test_others_are_not_served_without_accounts(tmp_path: Path) -> None:
    people = People(tmp_path / "people.json")
    with (
        OpenProjects(tmp_path).closing() as projects,
        pytest.raises(RefusedToServeError, match="nobody has an account yet"),
    ):
        guarded(projects, Exposure(address="0.0.0.0"), people)  # noqa: S104 - what is refused
