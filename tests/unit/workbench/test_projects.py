"""Projects that are begun or brought along: within the folder, over nothing that is there."""

from __future__ import annotations

from pathlib import Path

import pytest

from backstay.workbench.opened import OpenProjects
from backstay.workbench.projects import _create, address


def test_an_address_takes_any_name() -> None:
    """RFC 3986 section 2.2: what has a meaning in addresses is written with percent signs."""
    assert address("site/a b#1?.yaml") == "/project/site/a%20b%231%3F.yaml"


@pytest.mark.parametrize(
    "name",
    ["../out.yaml", "{other}/out.yaml", "", "out.txt", "link/out.yaml", ".yaml/../../o.yaml"],
)
def test_nothing_is_made_outside_the_folder_or_of_another_kind(tmp_path: Path, name: str) -> None:
    root, other = tmp_path / "root", tmp_path / "other"
    root.mkdir()
    other.mkdir()
    (root / "link").symlink_to(other)
    with OpenProjects(root).closing() as projects:
        assert _create(projects, name.format(other=other), b"units: SI")
    assert not any(path.is_file() for path in tmp_path.rglob("*"))


def test_what_is_there_is_not_written_over(tmp_path: Path) -> None:
    with OpenProjects(tmp_path).closing() as projects:
        assert _create(projects, "wall.yaml", b"one") == ""
        assert "is there already" in _create(projects, "wall.yaml", b"two")
    assert (tmp_path / "wall.yaml").read_bytes() == b"one"
