"""The demonstration wall with its records, as far as the first test, made without a command."""

from __future__ import annotations

import atexit
import shutil
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from backstay.design import design
from backstay.drawing.along import stations
from backstay.fieldbook.book_reading import read_book
from backstay.fieldbook.entering import enter_book
from backstay.fieldbook.registering import anchors_of, put_in
from backstay.fieldbook.submittals import record_submittal
from backstay.model.reading import read_project
from backstay.model.submittal_reading import read_submittal
from backstay.records.store import open_records
from backstay.stressing.project_rules import rules_of
from backstay.stressing.submittal import review_submittal
from backstay.workbench.field.work import FieldWork

EXAMPLES = Path(__file__).parents[4] / "examples"
FIELD = EXAMPLES / "field"
PART = "A (Alder Street)"


def ready(folder: Path, name: str = "wall", *, change: tuple[str, str] = ("", "")) -> FieldWork:
    """Lay out the wall with its records: registered, submitted, three anchors grouted.

    change: a piece of the project's text and what takes its place.
    """
    text = (EXAMPLES / "two-row-sand.yaml").read_text("utf-8").replace(*change)
    file = folder / f"{name}.yaml"
    file.write_text(text, "utf-8")
    project = read_project(file)
    rules = rules_of(project)
    done = design(project, slip_surfaces="leave out")
    place = folder / f"{name}.records"
    with open_records(place) as records:
        day = datetime(2025, 2, 20, 12, tzinfo=UTC)
        put_in(anchors_of(done, rules, (), stations(done)), records, by="E. Record", on=day)
        if change == ("", ""):
            review = review_submittal(read_submittal(FIELD / "submittal.yaml"), done, rules)
            names = [x.anchor for x in records.register() if x.row in review.submittal.rows]
            day = datetime(2025, 3, 5, 12, tzinfo=UTC)
            record_submittal(records, review, names, project.units, by="E. Record", on=day)
            enter_book(
                read_book(FIELD / "book.yaml"), records, by="R. Field", now=datetime.now(UTC)
            )
    return FieldWork(project, rules, place)


@cache
def template() -> Path:
    """Return a folder with the wall, made once."""
    folder = Path(mkdtemp(prefix="backstay-wall-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    ready(folder)
    return folder


def wall(folder: Path, name: str = "wall") -> FieldWork:
    """Return a copy of the wall with its records."""
    for end in ("yaml", "records"):
        shutil.copy(template() / f"wall.{end}", folder / f"{name}.{end}")
    project = read_project(folder / f"{name}.yaml")
    return FieldWork(project, rules_of(project), folder / f"{name}.records")


def csv(number: str) -> bytes:
    """Return a table of readings of the examples."""
    return next(FIELD.glob(f"{number}-*.csv")).read_bytes()


def slipping() -> bytes:
    """Return the first table of readings, with a creep at the test load that no rule takes."""
    head, *rows = csv("1-001").decode().splitlines()
    return "\n".join([head, *map(_slips, rows)]).encode()


def _slips(row: str) -> str:
    cells = row.split(",")
    minute, pressure = float(cells[1]), float(cells[2])
    if pressure > 7000:
        cells[3:5] = [f"{float(cell) + 0.02 * minute:.3f}" for cell in cells[3:5]]
    return ",".join(cells)
