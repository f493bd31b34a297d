"""The head of every page, and the notice of a change from outside: what they show and what they do."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from types import SimpleNamespace
from typing import Any, cast

import pytest
from nicegui import Client, core, ui
from nicegui.events import GenericEventArguments, handle_event
from nicegui.page import page

from backstay.checks import Verdict
from backstay.quantity import UnitSystem
from backstay.workbench import outside, shell
from backstay.workbench.desk import Desk
from backstay.workbench.project_file import OutsideChangeError, State

PLAIN = State(revision=1, text="", unsaved=False, undo="", redo="")


class Window:
    """A desk as far as the head knows it: what it shows is set, what is asked of it is noted."""

    def __init__(self) -> None:
        self.state = PLAIN
        self.standing: Any = SimpleNamespace(course="done")
        self.design: Any = None
        self.may_design = True
        self.outside: str | None = None
        self.asked: list[str] = []
        self.said: list[tuple[str, str]] = []
        self.answer: Any = ""
        self.units = UnitSystem.SI
        self.look: Any = None
        self.client = ui.context.client
        live = SimpleNamespace(search_again=lambda: self.asked.append("search"))
        file = SimpleNamespace(outside=lambda: self.outside)
        self.opened = SimpleNamespace(name="wall.yaml", file=file, live=live)
        self._shows: list[Callable[[], object]] = []

    def on_change(self, show: Callable[[], object]) -> None:
        self._shows.append(show)

    def changed(self) -> None:
        for show in self._shows:
            show()

    def say(self, words: str, tone: str = "plain") -> None:
        self.said.append((words, tone))

    async def _ask(self, what: str) -> Any:
        self.asked.append(what)
        return self.answer

    def undo(self) -> Awaitable[Any]:
        return self._ask("undo")

    def redo(self) -> Awaitable[Any]:
        return self._ask("redo")

    def save(self, *, over: bool = False) -> Awaitable[Any]:
        return self._ask("save over" if over else "save")

    def take_outside(self) -> Awaitable[Any]:
        return self._ask("take")

    def choose_units(self, units: UnitSystem) -> None:
        self.units = units

    def found(self, kind: type, text: str = "") -> Any:
        """Return the one element of a kind, with a text where it is told."""
        (one,) = (
            e for e in self.client.elements.values()
            if isinstance(e, kind) and text in ("", getattr(e, "text", ""))
        )  # fmt: skip
        return one


def in_window(work: Callable[[Window], Awaitable[None]]) -> None:
    """Do some work in a window of its own."""

    async def main() -> None:
        core.loop = asyncio.get_running_loop()
        with Client(page("/"), request=None):
            await work(Window())

    before = core.loop
    try:
        asyncio.run(main())
    finally:
        core.loop = before


async def click(window: Window, words: str) -> None:
    """Click a button as a page would, and let what it began end."""
    button = window.found(ui.button, words)
    (listener,) = (x for x in button._event_listeners.values() if x.type == "click")
    handle_event(
        listener.handler, GenericEventArguments(sender=button, client=window.client, args={})
    )
    for _ in range(20):
        await asyncio.sleep(0)


def desk(window: Window) -> Desk:
    return cast("Desk", window)


def designed(verdict: Verdict, *checks: Verdict) -> Any:
    listed = [("", SimpleNamespace(verdict=one)) for one in checks]
    return SimpleNamespace(verdict=verdict, checks=listed)


@pytest.mark.parametrize(
    ("course", "verdict", "checks", "words", "look"),
    [
        ("done", Verdict.PASS, (Verdict.PASS,), "✓ all checks pass", "pass"),
        ("done", Verdict.SHOW, (Verdict.PASS, Verdict.SHOW), "○ some checks are for the contractor to show", "show"),
        ("done", Verdict.FAIL, (Verdict.FAIL, Verdict.PASS), "✗ 1 check fails", "fail"),
        ("done", Verdict.FAIL, (Verdict.FAIL, Verdict.FAIL), "✗ 2 checks fail", "fail"),
        ("searching", Verdict.PASS, (Verdict.PASS,), "○ all checks so far pass · looking for slip surfaces", "show"),
        ("stopped", Verdict.PASS, (Verdict.PASS,), "○ all checks so far pass · without slip surfaces", "show"),
        ("searching", Verdict.FAIL, (Verdict.FAIL,), "✗ 1 check fails · looking for slip surfaces", "fail"),
        ("stopped", Verdict.SHOW, (Verdict.SHOW,), "○ some checks are for the contractor to show · without slip surfaces", "show"),
        ("refused", Verdict.PASS, (Verdict.PASS,), "✗ cannot be designed as it stands", "fail"),
    ],
)  # fmt: skip
def test_the_verdict_never_says_more_than_is_known(
    course: str, verdict: Verdict, checks: tuple[Verdict, ...], words: str, look: str
) -> None:
    async def work(window: Window) -> None:
        window.design = designed(Verdict.FAIL, Verdict.FAIL)
        shell._verdict(desk(window))
        window.standing = SimpleNamespace(course=course)
        window.design = designed(verdict, *checks)
        window.changed()
        chip = window.found(ui.label)
        assert chip.text == words
        assert [c for c in chip.classes if c.startswith("verdict-")] == [f"verdict-{look}"]
        window.standing, window.design = None, None
        window.changed()
        assert chip.text == ""
        assert not [c for c in chip.classes if c.startswith("verdict-")]

    in_window(work)


def test_the_title_says_what_is_not_saved_and_what_would_be_lost() -> None:
    async def work(window: Window) -> None:
        shell._title(desk(window))
        name, below = [e for e in window.client.elements.values() if isinstance(e, ui.label)]
        assert (name.text, below.text) == ("wall.yaml", "wall.yaml")
        assert below.props["data-unsaved"] == "no"
        assert window.client.title == "wall.yaml - Backstay"
        project = SimpleNamespace(project=SimpleNamespace(name="Alder Street"))
        window.design = SimpleNamespace(project=project)
        window.state = State(
            revision=2, text="", unsaved=True, undo="", redo="", trouble="disk full"
        )
        window.changed()
        assert name.text == "Alder Street"
        assert below.text == (
            "wall.yaml · not saved · lost if the program ends before: no draft can be kept (disk full)"
        )
        assert below.props["data-unsaved"] == "yes"
        assert window.client.title == "Alder Street - Backstay"
        window.state = State(revision=2, text="", unsaved=True, undo="", redo="")
        window.changed()
        assert below.text == "wall.yaml · not saved"
        window.state = State(
            revision=2, text="", unsaved=False, undo="", redo="", trouble="disk full"
        )
        window.changed()
        assert below.text == "wall.yaml"

    in_window(work)


def test_steps_are_offered_by_who_may_take_them_and_named() -> None:
    async def work(window: Window) -> None:
        shell._steps(desk(window))
        undo, redo, save = (window.found(ui.button, w) for w in ("Undo", "Redo", "Save"))
        assert [b.enabled for b in (undo, redo, save)] == [False] * 3
        assert undo.props["title"] == "Nothing to go to"
        window.state = State(revision=2, text="", unsaved=True, undo='Row "1" \\ lower', redo="Toe")
        window.changed()
        assert [b.enabled for b in (undo, redo, save)] == [True] * 3
        assert undo.props["title"] == "Row '1' / lower"
        assert redo.props["title"] == "Toe"
        window.state = State(revision=2, text="", unsaved=False, undo="", redo="Toe")
        window.changed()
        assert [b.enabled for b in (undo, redo, save)] == [False, True, False]
        window.state = State(revision=2, text="", unsaved=True, undo="Toe", redo="Toe")
        window.may_design = False
        window.changed()
        assert [b.enabled for b in (undo, redo, save)] == [False] * 3

    in_window(work)


def test_steps_say_why_they_are_refused_and_saving_says_that_it_saved() -> None:
    async def work(window: Window) -> None:
        shell._steps(desk(window))
        window.state = State(revision=2, text="", unsaved=True, undo="a", redo="b")
        window.changed()
        for words in ("Undo", "Redo", "Save"):
            await click(window, words)
        assert window.asked == ["undo", "redo", "save"]
        assert window.said == [("Saved wall.yaml", "good")]
        window.said, window.answer = [], "you may not"
        for words in ("Undo", "Redo", "Save"):
            await click(window, words)
        assert window.said == [("you may not", "bad")] * 3
        window.said, window.answer = [], OutsideChangeError("changed outside")
        await click(window, "Save")
        assert window.said == [], "the notice beside it offers what can be done"

    in_window(work)


@pytest.mark.parametrize(
    ("key", "held", "down", "asked"),
    [
        ("z", {"ctrl"}, True, ["undo"]), ("z", {"meta"}, True, ["undo"]), ("Z", {"ctrl"}, True, ["undo"]),
        ("Z", {"ctrl", "shift"}, True, ["redo"]), ("z", {"meta", "shift"}, True, ["redo"]),
        ("y", {"ctrl"}, True, ["redo"]), ("z", set(), True, []), ("z", {"shift"}, True, []),
        ("y", set(), True, []), ("z", {"ctrl"}, False, []), ("x", {"ctrl"}, True, []),
    ],
)  # fmt: skip
def test_keys_undo_and_redo(key: str, held: set[str], down: bool, asked: list[str]) -> None:
    async def work(window: Window) -> None:
        shell._steps(desk(window))
        keyboard = window.found(ui.keyboard)
        assert keyboard.props["ignore"] == ["input", "textarea"], "typing there has its own undo"
        (pressed,) = keyboard._key_handlers
        modifiers = SimpleNamespace(**{m: m in held for m in ("ctrl", "meta", "shift")})
        action = SimpleNamespace(keydown=down)
        await pressed(SimpleNamespace(key=key, modifiers=modifiers, action=action))
        assert window.asked == asked

    in_window(work)


def test_slip_surfaces_are_looked_for_again_where_that_was_stopped() -> None:
    async def work(window: Window) -> None:
        shell._search_again(desk(window))
        again = window.found(ui.button)
        for course, seen in (("done", False), ("searching", False), ("stopped", True), ("refused", False)):  # fmt: skip
            window.standing = SimpleNamespace(course=course)
            window.changed()
            assert again.visible is seen, course
        window.standing = None
        window.changed()
        assert not again.visible
        await click(window, shell.LOOK_AGAIN)
        assert window.asked == ["search"]

    in_window(work)


def test_units_are_kept_before_they_are_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    async def work(window: Window) -> None:
        order: list[str] = []
        monkeypatch.setattr(shell, "keep", lambda what, value: order.append(f"keep {what} {value}"))
        monkeypatch.setattr(window, "choose_units", lambda u: order.append(f"show {u.value}"))
        shell._units(desk(window))
        toggle = window.found(ui.toggle)
        assert toggle.value == UnitSystem.SI
        toggle.value = UnitSystem.US
        assert order == ["keep units US", "show US"]

    in_window(work)


async def looked(window: Window) -> tuple[Any, Any, Any, Any]:
    """Let the page look at the disk; return the notice, its words, and its two buttons."""
    if window.look is None:  # a timer ends where no page comes for its window
        timer = window.found(ui.timer)
        assert timer.interval == outside.LOOK
        window.look = timer.callback
    await window.look()
    (notice,) = (e for e in window.client.elements.values() if "notice" in e.classes)
    buttons = ("Take the file from the disk", "Write over it")
    return notice, window.found(ui.label), *(window.found(ui.button, w) for w in buttons)


def test_a_change_from_outside_is_told_with_what_can_be_done() -> None:
    async def work(window: Window) -> None:
        outside.watch_outside(desk(window))
        notice, words, disk, over = await looked(window)
        assert not notice.visible
        window.outside = "project: {}"
        await looked(window)
        assert notice.visible
        assert notice.props["role"] == "alert"
        assert words.text == (
            "wall.yaml was changed by something else since it was opened here. "
            "Taking it is a step that can be undone."
        )
        assert (disk.visible, over.visible, disk.enabled) == (True, True, True)
        window.outside = ""
        await looked(window)
        assert "It is gone or cannot be read." in words.text
        assert notice.visible
        assert (disk.enabled, over.enabled) == (False, True)
        window.outside, window.may_design = "project: {}", False
        await looked(window)
        assert (disk.visible, over.visible, disk.enabled) == (False, False, True)
        assert "Somebody who designs may take it, or write over it." in words.text
        window.outside = None
        await looked(window)
        assert not notice.visible

    in_window(work)


@pytest.mark.parametrize(
    ("button", "asked"), [("Take the file from the disk", "take"), ("Write over it", "save over")]
)
def test_what_is_done_about_it_is_done_and_looked_at_again(button: str, asked: str) -> None:
    async def work(window: Window) -> None:
        outside.watch_outside(desk(window))
        window.outside = "project: {}"
        notice, *_ = await looked(window)
        window.answer = "it may not be"
        await _clicked_and_looked(window, button)
        assert window.asked == [asked]
        assert window.said == [("it may not be", "bad")]
        assert notice.visible
        window.answer, window.said, window.outside = "", [], None
        await _clicked_and_looked(window, button)
        assert window.said == []
        assert not notice.visible, "it is not waited for the next look"

    in_window(work)


async def _clicked_and_looked(window: Window, button: str) -> None:
    await click(window, button)
    for _ in range(200):
        await asyncio.sleep(0.005)
        (notice,) = (e for e in window.client.elements.values() if "notice" in e.classes)
        if notice.visible is (window.outside is not None):
            break
