"""What is brought is understood first and recorded only when told; nothing of a wrong file is."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from backstay.errors import ProjectError
from backstay.fieldbook.at_hand import Asked
from backstay.fieldbook.readings import bring_in
from backstay.quantity import UnitSystem
from backstay.records.refusal import RefusedError
from backstay.workbench.field.bringing import Brought, Understood, bring, fault_rows
from backstay.workbench.field.work import FieldError, FieldWork
from tests.unit.workbench.field.wall import FIELD, csv, wall

US = UnitSystem.US
ASKED = Asked(
    anchor="1-1", tested_by="R. Field", on=datetime(2025, 3, 24, 14, tzinfo=UTC), closed=True
)


@pytest.fixture
def work(tmp_path: Path) -> FieldWork:
    return wall(tmp_path)


def go(
    work: FieldWork, content: bytes, name: str = "a.csv", *, record: bool = False,
    asked: Asked = ASKED, pasted: bool = False,
) -> Understood:  # fmt: skip
    with work.records() as records:
        return bring(
            Brought(name, content, pasted), asked, work, records, US, by="R. Field",
            course="record" if record else "try",
        )  # fmt: skip


def last(work: FieldWork) -> tuple[int, str]:
    with work.records() as records:
        return records.last()


def test_a_look_says_what_recording_says_and_records_nothing(work: FieldWork) -> None:
    before = last(work)
    seen = go(work, csv("1-001"))
    assert last(work) == before
    assert seen.new == 35
    assert seen.before == 0
    assert seen.writes
    assert ("Gauge (psi)", "pressure at the gauge", "psi") in seen.columns
    assert ("Dial 2 (in)", "dial 2", "in") in seen.columns
    done = go(work, csv("1-001"), record=True)
    assert last(work)[0] > before[0]
    assert done.tests[0].judgement == seen.tests[0].judgement
    with work.records() as records:
        assert len(records.test_record(done.tests[0].anchor).readings) == 35


def test_the_records_are_those_of_the_command(work: FieldWork, tmp_path: Path) -> None:
    """The same table by the code under `backstay field readings` gives the same readings."""
    from backstay.fieldbook.cells import cells_of_file
    from backstay.fieldbook.heads import reading_table
    from backstay.fieldbook.table_rows import written_rows

    (tmp_path / "b").mkdir()
    other = wall(tmp_path / "b")
    table = reading_table(cells_of_file(FIELD / "1-001-performance.csv"))
    with other.records() as records:
        rows = written_rows(table, day=None, zone=None)
        bring_in(table, rows, ASKED, records, other.rules, US, by="R. Field")
        expected = records.readings_csv()
    go(work, csv("1-001"), record=True)
    with work.records() as records:
        assert records.readings_csv() == expected


def test_a_spreadsheet_is_read_as_the_table_is(work: FieldWork) -> None:
    """The cells of the table as XLSX, written by a general library, give the same readings."""
    import csv as table
    import io

    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in table.reader(io.StringIO(csv("1-001").decode())):
        sheet.append([float(c) if c[:1].isdigit() else c or None for c in row])
    stream = io.BytesIO()
    book.save(stream)
    as_book = go(work, stream.getvalue(), "a.xlsx")
    as_text = go(work, csv("1-001"))
    assert as_book.tests[0].record.readings == as_text.tests[0].record.readings


def test_the_same_again_is_noticed(work: FieldWork) -> None:
    go(work, csv("1-001"), record=True)
    number = last(work)
    again = go(work, csv("1-001"), record=True)
    assert (again.new, again.before, again.writes) == (0, 35, False)
    assert last(work) == number


def test_faults_have_their_places(work: FieldWork) -> None:
    lines = csv("1-001").decode().splitlines()
    lines[3] = lines[3].replace("570", "five hundred")
    lines[6] = "5,0,,0.9,1.3,"
    number = last(work)
    with pytest.raises(ProjectError) as raised:
        go(work, "\n".join(lines).encode())
    rows = fault_rows(raised.value.faults)
    assert [row[0] for row in rows] == ["4", "7"]
    assert rows[0][1] == "Gauge (psi)"
    assert "five hundred" in rows[0][2]
    assert last(work) == number


@pytest.mark.parametrize(
    ("content", "name", "words"),
    [
        (b"\x00\x01\x02\xff\xfe" * 50, "photo.csv", "not UTF-8 text"),
        (b"PK\x03\x04 no workbook at all", "a.xlsx", "cannot be read"),
        (b"\xd0\xcf\x11\xe0" + bytes(100), "a.xls", "old format"),
        (b"Day,Weather\n1,rain\n", "a.csv", "no head of a table of readings"),
        (b"Step,Minute,Gauge,Dial 1 (in)\n1,0,570,0.5\n", "a.csv", "does not say the unit"),
        (b"x" * 10_000_001, "a.csv", "larger than 10 MB"),
        (b"- just\n- a list\n", "a.yaml", "not a field book"),
        (b"a: &a [1]\nb: *c\n", "a.yaml", ""),
    ],
)
def test_wrong_files_are_refused_in_words(
    work: FieldWork, content: bytes, name: str, words: str
) -> None:
    number = last(work)
    with pytest.raises(ProjectError) as raised:
        go(work, content, name, record=True)
    assert words in str(raised.value)
    assert last(work) == number


def test_what_does_not_fit_is_refused_already_at_the_look(work: FieldWork) -> None:
    asked = Asked(anchor="1-2", tested_by="R. Field", on=ASKED.on)  # not drilled yet
    number = last(work)
    with pytest.raises(RefusedError, match="does not fit"):
        go(work, csv("1-001"), asked=asked)
    assert last(work) == number


def test_without_an_anchor_the_words_are_no_options(work: FieldWork) -> None:
    with pytest.raises(ProjectError) as raised:
        go(work, csv("1-001"), asked=Asked(tested_by="R. Field"))
    assert "an anchor named for all of them, or a column Anchor" in str(raised.value)
    assert "--" not in str(raised.value)


def test_nothing_is_nothing(work: FieldWork) -> None:
    with pytest.raises(FieldError):
        go(work, b"  \n", pasted=True)


def test_a_field_book_is_known_pasted_or_dropped(work: FieldWork) -> None:
    book = (
        b"field_book: B-9\nunits: US\nremarks:\n"
        b"  - {text: <b>wet</b>, on: 2025-03-12 10:00, anchor: 1-1}\n"
    )
    number = last(work)
    assert go(work, book, "Pasted", pasted=True).new == 1
    assert last(work) == number
    assert go(work, book, "b.yaml", record=True).new == 1
    again = go(work, book, "b.yaml", record=True)
    assert (again.new, again.before) == (0, 1)


def test_a_book_sent_along_reads_no_file_of_the_machine(work: FieldWork, tmp_path: Path) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("not for the records")
    for path in (secret, "secret.txt", "../secret.txt"):
        book = f"field_book: B-9\nunits: US\nfiles:\n  - {{path: {path}, on: 2025-03-12}}\n"
        number = last(work)
        with pytest.raises(ProjectError, match="do not come along"):
            go(work, book.encode(), "b.yaml", record=True)
        assert last(work) == number
