"""What is wrong on site: each named in one message, and either nothing recorded, or judged so."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from backstay.records import open_records
from backstay.stressing.record import TestRecord
from tests.journeys.field import CREW, DAY, ENGINEER, copied, done, ready, run
from tests.journeys.field_tables import GOOD, as_csv, performance, proof, rows_of
from tests.unit.stressing.synthetic import altered, set_back, without

pytestmark = pytest.mark.journey
READ = ("--anchor", "1-4", "--by", CREW, "--on", DAY)
Rows = list[list[str]]


@pytest.fixture(scope="module")
def grouted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return ready(tmp_path_factory.mktemp("grouted"))


def head(text: str) -> Callable[[Rows], Rows]:
    return lambda rows: [text.split(","), *rows[1:]]


def cell(row: int, column: int, text: str) -> Callable[[Rows], Rows]:
    def change(rows: Rows) -> Rows:
        rows[row][column] = text
        return rows

    return change


def swapped(a: int, b: int) -> Callable[[Rows], Rows]:
    def change(rows: Rows) -> Rows:
        rows[a], rows[b] = rows[b], rows[a]
        return rows

    return change


def repeated(row: int, dial: str = "") -> Callable[[Rows], Rows]:
    def change(rows: Rows) -> Rows:
        again = list(rows[row])
        again[3] = dial or again[3]
        return [*rows[: row + 1], again, *rows[row + 1 :]]

    return change


def scaled(first: int, factor: float, last: int | None = None) -> Callable[[Rows], Rows]:
    columns = range(first, (first if last is None else last) + 1)

    def change(rows: Rows) -> Rows:
        return [
            rows[0],
            *(
                [f"{float(c) * factor:.3f}" if k in columns else c for k, c in enumerate(row)]
                for row in rows[1:]
            ),
        ]

    return change


TABLES = [
    ("no head", lambda rows: rows[1:], "no head of a table"),
    ("no unit", head("Step,Minute,Gauge,Dial 1,Dial 2 (in),Remark"), "column 3: Gauge: the head does not say the unit"),
    ("no such unit", head("Step,Minute,Gauge (kip),Dial 1 (in),Dial 2 (in),Remark"), "'kip' is no unit of gauge pressure"),
    ("misspelt", head("Step,Minute,Gauge (psi),Dail 1 (in),Dial 2 (in),Remark"), "this head is unknown; did you mean"),
    ("two alike", head("Step,Minute,Gauge (psi),Dial 1 (in),Dial 1 (in),Remark"), "a second column of this"),
    ("no minutes", head("Step,Hour,Gauge (psi),Dial 1 (in),Dial 2 (in),Remark"), "no column of minutes"),
    ("pressure in bar", head("Step,Minute,Gauge (bar),Dial 1 (in),Dial 2 (in),Remark"), "pressure unit"),
    ("pressure in kPa", scaled(2, 6.895), "pressure unit"),
    ("dials in mm", scaled(3, 25.4, 4), "movement unit"),
    ("head in mm", head("Step,Minute,Gauge (psi),Dial 1 (mm),Dial 2 (mm),Remark"), "movement unit"),
    ("letter in a number", cell(3, 2, "28o0"), "line 4, column 3: Gauge (psi): read '28o0'"),
    ("decimal comma", cell(3, 3, "1,480"), "line 4, column 4: Dial 1 (in): read '1,480'"),
    ("empty dial", cell(3, 3, ""), "line 4, column 4: Dial 1 (in): nothing stands here"),
    ("empty gauge", cell(3, 2, ""), "line 4, column 3"),
    ("negative minute", cell(9, 1, "-2"), "minutes are not negative"),
    ("no such step", cell(3, 0, "33"), "line 4, column 1: Step: read '33'; the procedure has 8 steps"),
    ("steps swapped", swapped(3, 5), "order: a step is read after a later step"),
    ("minutes swapped", swapped(9, 11), "order: the minutes of a hold fall"),
    ("twice with other dials", repeated(9, "3.6515"), "duplicate reading"),
    ("cell too many", cell(3, 5, "x,y\",z"), ""),
]  # fmt: skip


@pytest.mark.parametrize(("what", "change", "words"), TABLES, ids=[t[0] for t in TABLES])
def test_a_wrong_table_is_named_and_not_recorded(
    grouted: Path, what: str, change: Callable[[Rows], Rows], words: str
) -> None:
    text = as_csv(change(rows_of(proof())))
    if not words:
        text = text.replace('"x,y"",z"', "x,y,z")
        words = "line 4, column 7: read 'y'; a cell stands beyond the columns of the head"
    before = last(grouted)
    said = done("readings", "wall.yaml", "-", *READ, cwd=grouted, status=2, stdin=text)
    assert words in said, said
    assert re.match(r"standard input: \d+ faults?\n", said)
    assert len(said.splitlines()) <= 8, said
    assert last(grouted) == before


def last(folder: Path) -> tuple[int, str]:
    with open_records(folder / "wall.records") as records:
        return records.last()


def test_wrong_anchors_jacks_and_times_are_named_and_not_recorded(grouted: Path) -> None:
    before = last(grouted)
    table = as_csv(rows_of(proof()))
    named = as_csv(
        [
            [*row, "1-4" if k % 2 else "1-5"] if k else [*row, "Anchor"]
            for k, row in enumerate(rows_of(proof()))
        ]
    )
    by, on = ("--by", CREW), ("--on", DAY)
    for words, options, stdin in (
        ("has no anchor '1-444'", ("--anchor", "1-444", *by, *on), table),
        ("has no anchor 'Alder-1-004'", ("--anchor", "Alder-1-004", *by, *on), table),
        ("which anchor these readings are of is not told", (*by, *on), table),
        ("records of one table are of anchor", (*by, *on), named),
        ("another anchor than", ("--anchor", "1-4", *by, *on), named),
        ("here is no jack 'J-9'; there are: J-1", (*READ, "--jack", "J-9"), table),
        ("There is no test \"creep\"", (*READ, "--kind", "creep"), table),
        ("the practice US has no investigation, suitability", (*READ, "--kind", "suitability"), table),
        ("is still to come", ("--anchor", "1-4", *by, "--on", "2999-01-01 10:00"), table),
        ("this is not a day", ("--anchor", "1-4", *by, "--on", "soon"), table),
        ("Say who records it", ("--anchor", "1-4", *on), table),
        ("a test follows the grout", ("--anchor", "1-7", *by, *on), table),
    ):  # fmt: skip
        ran = run("readings", "wall.yaml", "-", *options, cwd=grouted, stdin=stdin)
        said = ran.stdout + ran.stderr
        assert words in said, (words, said)
        assert ran.returncode == 2
        assert "fault of the program" not in said
    assert last(grouted) == before


BOOKS = [
    ("unknown anchor", "locked_off: [{anchor: 9-1, on: 2025-03-24, jack_load: 100}]", "locked_off[0].anchor: read '9-1'; the register has no anchor '9-1'"),
    ("wrong unit", "tendons: [{anchor: 1-6, on: 2025-03-11, certificate: M, area: 3 kip, modulus: 28500, guaranteed: 234, free_length: 34, bond_length: 30}]", "tendons[0].area: read '3 kip'; this is not a unit of section area"),
    ("missing", "cubes: [{anchor: 1-5, on: 2025-03-18, sample: G-9, age: 7}]", "cubes[0].strengths: this is missing"),
    ("misspelt", "dirlled: []", "dirlled: this key is unknown"),
    ("not a day", "remarks: [{text: x, on: march}]", "remarks[0].on: read 'march'; this is not a day"),
    ("no such day", "remarks: [{text: x, on: 2025-02-30}]", "there is no such day"),
    ("to come", "remarks: [{text: x, on: 2999-01-01}]", "is still to come"),
    ("before its hole", "grouted: [{anchor: 1-7, on: 2025-03-11, water_cement: 0.45, volume: 18 ft3}]", "grout follows the hole"),
    ("hole twice", "drilled: [{anchor: 1-4, on: 2025-03-20, diameter: 6, length: 66}]", "a hole is drilled once"),
    ("other values", "drilled: [{anchor: 1-4, on: '2025-03-11 08:05', diameter: 6, length: 60}]", "records this already, with other values"),
    ("stratum beyond", "drilled: [{anchor: 1-6, on: 2025-03-20, diameter: 6, length: 66, strata: [{top: 0, bottom: 80}]}]", "drilled[0].strata[0].bottom: read '80'; this is beyond the end"),
    ("no such file", "files: [{path: gone.jpg, on: 2025-03-20}]", "there is no such file beside the book"),
    ("jack again", "jacks: [{name: J-1, gauge: G-21, ram_area: 22, capacity: 200, stroke: 10, calibration: {certificate: C-118, on: 2025-03-03, expires: 2026-03-03, points: [{pressure: 500, load: 10}, {pressure: 9000, load: 180}]}}]", "recorded with other values"),
    ("falling line", "jacks: [{name: J-2, gauge: G-3, ram_area: 22, capacity: 200, stroke: 10, calibration: {certificate: C-9, on: 2025-03-03, expires: 2026-03-03, points: [{pressure: 500, load: 180}, {pressure: 9000, load: 10}]}}]", "the load must grow with the pressure"),
    ("expires before", "jacks: [{name: J-2, gauge: G-3, ram_area: 22, capacity: 200, stroke: 10, calibration: {certificate: C-9, on: 2025-03-03, expires: 2024-03-03, points: [{pressure: 500, load: 10}, {pressure: 9000, load: 180}]}}]", "expires before it was issued"),
    ("no YAML", "drilled: [", "not valid YAML"),
]  # fmt: skip


@pytest.mark.parametrize(("what", "entries", "words"), BOOKS, ids=[b[0] for b in BOOKS])
def test_a_wrong_book_is_named_and_not_recorded(
    grouted: Path, tmp_path: Path, what: str, entries: str, words: str
) -> None:
    good = (
        "locked_off: []"
        if "remarks" in entries
        else "remarks: [{text: a sound entry, on: 2025-03-20}]"
    )
    book = tmp_path / "book.yaml"
    book.write_text(f"field_book: B-9\nunits: US\nzone: '-05:00'\n{good}\n{entries}\n", "utf-8")
    before = last(grouted)
    said = done("enter", "wall.yaml", book, "--by", CREW, cwd=grouted, status=2)
    assert words in said, said
    assert re.search(r": 1 fault\n  line \d+", said), said
    assert last(grouted) == before


def at_a_hold(record: TestRecord, minute: float) -> int:
    return next(r.number for r in record.readings if r.minute == minute and r.phase == "hold")


def fallen(record: TestRecord) -> TestRecord:
    number = at_a_hold(record, 5.0)
    gauge = record.readings[number - 1].gauge or 0.0
    return altered(record, number, gauge=0.9 * gauge)


def beyond(record: TestRecord) -> TestRecord:
    return altered(record, at_a_hold(record, 5.0), gauge=9200 * 6.895)


FACTS = [
    ("dial reset in mid-test", lambda r: set_back(r, at_a_hold(r, 3.0), 0.02), "dial reset"),
    ("load drop in the hold", fallen, "load drop"),
    ("gauge beyond its calibration", beyond, "beyond calibration"),
    ("hold left out", lambda r: without(r, *(x.number for x in r.readings if x.minute > 4)), "short hold"),
    ("step left out", lambda r: without(r, 3), "skipped hold"),
]  # fmt: skip


@pytest.mark.parametrize(("what", "change", "words"), FACTS, ids=[f[0] for f in FACTS])
def test_what_went_wrong_in_a_test_is_recorded_and_judged(
    grouted: Path, tmp_path: Path, what: str, change: Callable[[TestRecord], TestRecord], words: str
) -> None:
    wall = copied(grouted, tmp_path)
    rows = rows_of(change(proof(replace(GOOD, seed=4))))
    if what == "step left out":
        for row in rows[3:]:
            row[0] = f"{int(row[0]) + 1}"
    said = done("readings", "wall.yaml", "-", *READ, "--over", cwd=wall, stdin=as_csv(rows))
    assert words in said, said
    judged = done("judge", "wall.yaml", "1-4", cwd=wall, status=1)
    assert words in judged
    assert "1: ACCEPTED" not in judged
    done("sign", "wall.yaml", "1-4", "--by", ENGINEER, cwd=wall, status=2)


def test_an_expired_certificate_is_named_and_withholds_acceptance(
    grouted: Path, tmp_path: Path
) -> None:
    wall = copied(grouted, tmp_path)
    said = done(
        "readings", "wall.yaml", "-", "--anchor", "1-4", "--by", CREW, "--on", "2026-04-02", "--over",
        cwd=wall, stdin=as_csv(rows_of(proof())),
    )  # fmt: skip
    assert "certificate expired" in said
    assert "CANNOT BE JUDGED" in said
    sheets = done(
        "sheet", "wall.yaml", "1-4", "--jack", "J-1", "--on", "2026-04-02", cwd=wall, status=1
    )
    assert "was good to" in sheets
    assert not (wall / "wall-sheets.pdf").exists()


def test_a_site_that_is_not_there(grouted: Path, tmp_path: Path) -> None:
    for words in (
        ("judge", "wall.yaml", "1-99"), ("judge", "wall.yaml", "1-6"), ("sign", "wall.yaml", "1-6", "--by", "X"),
        ("derate", "wall.yaml", "1-6"), ("learn", "wall.yaml"), ("judge", "wall.yaml"),
        ("sheet", "wall.yaml"), ("register", "wall.yaml", "--state", "lost"),
        ("register", "wall.yaml", "--section", "B"), ("import", "wall.yaml", "none.zip"),
        ("enter", "wall.yaml", "none.yaml", "--by", "X"), ("readings", "wall.yaml", "none.csv", *READ),
        ("verify", "wall.yaml", "--records", "none.records"),
        ("judge", "wall.yaml", "--records", "postgresql://nobody@127.0.0.1:1/none"),
        ("judge", "wall.yaml", "--records", "nonsense://x"),
    ):  # fmt: skip
        said = done(*words, cwd=grouted, status=2)
        assert 1 <= len(said.strip().splitlines()) <= 3, said
    (tmp_path / "wall.records").write_bytes(b"no database at all" * 100)
    (tmp_path / "wall.yaml").write_text((grouted / "wall.yaml").read_text("utf-8"), "utf-8")
    done("judge", "wall.yaml", cwd=tmp_path, status=2)


def test_a_performance_table_is_not_taken_for_a_proof_test(grouted: Path) -> None:
    before = last(grouted)
    rows = rows_of(performance(), steps=False)
    said = done("readings", "wall.yaml", "-", *READ, cwd=grouted, status=2, stdin=as_csv(rows))
    assert "no step from here on has such a load" in said or "order" in said
    assert last(grouted) == before
