"""The register on the page: the elevation by state, the table with its filter, and its beginning."""

from __future__ import annotations

from asyncio import Lock
from dataclasses import dataclass

from nicegui import ui

from backstay.drawing.along import stations
from backstay.drawing.state_signs import SIGNS
from backstay.fieldbook.judged import judged_tests
from backstay.fieldbook.registering import Registering, anchors_of, put_in
from backstay.records.entries import RegisterLine
from backstay.report.field.faces import faces_of
from backstay.report.field.words import sentence_of
from backstay.stressing.outliers import Outlier, outliers_of_tests
from backstay.workbench.desk import Desk
from backstay.workbench.field.elevation import elevation
from backstay.workbench.field.places import anchor_address
from backstay.workbench.field.register_table import Wanted, register_table
from backstay.workbench.field.who import READS, Recorder, may_record
from backstay.workbench.field.work import FieldError, FieldWork, Refused, attempt

_ALL_STATES, _ALL_ROWS = "every state", "every row"


@dataclass(frozen=True, slots=True)
class _Loaded:
    lines: tuple[RegisterLine, ...]
    picture: str


class RegisterView:
    """The register: drawn and listed."""

    def __init__(self, desk: Desk, work: FieldWork) -> None:
        """Lay it out; `show` fills it."""
        self._desk, self._work = desk, work
        self._lines: tuple[RegisterLine, ...] = ()
        self._drawing = Lock()
        ui.link("Past the elevation, to the table", "#register-table").classes("skip")
        self._empty = ui.element("div")
        self._picture = ui.html("", sanitize=False)
        self._outliers: tuple[Outlier, ...] = ()
        self._judged: tuple[int, ...] = ()
        self._standing_out = ui.element("div")
        with ui.element("div").classes("fields").props('id="register-table"') as self._filter:
            self._state = ui.select([_ALL_STATES], value=_ALL_STATES, label="State")
            self._row = ui.select([_ALL_ROWS], value=_ALL_ROWS, label="Row")
            self._words = ui.input("Words in name, state, tests or ground")
            self._words.props("clearable debounce=200")
            for one in (self._state, self._row, self._words):
                one.props("outlined dense").on_value_change(self._list)
        self._count = ui.label().classes("quiet").props('role="status"')
        self._table = ui.html("", sanitize=False)
        self._changes = ui.element("div")

    async def show(self) -> None:
        """Show the register as it stands; what is asked for meanwhile is shown after it."""
        async with self._drawing:
            await self._show()
            if await self._judge():
                await self._show()

    async def _show(self) -> None:
        desk, work = self._desk, self._work

        def load() -> _Loaded:
            if not work.there:
                return _Loaded((), "")
            with work.records() as records:
                lines = records.register()
            faces = faces_of(work.project)
            picture = elevation(
                lines, faces, desk.units, self._address, {o.anchor for o in self._outliers}
            )
            return _Loaded(lines, picture)

        found = await attempt(load, desk.units)
        self._empty.clear()
        self._changes.clear()
        if isinstance(found, Refused):
            with self._empty:
                ui.label(found.words).classes("notice").props('role="alert"')
            return
        self._lines = found.lines
        for one in (self._filter, self._count):
            one.set_visibility(bool(found.lines))
        self._picture.content = found.picture
        self._say_outliers()
        self._offer()
        self._list()
        with self._changes if found.lines else self._empty:
            await self._bring_up()

    async def _judge(self) -> bool:
        """Find the anchors that stand out; say whether they are others than are shown.

        All tests are judged for it, so it comes after what is there at once, and where records have changed.
        """
        work, stamp = self._work, self._work.stamp
        if stamp == self._judged or not any(line.tests for line in self._lines):
            return False

        def load() -> tuple[Outlier, ...]:
            with work.records() as records:
                tests = judged_tests(records, work.rules, self._lines, every=True)
                return outliers_of_tests((one.record, one.judgement) for one in tests)

        found = await attempt(load, self._desk.units)
        if isinstance(found, Refused):
            return False  # it is a hint: what the records refuse is said where they are shown
        self._judged, before, self._outliers = stamp, self._outliers, found
        return before != found

    def _say_outliers(self) -> None:
        """Say what stands out, as the summary does: rings on the elevation say only that something does."""
        self._standing_out.clear()
        if not self._outliers:
            return
        with self._standing_out:
            with ui.element("h3"):
                ui.label("Stands out among those tested alike")
            with ui.element("ul"):
                for one in self._outliers:
                    with ui.element("li"):
                        ui.link(one.anchor, self._address(one.anchor))
                        ui.label(f": {sentence_of(one.words, self._desk.units)}").classes("inline")
            ui.label("A hint to look at drill log, grout and readings, and no verdict.").classes(
                "quiet"
            )

    def _address(self, anchor: str) -> str:
        return anchor_address(self._desk.opened.name, anchor, part=self._desk.part_asked)

    def _offer(self) -> None:
        """Offer the states and rows that there are."""
        there = {line.state for line in self._lines}
        states = {_ALL_STATES: _ALL_STATES} | {
            state: f"{sign.letter}: {sign.words}" for state, sign in SIGNS.items() if state in there
        }
        rows = {_ALL_ROWS: _ALL_ROWS} | {
            f"{line.part}\n{line.row}": f"{line.part}, row {line.row}" for line in self._lines
        }
        for box, options in ((self._state, states), (self._row, rows)):
            if box.options != options:
                kept = box.value if box.value in options else next(iter(options))
                box.set_options(options, value=kept)

    def _list(self) -> None:
        part, _, row = str(self._row.value).rpartition("\n")
        wanted = Wanted(
            state="" if self._state.value == _ALL_STATES else str(self._state.value),
            row=(part, int(row)) if part else None, words=str(self._words.value or ""),
        )  # fmt: skip
        shown = [line for line in self._lines if wanted.takes(line)]
        self._count.text = f"{len(shown)} of {len(self._lines)} anchors"
        self._table.content = (
            register_table(shown, self._desk.units, self._address) if shown else ""
        )

    async def _bring_up(self) -> None:
        """Offer to put into the register what the project has and the register has not."""
        desk, work = self._desk, self._work
        standing = desk.standing
        design = standing.design if standing is not None else None
        if design is None:
            ui.label(
                "The project cannot be designed as it stands, so no anchors can be put into the register."
            ).classes("notice")
            return
        along = stations(design)

        def look() -> Registering:
            return anchors_of(design, work.rules, self._lines, along)

        found = await attempt(look, desk.units)
        if isinstance(found, Refused):
            ui.label(found.words).classes("notice")
            return
        if not found.before:
            ui.label(
                f"No anchor is registered yet. The project has {len(found.new)} anchors. The register "
                "keeps what happens to each of them, from first hole to last lift-off, in a file of its "
                "own beside the project."
            )
        if found.gone:
            names = ", ".join(found.gone[:6]) + (" …" if len(found.gone) > 6 else "")
            ui.label(
                f"The project no longer has {len(found.gone)} of the register: {names}"
            ).classes("notice")
        if not found.new and not found.changed:
            return
        if found.before and found.changed:
            ui.label(
                f"The project designs {len(found.changed)} anchors otherwise than recorded. Tests made "
                "before keep the design by which they were made."
            ).classes("notice")
        if not may_record(desk):
            ui.label(READS).classes("quiet")
            return
        self._put_in(found)

    def _put_in(self, found: Registering) -> None:
        desk = self._desk
        with ui.row().classes("items-end gap-3"):
            recorder = Recorder(desk)
            reason = ui.input("Why the design changed").props("outlined dense maxlength=500")
            reason.set_visibility(bool(found.changed and found.before))
            title = (
                "Record the changes"
                if found.before
                else f"Begin the register with {len(found.new)} anchors"
            )
            if found.new and found.before:
                title = f"Put {len(found.new)} new anchors in"
            button = ui.button(title).classes("act main").props("flat no-caps")

        async def go() -> None:
            why = str(reason.value or "").strip()
            standing, saved = desk.standing, not desk.state.unsaved

            def work() -> int:
                by = recorder.name
                if not saved:
                    raise FieldError(
                        "The project is not saved: the register takes its anchors from the saved file."
                    )
                if standing is None or standing.design is None:
                    raise FieldError("The project cannot be designed as it stands.")
                with self._work.records(make=True) as records:
                    design, lines = standing.design, records.register()
                    now = anchors_of(design, self._work.rules, lines, stations(design))
                    if not now.new and not why:
                        raise FieldError("Say why the design changed.")
                    put_in(now, records, by=by, on=None, reason=why)
                return len(now.new)

            done = await attempt(work, desk.units)
            if isinstance(done, Refused):
                desk.say(done.words, "bad")
                return
            desk.say(f"{done} anchors registered." if done else "Recorded.", "good")
            await self.show()

        button.on_click(go)
