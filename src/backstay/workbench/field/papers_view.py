"""What leaves the field as a file, and the proof that the records are as they were written."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path, PurePosixPath

from nicegui import ui

from backstay.fieldbook.moments import moment_of
from backstay.fieldbook.sheets import field_sheets_of
from backstay.records.entries import RegisterLine
from backstay.records.store import Records
from backstay.report.field.field_sheets import field_sheets_bytes
from backstay.report.field.whole import WallPapers, wall_papers
from backstay.stressing.jack import Jack
from backstay.workbench.desk import Desk
from backstay.workbench.field.work import FieldError, FieldWork, Refused, attempt


@dataclass(frozen=True, slots=True)
class Paper:
    """A file: its name on screen, what it holds, its form, the end of its file name, and its making."""

    name: str
    holds: str
    form: str
    end: str
    make: Callable[[Records], bytes]


class PapersView:
    """The part of the panel that makes files."""

    def __init__(
        self, desk: Desk, work: FieldWork, lines: tuple[RegisterLine, ...], jacks: tuple[Jack, ...]
    ) -> None:
        """Show it. lines: of the register; jacks: as recorded."""
        self._desk, self._work = desk, work
        self._rows = {(line.part, line.row): f"{line.part}, row {line.row}" for line in lines}
        self._stem = PurePosixPath(desk.opened.name).stem
        with ui.element("div").classes("fields"):
            ui.label("Field sheets of").classes("wide")
            self._row = ui.select(self._rows, value=next(iter(self._rows)), label="Row")
            names = {"": "not known yet: pressures stay open"} | {
                f"{j.name}\n{j.calibration.certificate}": f"{j.name}, certificate {j.calibration.certificate}"
                for j in jacks
            }  # fmt: skip
            self._jack = ui.select(names, value="", label="Jack")
            self._day = ui.input("Day of the tests", value=date.today().isoformat())
            for one in (self._row, self._jack, self._day):
                one.props("outlined dense")
        with ui.element("table").classes("sheet"):
            with ui.element("thead"), ui.element("tr"):
                for head in ("File", "What it holds", "Form", ""):
                    with ui.element("th").props('scope="col"'):
                        ui.label(head)
            with ui.element("tbody"):
                for paper in self._papers():
                    self._line(paper)
        with ui.element("h2"):
            ui.label("The chain of the records")
        ui.label(
            "Every entry is sealed with a digest that covers all before it. Write number and digest down "
            "on paper: they show later whether the records up to then are still the same."
        ).classes("quiet")
        self._check = ui.button("Verify the records", on_click=self._verify)
        self._check.classes("act").props("flat no-caps")
        self._chain = ui.label().props('role="status"').style("overflow-wrap: anywhere")

    def _papers(self) -> tuple[Paper, ...]:
        return (
            Paper("Pages of the anchors", "Every test with its judgement, plots and readings", "PDF",
                  "anchors.pdf", self._pages),
            Paper("Summary of the wall", "Elevation by state, rows, what is open", "PDF",
                  "summary.pdf", lambda r: self._wall(r).summary(self._desk.units)),
            Paper("Field sheets", "Of the row above: pressures, holds and limits to write on", "PDF",
                  "sheets.pdf", self._sheets),
            Paper("Register", "Anchors, tests, criteria and readings", "XLSX",
                  "register.xlsx", lambda r: self._wall(r).register(self._desk.units)),
            Paper("Readings", "Every reading in kN, m, kPa and minutes", "CSV",
                  "readings.csv", lambda r: r.readings_csv().encode("utf-8")),
            Paper("Archive", "Everything recorded, with history and files", "ZIP",
                  "records.zip", _archive),
        )  # fmt: skip

    def _pages(self, records: Records) -> bytes:
        wall = self._wall(records)
        return wall.pages(wall.of(), self._desk.units)

    def _wall(self, records: Records) -> WallPapers:
        return wall_papers(records, records.register(), self._work.rules, self._work.project)

    def _sheets(self, records: Records) -> bytes:
        jack, _, certificate = str(self._jack.value or "").partition("\n")
        lines = [
            line for line in records.register()
            if (line.part, line.row) == self._row.value and line.state not in _TESTED
        ]  # fmt: skip
        if not lines:
            raise FieldError(
                "Every anchor of this row is tested or replaced: there is no sheet to make."
            )
        text = str(self._day.value or "").strip()
        try:
            day = (moment_of(text).at(None) if text else datetime.now().astimezone()).date()
        except ValueError as error:
            raise FieldError(f"Day of the tests, '{text}': {error}") from None
        sheets = field_sheets_of(
            lines, records, self._work.rules, jack=jack, certificate=certificate, on=day
        )
        return field_sheets_bytes(sheets, self._desk.units, project=self._work.project.project)

    def _line(self, paper: Paper) -> None:
        with ui.element("tr"):
            for words in (paper.name, paper.holds, paper.form):
                with ui.element("td"):
                    ui.label(words)
            with ui.element("td"), ui.row().classes("items-center gap-2"):
                make = ui.button("Make").classes("act").props("flat no-caps")
                make.props(f'aria-label="Make {paper.name}, {paper.form}"')
                busy = ui.label().props('role="status"')

        async def go() -> None:
            make.set_enabled(False)
            busy.text = "Making …"
            await hand_over(self._desk, self._work, f"{self._stem}-{paper.end}", paper.make, busy)
            make.set_enabled(True)

        make.on_click(go)

    async def _verify(self) -> None:
        self._chain.text = "Verifying …"

        def work() -> str:
            with self._work.records() as records:
                found = records.verify()
            if not found.sound:
                faults = "\n".join(found.faults[:20])
                return f"✗ The records are NOT as they were recorded.\n{faults}"
            return (
                f"✓ Sound: {found.entries} entries, {found.readings} readings, {found.files} files. "
                f"The last is {found.last}:{found.hash}"
            )

        done = await attempt(work, self._desk.units)
        self._chain.text = f"✗ {done.words}" if isinstance(done, Refused) else done


_TESTED = frozenset({"accepted", "locked off", "lifted off", "replaced"})


async def hand_over(
    desk: Desk, work: FieldWork, name: str, make: Callable[[Records], bytes], busy: ui.label
) -> None:
    """Make a file in a thread and hand it to the browser; say why where it cannot be made."""

    def made() -> bytes:
        with work.records() as records:
            return make(records)

    content = await attempt(made, desk.units)
    if isinstance(content, Refused):
        busy.text = ""
        desk.say(content.words, "bad")
        return
    busy.text = f"✓ {name}"
    with desk.client:
        ui.download.content(content, name)


def _archive(records: Records) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "records.zip"
        records.export(place)
        return place.read_bytes()
