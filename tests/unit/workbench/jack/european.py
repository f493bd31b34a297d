"""The demonstration wall tested by the European practice, and a crew that reads what a model gives."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from math import log10
from pathlib import Path
from typing import Any

from backstay.design import design
from backstay.drawing.along import stations
from backstay.fieldbook.book_reading import read_book
from backstay.fieldbook.entering import enter_book
from backstay.fieldbook.registering import anchors_of, put_in
from backstay.fieldbook.submittals import record_submittal
from backstay.model.reading import read_project
from backstay.model.submittal_reading import read_submittal
from backstay.records.store import open_records
from backstay.stressing.load_loss import load_loss
from backstay.stressing.procedure import Procedure
from backstay.stressing.project_rules import rules_of
from backstay.stressing.schedules import procedure_of
from backstay.stressing.submittal import review_submittal
from tests.journeys.field import EXAMPLES
from tests.unit.stressing.synthetic import Model, record_of
from tests.unit.workbench.jack.site import ANCHOR, DAY, entry

KIND = "suitability"
_ANNEX = '{{practice: EN, method: "{method}", {limit}}}'
LIMITS = {
    "lock-off": "",
    "stepped load": 'stepped_creep: {value: "2 mm", clause: "national annex, invented"}',
}


def wall(folder: Path, method: str) -> Path:
    """Lay out the wall with its records: registered, submitted, three anchors grouted."""
    annex = _ANNEX.format(method=method, limit=LIMITS[method])
    text = (EXAMPLES / "two-row-sand.yaml").read_text("utf-8")
    (folder / "wall.yaml").write_text(f"{text}\ntests: {annex}\n", "utf-8")
    paper = (EXAMPLES / "field" / "submittal.yaml").read_text("utf-8")
    fine = paper.replace("dial_graduation: 0.001", "dial_graduation: 0.0003")
    (folder / "submittal.yaml").write_text(fine, "utf-8")
    project = read_project(folder / "wall.yaml")
    rules, done = rules_of(project), design(project, slip_surfaces="leave out")
    with open_records(folder / "wall.records") as records:
        put_in(
            anchors_of(done, rules, (), stations(done)), records, by="E. Record",
            on=datetime(2025, 2, 20, 12, tzinfo=UTC),
        )  # fmt: skip
        review = review_submittal(read_submittal(folder / "submittal.yaml"), done, rules)
        names = [x.anchor for x in records.register() if x.row in review.submittal.rows]
        on = datetime(2025, 3, 5, 12, tzinfo=UTC)
        record_submittal(records, review, names, project.units, by="E. Record", on=on)
        book = read_book(EXAMPLES / "field" / "book.yaml")
        enter_book(book, records, by="R. Field", now=datetime.now(UTC))
    return folder


def crew(folder: Path, *, creep: float = 0.0006, lost: float = 0.004) -> Iterator[dict[str, Any]]:
    """Yield what a tablet sends of a whole test, reading by reading, in SI units.

    creep: of the bond (m per tenfold time); lost: share of the load lost per tenfold time from the
    fifth part of a minute on, while the head is locked off.
    """
    project = read_project(folder / "wall.yaml")
    with open_records(folder / "wall.records") as records:
        tested = records.anchor_to_test(ANCHOR, jack_length=1.2)
        jack = records.jacks()[0]
        design_values = records.anchor(ANCHOR).line.design
    factor = design_values.test_load / design_values.design_load
    procedure = procedure_of(KIND, tested, factor, rules_of(project))
    made = record_of(Model(anchor=tested, jack=jack, creep=creep, bond=300.0), procedure)
    clock, before = DAY, 0.0
    steps = iter(_steps_of(procedure))
    step = -1
    for r in made.readings:
        if r.minute == 0.0:
            step = next(steps)
            clock += timedelta(minutes=before + 1.0)
        before = r.minute
        pressure = r.gauge or 0.0
        if procedure.method == "lock-off" and step == len(procedure.steps) - 1 and r.minute > 0.0:
            load = procedure.steps[step].load
            kept = load * (1.0 - lost * max(0.0, log10(5.0 * r.minute)))
            assert load_loss(load, kept) >= 0.0
            pressure = jack.calibration.pressure(kept)
        yield entry(
            "reading", clock + timedelta(minutes=r.minute), step=step, minute=r.minute,
            arrival=r.minute == 0.0, gauge=si(f"{pressure / 100.0:.4f}"),
            dials=[si(f"{1000.0 * d:.3f}") for d in r.dials],
        )  # fmt: skip


def _steps_of(procedure: Procedure) -> range:
    return range(len(procedure.steps))


def si(text: str) -> dict[str, str]:
    """Return a number as typed in SI units."""
    return {"text": text, "units": "SI"}


def begin() -> dict[str, Any]:
    """Return the beginning of the test."""
    return entry(
        "begin", DAY, jack="J-1", certificate="C-118", kind=KIND, jack_length=si("1.2"),
        exception="",
    )  # fmt: skip
