"""What one window may change: only what it has been shown, and only for a person who designs."""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
from nicegui import core

from backstay.errors import Fault, ProjectError
from backstay.model.changes import Set
from backstay.quantity import UnitSystem
from backstay.workbench import desk as desk_module
from backstay.workbench.access.people import Person, Role
from backstay.workbench.desk import Desk, words_of
from backstay.workbench.look import Look
from backstay.workbench.opened import OpenProject

DEMO = Path(__file__).parents[3] / "examples" / "two-row-sand.yaml"
ROW = ("sections", 0, "anchors", 0, "elevation")
LOOK = Look(None, "light")


class Page:
    """A window's page, whose answers come when the test lets them."""

    instances: dict[str, Page] = {}  # noqa: RUF012 - as of the library

    def __init__(self, name: str) -> None:
        self.id = name
        self.is_deleted = False
        self.instances[name] = self
        self.may_answer = asyncio.Event()
        self.asked = 0

    def on_delete(self, _: Callable[[], object]) -> None: ...

    def __enter__(self) -> Page:
        return self

    def __exit__(self, *_: object) -> None: ...

    def run_javascript(self, _: str, *, timeout: float) -> Awaitable[bool]:
        async def answer() -> bool:
            self.asked += 1
            await self.may_answer.wait()
            return True

        return answer()


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[OpenProject]:
    path = tmp_path / "wall.yaml"
    shutil.copy(DEMO, path)
    project = OpenProject(path, "wall.yaml")
    project.live.stop()
    yield project
    project.live.close()


def window(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject, name: str, role: Role = Role.DESIGNS
) -> tuple[Desk, Page]:
    page = Page(name)
    fake = SimpleNamespace(context=SimpleNamespace(client=page))
    monkeypatch.setattr(desk_module, "ui", fake)
    monkeypatch.setattr(core, "loop", asyncio.get_running_loop())
    return Desk(opened, Person(name, role), LOOK), page


async def settle(until: Callable[[], bool]) -> None:
    for _ in range(2000):
        if until():
            return
        await asyncio.sleep(0.005)
    raise AssertionError("it did not come")


def test_steps_of_one_window_follow_each_other_and_saving_follows_them(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        one, _ = window(monkeypatch, opened, "fast")
        tried = asyncio.create_task(one.preview([Set(ROW, 91.0)]))
        done = [
            asyncio.create_task(step)
            for step in (
                one.edit([Set(ROW, 91.5)], "Row 1 lower"),
                one.edit([Set(ROW, 91.0)], "Row 1 lower still"),
                one.undo(), one.redo(), one.undo(),
            )
        ]  # fmt: skip
        await asyncio.sleep(0)  # all have begun, none has ended
        assert await one.save() == ""
        assert tried.done()
        assert [one.result() for one in done] == [""] * 5
        assert "elevation: 91.5" in opened.file.path.read_text("utf-8")
        opened.live.stop()

    asyncio.run(work())


def test_what_is_asked_for_is_held_to_what_was_seen_then(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        one, _ = window(monkeypatch, opened, "one")
        slow, page = window(monkeypatch, opened, "slow")

        async def edit() -> str:
            with slow.asking():
                await settle(lambda: slow._seen == 1)  # it is understood only now
                return await slow.edit([Set(ROW, 93.0)], "Row 1 higher")

        edited = asyncio.create_task(edit())
        assert await one.edit([Set(ROW, 91.5)], "Row 1 lower") == ""
        page.may_answer.set()
        saved = await slow.save()
        assert edited.done(), "saving waits for it"
        assert (await edited).startswith("Another window has changed the project meanwhile")
        assert saved == ""
        assert await slow.edit([Set(ROW, 93.0)], "Row 1 higher") == ""
        opened.live.stop()

    asyncio.run(work())


def test_a_window_changes_only_what_it_has_been_shown(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        one, first = window(monkeypatch, opened, "one")
        other, second = window(monkeypatch, opened, "other")
        first.may_answer.set()
        assert await one.edit([Set(ROW, 91.5)], "Row 1 lower") == ""
        assert await one.edit([Set(ROW, 91.0)], "Row 1 lower still") == ""  # its own are seen
        await settle(lambda: second.asked > 0)

        refused = await other.edit([Set(ROW, 93.0)], "Row 1 higher")
        assert refused.startswith("Another window has changed the project meanwhile")
        assert "Row 1 lower still by one" in refused
        assert await other.undo() == refused
        assert await other.rewrite("units: SI", "Something else") == refused
        assert "elevation: 91" in opened.file.text

        second.may_answer.set()
        await settle(lambda: not other._asking)
        assert await other.edit([Set(ROW, 93.0)], "Row 1 higher") == ""
        await settle(lambda: one._seen == opened.file.revision)
        assert await one.undo() == ""
        assert "elevation: 91" in opened.file.text
        opened.live.stop()

    asyncio.run(work())


@pytest.mark.parametrize("role", [Role.READS, Role.RECORDS])
def test_nobody_else_changes_anything(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject, role: Role
) -> None:
    async def work() -> None:
        designer, _ = window(monkeypatch, opened, "designer")
        assert await designer.edit([Set(ROW, 91.5)], "Row 1 lower") == ""
        desk, page = window(monkeypatch, opened, "reader", role)
        page.may_answer.set()
        text, disk = opened.file.text, opened.file.path.read_bytes()
        words = "You may look at this project, not change it."
        assert await desk.edit([Set(ROW, 93.0)], "Row 1 higher") == words
        assert await desk.rewrite("units: SI", "Something else") == words
        assert await desk.undo() == words
        assert await desk.redo() == words
        assert await desk.take_outside() == words
        assert await desk.save() == "You may look at this project, not save it."
        assert (opened.file.text, opened.file.path.read_bytes()) == (text, disk)
        opened.live.stop()

    asyncio.run(work())


def test_units_are_those_of_the_project_until_a_person_chooses(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        desk, _ = window(monkeypatch, opened, "one")
        assert desk.units is UnitSystem.US
        told: list[UnitSystem] = []
        desk.on_change(lambda: told.append(desk.units))
        desk.choose_units(UnitSystem.SI)
        assert told == [UnitSystem.SI]
        assert not desk.state.unsaved

    asyncio.run(work())


def test_a_step_of_another_is_not_seen_by_what_is_done_on_any_revision(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        one, _ = window(monkeypatch, opened, "one")
        other, page = window(monkeypatch, opened, "other")
        assert await one.edit([Set(ROW, 91.5)], "Row 1 lower") == ""
        await settle(lambda: page.asked > 0)
        assert await other.save() == ""
        assert await other.take_outside() == ""
        assert await other.drop_left() == ""
        assert "Another window" in await other.edit([Set(ROW, 93.0)], "Row 1 higher")
        assert "elevation: 91.5" in opened.file.text
        assert await one.edit([Set(ROW, 92.5)], "Row 1 up") == "", "saving makes nobody late"
        opened.live.stop()

    asyncio.run(work())


def test_what_comes_after_a_page_was_asked_is_not_seen_with_its_answer(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        one, first = window(monkeypatch, opened, "one")
        other, page = window(monkeypatch, opened, "other")
        answers: asyncio.Queue[bool] = asyncio.Queue()

        async def answer(_: str, *, timeout: float) -> bool:
            page.asked += 1
            return await answers.get()

        monkeypatch.setattr(page, "run_javascript", answer)
        first.may_answer.set()
        assert await one.edit([Set(ROW, 91.5)], "Row 1 lower") == ""
        await settle(lambda: page.asked > 0)
        assert await one.edit([Set(ROW, 91.0)], "Row 1 lower still") == ""
        await settle(lambda: other._sent == 2)
        assert page.asked == 1, "a page is asked one thing at a time"
        answers.put_nowait(True)
        await settle(lambda: other._seen > 0)
        assert other._seen == 1
        answers.put_nowait(True)
        await settle(lambda: other._seen == 2)
        opened.live.stop()

    asyncio.run(work())


def test_what_is_looked_at_has_its_place_in_the_file(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        desk, _ = window(monkeypatch, opened, "one")
        parts = SimpleNamespace(parts=("a", "b", "c"), sections=("a", "b"))
        monkeypatch.setattr(Desk, "design", parts)
        found = []
        for index in range(4):
            desk.choose_part(index)
            found.append((desk.part, desk.part_path))
        assert found[:3] == [
            ("a", ("sections", 0)), ("b", ("sections", 1)), ("c", ("slopes", 0)),
        ]  # fmt: skip
        assert found[3][0] == "c", "where one was taken out, the last is looked at"

    asyncio.run(work())


def test_units_that_a_person_has_chosen_stay(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        window(monkeypatch, opened, "one")
        assert Desk(opened, Person("Ann", Role.READS), Look(UnitSystem.SI, "dark")).units == "SI"

    asyncio.run(work())


def test_a_file_that_cannot_be_written_is_said(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        desk, _ = window(monkeypatch, opened, "one")
        assert await desk.edit([Set(ROW, 91.5)], "Row 1 lower") == ""

        def full(**_: object) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(opened.file, "save", full)
        assert await desk.save() == "The file cannot be written: No space left on device"
        assert desk.state.unsaved
        opened.live.stop()

    asyncio.run(work())


def test_a_window_that_is_closed_is_told_nothing(
    monkeypatch: pytest.MonkeyPatch, opened: OpenProject
) -> None:
    async def work() -> None:
        ends: list[Callable[[], object]] = []
        monkeypatch.setattr(Page, "on_delete", lambda _, end: ends.append(end))
        desk, page = window(monkeypatch, opened, "one")
        page.may_answer.set()
        told: list[int] = []
        desk.on_change(lambda: told.append(1))
        for end in ends:
            end()
        assert await desk.edit([Set(ROW, 91.5)], "Row 1 lower") == ""
        await asyncio.sleep(0.05)
        assert told == []
        opened.live.stop()

    asyncio.run(work())


def test_faults_are_said_without_bare_numbers() -> None:
    faults = (
        Fault(3, 5, "sections[0].cut.subgrade", "too low", "'80.0'"),
        Fault(4, 5, "sections[0].cut.subgrade", "not a length", "'12 kPa'"),
    )
    assert words_of(ProjectError(faults)).splitlines() == [
        "sections[0].cut.subgrade: too low.",
        "sections[0].cut.subgrade: '12 kPa': not a length.",
    ]
