"""The panel of the field: the register, the page of an anchor, readings brought in, papers."""

from __future__ import annotations

from asyncio import Lock
from collections.abc import Awaitable, Callable

from nicegui import ui

from backstay.errors import BackstayError
from backstay.records.entries import RegisterLine
from backstay.stressing.jack import Jack
from backstay.workbench.desk import Desk
from backstay.workbench.field.anchor_view import AnchorView
from backstay.workbench.field.bring_view import BringView
from backstay.workbench.field.papers_view import PapersView
from backstay.workbench.field.places import register_address
from backstay.workbench.field.register_view import RegisterView
from backstay.workbench.field.submittal_view import SubmittalView
from backstay.workbench.field.who import READS, Recorder, may_record
from backstay.workbench.field.work import FieldWork, Refused, attempt, refused_by, work_of

PARTS = (
    ("", "Register"),
    ("submittal", "Submittal"),
    ("readings", "Bring readings in"),
    ("papers", "Papers and proof"),
)
LOOK_AGAIN = 3.0
"""Seconds between looks at whether another program has recorded something."""


def build(desk: Desk) -> None:
    """Show what the address asks for: an anchor, a part of the panel, else the register."""
    ui.add_head_html('<link rel="stylesheet" href="/static/field.css">')
    asked = desk.client.request.query_params
    part, anchor = asked.get("show", ""), asked.get("anchor", "")
    with ui.element("div").classes("field"):
        if not anchor:
            _parts(desk, part)
        where = ui.element("div")
    _Panel(desk, where, part, anchor)


def _parts(desk: Desk, shown: str) -> None:
    with ui.element("nav").classes("parts").props('aria-label="Field"'):
        for key, name in PARTS:
            link = ui.link(name, register_address(desk.opened.name, key, part=desk.part_asked))
            if key == shown:
                link.props('aria-current="page"')


class _Panel:
    """Fills the panel, and keeps what it shows up to date."""

    def __init__(self, desk: Desk, where: ui.element, part: str, anchor: str) -> None:
        self._desk, self._where, self._part, self._anchor = desk, where, part, anchor
        self._refresh: Callable[[], Awaitable[None]] | None = None
        self._work: FieldWork | None = None
        self._stamp: tuple[int, ...] = ()
        self._seen: tuple[object, ...] = ()
        self._drawing = Lock()  # one after the other: two at once would both be seen
        desk.on_change(lambda: ui.timer(0.0, self._fill, once=True))
        ui.timer(0.0, self._fill, once=True)
        ui.timer(LOOK_AGAIN, self._look)

    def _now(self) -> tuple[object, ...]:
        """Return what the panel depends on besides the records: units and the text of the project."""
        return self._desk.units, self._desk.state.text

    async def _fill(self) -> None:
        async with self._drawing:
            if self._now() != self._seen:
                await self._draw()

    async def _draw(self) -> None:
        desk = self._desk
        self._seen = self._now()
        self._refresh = None
        self._where.clear()
        with self._where:
            try:
                work = work_of(desk)
            except BackstayError as error:
                ui.label(refused_by(error, desk.units).words).classes("notice").props(
                    'role="alert"'
                )
                return
            self._work, self._stamp = work, work.stamp
            if self._anchor:
                page = AnchorView(desk, work, self._anchor)
                self._refresh = lambda: page.show(forms=False)
                await page.show()
            elif self._part in ("submittal", "readings", "papers"):
                await self._tools(work)
            else:
                register = RegisterView(desk, work)
                self._refresh = register.show
                await register.show()
            self._stamp = work.stamp

    async def _tools(self, work: FieldWork) -> None:
        desk = self._desk

        def load() -> tuple[tuple[RegisterLine, ...], tuple[Jack, ...]]:
            with work.records() as records:
                return records.register(), records.jacks()

        found = await attempt(load, desk.units)
        if isinstance(found, Refused):
            ui.label(found.words).classes("notice").props('role="alert"')
            return
        lines, jacks = found
        if not lines:
            ui.label("No anchor is registered yet: begin the register first.").classes("notice")
        elif self._part == "papers":
            PapersView(desk, work, lines, jacks)
        elif self._part == "submittal":
            SubmittalView(desk, work)
        elif may_record(desk):
            recorder = Recorder(desk)
            BringView(desk, work, [line.anchor for line in lines], jacks, recorder)
        else:
            ui.label(READS).classes("notice")

    async def _look(self) -> None:
        """Bring up to date what another program has recorded: a tablet, a command."""
        work = self._work
        if work is None or self._refresh is None or work.stamp == self._stamp:
            return
        self._stamp = work.stamp
        refresh = self._refresh
        async with self._drawing:
            if refresh is self._refresh:
                with self._where:
                    await refresh()
