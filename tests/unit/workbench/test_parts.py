"""The section that a window looks at: by number in addresses, kept when others before it come or go."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from pathlib import Path

import pytest

from backstay.model.changes import Remove, Set
from backstay.workbench.field.places import anchor_address, register_address
from backstay.workbench.live import LiveDesign
from backstay.workbench.opened import OpenProject
from backstay.workbench.parts import numbered, panel_address
from tests.unit.workbench.test_desk import DEMO, window


def text_of(*names: str) -> str:
    """Return the demonstration with its section under several names."""
    head, body = DEMO.read_text("utf-8").split("sections:\n")
    return f"{head}sections:\n" + "".join(body.replace("A (Alder Street)", name) for name in names)


@pytest.fixture
def opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[OpenProject]:
    monkeypatch.setattr(LiveDesign, "_begin_search", lambda *_: None)
    path = tmp_path / "wall.yaml"
    path.write_text(text_of("A", "B", "C"), "utf-8")
    project = OpenProject(path, "wall.yaml")
    yield project
    project.live.close()


@pytest.mark.parametrize(
    ("said", "part"), [("", 0), ("2", 2), ("-1", 0), ("1.5", 0), ("x", 0), ("²", 0), ("9999", 0)]
)
def test_what_is_no_number_of_a_part_is_the_first(said: str, part: int) -> None:
    assert numbered(said) == part


def test_every_address_says_which_section_is_looked_at(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        desk, _ = window(monkeypatch, opened, "part")
        assert panel_address(desk, "anchors") == "/project/wall.yaml?at=anchors&part=0"
        desk.choose_part(2)
        assert panel_address(desk, "checks", check="wall.toe") == (
            "/project/wall.yaml?at=checks&check=wall.toe&part=2"
        )
        assert register_address("wall.yaml", "papers", part=desk.part_asked).endswith("&part=2")
        assert anchor_address("wall.yaml", "A-1", part=desk.part_asked).endswith("&part=2")

    asyncio.run(work())


def test_one_section_needs_no_number(monkeypatch: pytest.MonkeyPatch, opened: OpenProject) -> None:
    async def work() -> None:
        opened.file.replace(text_of("A"), "One section", on=opened.file.revision)
        desk, _ = window(monkeypatch, opened, "single")
        assert panel_address(desk, "anchors") == "/project/wall.yaml?at=anchors"
        assert register_address("wall.yaml", part=desk.part_asked) == "/project/wall.yaml?at=field"

    asyncio.run(work())


def test_the_last_part_is_shown_where_the_one_asked_for_is_gone(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        desk, _ = window(monkeypatch, opened, "gone")
        desk.choose_part(7)
        assert desk.part is desk.design.parts[2]  # type: ignore[union-attr]
        assert desk.part_path == ("sections", 2)

    asyncio.run(work())


def test_a_window_stays_with_its_section(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        desk, _ = window(monkeypatch, opened, "stays")
        desk.choose_part(1)
        assert desk.part is not None
        assert "B" in desk.part.title
        assert await desk.edit([Remove(("sections", 0))], "Take out A") == ""
        desk.changed()
        assert (desk.part_index, desk.part.title) == (0, "section B")
        assert await desk.edit([Set(("sections", 0, "name"), "Beech")], "Rename") == ""
        desk.changed()
        assert (desk.part_index, desk.part.title) == (
            0,
            "section Beech",
        )  # its name alone was changed
        assert await desk.undo() == ""
        assert await desk.undo() == ""
        desk.changed()

    asyncio.run(work())
