"""A desk: what one window looks at, and the only way by which it changes a project.

Listeners are called on the event loop, within the window's own context, so that panels may change what
they show. Work runs in threads; the loop never waits for it.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from typing import Literal

from nicegui import background_tasks, run, ui

from backstay.design import Design, Part
from backstay.errors import BackstayError, ProjectError
from backstay.model.changes import Change
from backstay.quantity import Quantity, UnitSystem
from backstay.workbench.access.people import Person, Role
from backstay.workbench.live import Standing, designed
from backstay.workbench.look import Look
from backstay.workbench.opened import OpenProject
from backstay.workbench.project_file import OutsideChangeError, State

Tone = Literal["plain", "good", "bad"]
_MARKS: dict[Tone, str] = {"plain": "", "good": "✓ ", "bad": "✗ "}
_LOOK_ONLY = "You may look at this project, not change it."
_BARE = re.compile(r"'?[-+]?[\d.]+'?")
_ASKED: ContextVar[tuple[int, int] | None] = ContextVar("asked", default=None)
"""What a window had seen, and how many steps it had made, when it asked for what is being done."""
_ANSWER = 30.0
"""Seconds that a page is given to say what it shows, before it is asked again."""


class Desk:
    """One window on an open project."""

    def __init__(self, opened: OpenProject, person: Person, look: Look, part: int = 0) -> None:
        """Open a window; it must be made while its page is built.

        part: index of the section or slope that is looked at first.
        """
        self.look = look
        self.opened = opened
        self.person = person
        self.client = ui.context.client
        self.loop = asyncio.get_running_loop()
        self._asked_part = max(part, 0)
        self._title = ""
        self._listeners: list[Callable[[], object]] = []
        self._seen = self._sent = opened.file.revision
        self._asking = False
        self._turn = asyncio.Lock()
        self._steps_made = 0
        self._under_way = 0
        self._idle = asyncio.Event()
        standing = opened.live.standing
        project = standing.project if standing else None
        self.units = look.units or (project.units if project else UnitSystem.SI)
        ends = (opened.file.listen(self._on_state), opened.live.listen(self._on_standing))
        self.client.on_delete(lambda: [end() for end in ends])

    @property
    def state(self) -> State:
        """Return the state of the file."""
        return self.opened.file.state

    @property
    def standing(self) -> Standing | None:
        """Return what is known of the design of the text as it stands."""
        return self.opened.live.standing

    @property
    def design(self) -> Design | None:
        """Return the latest design there is; see `standing` for whether the text has moved on."""
        good = self.opened.live.last_good
        return good.design if good else None

    @property
    def part(self) -> Part | None:
        """Return the section or slope that is looked at."""
        if self.design is None or not self.design.parts:
            return None
        return self.design.parts[self.part_index]

    @property
    def part_index(self) -> int:
        """Return which of the parts that is: the last one where there are fewer than was asked for."""
        count = len(self.design.parts) if self.design else 0
        return min(self._asked_part, count - 1) if count else self._asked_part

    @property
    def part_asked(self) -> int | None:
        """Return what an address must say of the part that is looked at; None where there is one only."""
        if self.design is None:
            return self._asked_part or None
        return self.part_index if len(self.design.parts) > 1 else None

    @property
    def part_path(self) -> tuple[str | int, ...]:
        """Return the place of that part in the project file."""
        walls = len(self.design.sections) if self.design else 0
        if self.part_index < walls:
            return ("sections", self.part_index)
        return ("slopes", self.part_index - walls)

    @property
    def may_design(self) -> bool:
        """Say whether the person may change the project."""
        return self.person.role >= Role.DESIGNS

    def on_change(self, listener: Callable[[], object]) -> None:
        """Call a listener whenever what is shown may have changed: text, design, units or part."""
        self._listeners.append(listener)

    def changed(self) -> None:
        """Tell all listeners."""
        self._stay()
        for listener in tuple(self._listeners):
            listener()

    def choose_units(self, units: UnitSystem) -> None:
        """Show everything in other units; the project keeps its own."""
        self.units = units
        self.changed()

    def choose_part(self, index: int) -> None:
        """Look at another section or slope."""
        self._asked_part, self._title = max(index, 0), ""
        self.changed()

    def _stay(self) -> None:
        """Stay with the part that is looked at where others before it came or went."""
        if self.design is None or self.part is None:
            return
        titles = [part.title for part in self.design.parts]
        if self._title in titles and titles[self.part_index] != self._title:
            self._asked_part = titles.index(self._title)
        self._title = titles[self.part_index]

    def text(self, quantity: Quantity, value: float) -> str:
        """Return a value with its unit, as this window shows it."""
        return quantity.text(value, self.units)

    def say(self, words: str, tone: Tone = "plain") -> None:
        """Tell the person something, for a moment; what is bad stays until it is closed."""
        bad = tone == "bad"
        with self.client:
            ui.notify(
                _MARKS[tone] + words,
                position="bottom-left",
                classes=f"say say-{tone}",
                timeout=0 if bad else 4000,
                close_button="Close" if bad else False,
                multi_line=True,
            )

    async def edit(self, changes: Sequence[Change], what: str) -> str:
        """Change the project as one step; return "" or why that is not possible, in words."""
        return await self._try(
            lambda on: self.opened.file.change(changes, what, on=on, who=self.person.name)
        )

    async def rewrite(self, text: str, what: str) -> str:
        """Take another text of the project as one step, as of `edit`."""
        return await self._try(
            lambda on: self.opened.file.replace(text, what, on=on, who=self.person.name)
        )

    async def preview(self, changes: Sequence[Change]) -> Standing | str:
        """Return the design, without slip surfaces, as it would be after changes, or why there is none."""

        def work() -> Standing | str:
            try:
                project = self.opened.file.preview(changes)
            except ProjectError as error:
                return words_of(error)
            return designed(project, self.opened.file.revision, "leave out")

        with self._working():
            return await run.io_bound(work) or "The workbench is closing."

    async def undo(self) -> str:
        """Go one step back."""
        return await self._try(lambda on: self.opened.file.undo(on=on))

    async def redo(self) -> str:
        """Go one step forward."""
        return await self._try(lambda on: self.opened.file.redo(on=on))

    async def take_outside(self) -> str:
        """Take what something else has written to the disk, as one step, as of `edit`."""
        return await self._try_anyhow(lambda: self.opened.file.take_outside(who=self.person.name))

    async def take_up(self) -> str:
        """Take what was left unsaved as one step, as of `edit`."""
        return await self._try_anyhow(lambda: self.opened.file.take_up(who=self.person.name))

    async def drop_left(self) -> str:
        """Remove what was left unsaved, for good."""
        return await self._try_anyhow(self.opened.file.drop_left)

    async def save(self, *, over: bool = False) -> str | OutsideChangeError:
        """Write the project to the disk; return "", why not, or that it was changed outside.

        What was asked for before, and is being done, is saved with it.
        """
        if not self.may_design:
            return "You may look at this project, not save it."
        await self.settled()
        try:
            await run.io_bound(lambda: self.opened.file.save(over=over))
        except OutsideChangeError as error:
            return error
        except OSError as error:
            return f"The file cannot be written: {error.strerror or error}"
        return ""

    async def settled(self) -> None:
        """Wait until what this window has asked for, and has not been answered, is done."""
        while self._under_way:
            await self._idle.wait()

    @contextmanager
    def asking(self) -> Iterator[None]:
        """Hold what is asked for to what is seen now, however long it takes to understand it.

        For what waits for something before it edits; saving waits for it.
        """
        asked = _ASKED.set((self._seen, self._steps_made))
        try:
            with self._working():
                yield
        finally:
            _ASKED.reset(asked)

    @contextmanager
    def _working(self) -> Iterator[None]:
        self._under_way += 1
        self._idle.clear()
        try:
            yield
        finally:
            self._under_way -= 1
            if not self._under_way:
                self._idle.set()

    async def _try(self, work: Callable[[int], State]) -> str:
        """Do what is done on a revision; its step is this window's own.

        One after the other: what a fast hand asks for before the first is done is made on its step,
        and on no step of another that came between.
        """
        seen, made = _ASKED.get() or (self._seen, self._steps_made)
        with self._working():
            async with self._turn:
                revision = seen + self._steps_made - made
                state = await self._done(lambda: work(revision))
                if isinstance(state, str):
                    return state
                self._made(state, revision)
                return ""

    async def _try_anyhow(self, work: Callable[[], State]) -> str:
        """Do what is done whatever the revision: its step is seen when the page has shown it."""
        state = await self._done(work)
        return state if isinstance(state, str) else ""

    async def _done(self, work: Callable[[], State]) -> State | str | None:
        if not self.may_design:
            return _LOOK_ONLY
        try:
            with self._working():
                return await run.io_bound(work)
        except ProjectError as error:
            return words_of(error)
        except BackstayError as error:
            return str(error)

    def _made(self, state: State | None, on: int) -> None:
        """Count a step of this window's own as seen; what another has done between is not."""
        if state is not None and state.revision == on + 1:
            self._steps_made += 1
            self._seen = max(self._seen, state.revision)

    def _on_state(self, _state: State) -> None:
        self._soon()

    def _on_standing(self, _standing: Standing) -> None:
        self._soon()

    def _soon(self) -> None:
        """Tell listeners from the event loop, whatever thread this is called in."""
        self.loop.call_soon_threadsafe(self._now)

    def _now(self) -> None:
        if self.client.id in type(self.client).instances:
            self._sent = self.opened.file.revision
            with self.client:
                self.changed()
            if self._sent > self._seen and not self._asking:
                self._asking = True
                background_tasks.create(self._ask_what_is_shown())

    async def _ask_what_is_shown(self) -> None:
        """Count what was sent to the page as seen when the page has answered that it came.

        Until then an edit is one of what was shown before: it is refused, not written over what
        another window did.
        """
        try:
            while self._seen < self._sent and not self.client.is_deleted:
                sent = self._sent
                with suppress(TimeoutError):
                    if await self.client.run_javascript("return true", timeout=_ANSWER):
                        self._seen = max(self._seen, sent)
        finally:
            self._asking = False


def words_of(error: ProjectError) -> str:
    """Return the faults of a project in sentences for a page: without lines and columns."""
    said = []
    for fault in error.faults:
        # a bare number says nothing to who sees other units; what was typed stands where it was typed
        read = f"{fault.read}: " if fault.read and not _BARE.fullmatch(fault.read) else ""
        accepted = f" Accepted: {fault.accepted}." if fault.accepted else ""
        hint = f" ({fault.hint})" if fault.hint else ""
        said.append(f"{fault.path}: {read}{fault.rule}{hint}.{accepted}".lstrip(": "))
    return "\n".join(said)
