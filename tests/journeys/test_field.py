"""The field commands from the first plan to the last lift-off, run as people run them."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from tests.journeys.field import CREW, DAY, ENGINEER, OFFICE, copied, done, ready, run, site
from tests.journeys.field_tables import GOOD, as_csv, as_workbook, performance, proof, rows_of

pytestmark = pytest.mark.journey
READ = ("--by", CREW, "--on", DAY)


@pytest.fixture(scope="module")
def grouted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return ready(tmp_path_factory.mktemp("grouted"))


@pytest.fixture
def wall(grouted: Path, tmp_path: Path) -> Path:
    return copied(grouted, tmp_path)


def text_of(path: Path) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(path).pages)


def test_before_the_records_there_is_a_plan_and_a_word(tmp_path: Path) -> None:
    site(tmp_path)
    listed = run("register", "wall.yaml", cwd=tmp_path)
    assert listed.returncode == 2
    assert "no field records" in listed.stderr
    assert not (tmp_path / "wall.records").exists()
    plan = done("plan", "wall.yaml", cwd=tmp_path)
    assert "performance" in plan
    assert "one of the first anchors" in plan
    assert max(map(len, plan.splitlines())) <= 100


def test_a_starter_project_is_planned_too(tmp_path: Path) -> None:
    import subprocess
    import sys

    subprocess.run([sys.executable, "-m", "backstay", "new", "mine.yaml"], cwd=tmp_path, check=True)
    said = done("register", "mine.yaml", "--by", OFFICE, cwd=tmp_path)
    assert "anchors registered, 0 were there before" in said
    assert (tmp_path / "mine.records").exists()


def test_from_the_first_hole_to_the_last_lift_off(wall: Path) -> None:
    sheets = done(
        "sheet", "wall.yaml", "1-1", "1-4", "--jack", "J-1", "--on", "2025-03-24", cwd=wall
    )
    assert "2 sheets" in sheets
    page = text_of(wall / "wall-sheets.pdf")
    assert "1-001" in page
    assert "75" in page  # 7,5.. psi at the test load

    first = ("wall.yaml", "field/1-001-performance.csv", "--anchor", "1-1")
    said = done("readings", *first, *READ, "--over", cwd=wall)
    assert "recorded 35 readings" in said
    assert "ACCEPTED" in said
    as_workbook(rows_of(proof(replace(GOOD, seed=4))), wall / "proof.xlsx")
    done("readings", "wall.yaml", "proof.xlsx", "--anchor", "A-1-4", *READ, "--over", cwd=wall)
    poor = (wall / "field" / "1-005-proof.csv").read_text("utf-8").replace(",", "\t")
    said = done(
        "readings", "wall.yaml", "-", "--anchor", "1-005", *READ, "--over", cwd=wall, stdin=poor
    )
    assert "NOT ACCEPTED" in said
    assert "Re-grout it" in said

    done("sign", "wall.yaml", "1-1", "--by", ENGINEER, "--on", "2025-03-24 11:30", cwd=wall)
    done("sign", "wall.yaml", "1-4", "--by", ENGINEER, "--on", "2025-03-24 14:40", cwd=wall)
    done(
        "sign", "wall.yaml", "1-5", "--by", ENGINEER, "--on", "2025-03-24 18:00", cwd=wall, status=1
    )
    done("enter", "wall.yaml", "field/book-2.yaml", "--by", CREW, cwd=wall)

    judged = done("judge", "wall.yaml", "1-1", cwd=wall)
    assert "in tolerance" in judged.lower()
    assert "NOT ACCEPTED" in done("judge", "wall.yaml", "1-5", cwd=wall, status=1)
    done("judge", "wall.yaml", cwd=wall, status=1)
    locked = done("register", "wall.yaml", "--state", "lifted off", cwd=wall)
    assert "2 lifted off" in locked
    after = done("judge", "wall.yaml", "1-4", cwd=wall)
    assert "In tolerance" in after
    assert "Allowed next" not in after, "it is locked off and lifted off"

    done("report", "wall.yaml", "-o", "papers", cwd=wall)
    assert "1-005" in text_of(wall / "papers" / "anchors.pdf")
    assert "1-005" in text_of(wall / "papers" / "summary.pdf")
    assert load_workbook(wall / "papers" / "register.xlsx").sheetnames
    derated = done("derate", "wall.yaml", "1-5", cwd=wall, status=1)
    assert "May carry" in derated
    assert "What may be done" in derated
    down_rated_on_record(wall)
    lessons = done("learn", "wall.yaml", cwd=wall)
    assert "3 tests in granular" in lessons
    assert "Expected to fail" in lessons


def down_rated_on_record(wall: Path) -> None:
    """Record a down-rating with reason and author, keep it from the project, and withdraw it."""
    derate = ("derate", "wall.yaml", "1-5", "--on", "2025-03-25")
    before = done("history", "wall.yaml", "1-5", cwd=wall)
    assert run(*derate, "--by", ENGINEER, cwd=wall).returncode == 2
    assert run(*derate, "--reason", "it crept", cwd=wall).returncode == 2
    assert done("history", "wall.yaml", "1-5", cwd=wall) == before
    named = ("--by", ENGINEER, "--reason", "it crept")
    said = done(*derate, *named, cwd=wall, status=1)
    entry = re.search(r"Recorded as entry (\d+)", said)
    assert entry
    assert "recorded before" in done(*derate, *named, cwd=wall, status=1)
    told = done("history", "wall.yaml", "1-5", cwd=wall)
    assert "design changed: reason it crept" in " ".join(told.split())
    shown = ("register", "wall.yaml", "--json", "--units", "SI")
    register = json.loads(done(*shown, cwd=wall))
    line = next(a for a in register["anchors"] if a["anchor"].endswith("1-005"))
    assert line["design_load"]["value"] == pytest.approx(0.5 * 138.0 * 4.4482216, rel=1e-3)
    again = done("register", "wall.yaml", "--by", OFFICE, "--reason", "as designed", cwd=wall)
    assert "left so: A (Alder Street)-1-005" in again
    assert json.loads(done(*shown, cwd=wall)) == register
    judged = done("judge", "wall.yaml", "1-5", cwd=wall, status=1)
    assert "152.9 kip, at least 149.9 kip" in judged, "the test keeps the design it was made by"
    withdraw = (
        "correct",
        "wall.yaml",
        entry[1],
        "--withdraw",
        "--by",
        ENGINEER,
        "--reason",
        "replaced",
    )
    done(*withdraw, cwd=wall)
    back = json.loads(done(*shown, cwd=wall))
    assert all(a["design_load"]["value"] > 400.0 for a in back["anchors"])


def test_records_go_out_and_come_back_whole(wall: Path) -> None:
    done("export", "wall.yaml", "all.zip", cwd=wall)
    done("import", "wall.yaml", "all.zip", "--records", "other.records", cwd=wall)
    mine = run("verify", "wall.yaml", cwd=wall)
    theirs = run("verify", "wall.yaml", "--records", "other.records", cwd=wall)
    assert mine.returncode == theirs.returncode == 0
    assert mine.stdout == theirs.stdout
    seen = mine.stdout.strip()
    done("verify", "wall.yaml", "--seen", seen, cwd=wall)
    forged = seen[:-1] + ("0" if seen[-1] != "0" else "1")
    done("verify", "wall.yaml", "--seen", forged, cwd=wall, status=1)
    assert "Nothing is new" in done("import", "wall.yaml", "all.zip", cwd=wall)
    (wall / "torn.zip").write_bytes((wall / "all.zip").read_bytes()[:-200])
    done("import", "wall.yaml", "torn.zip", "--records", "third.records", cwd=wall, status=2)
    assert not (wall / "third.records").exists()


def test_a_correction_keeps_both_and_asks_who_and_why(wall: Path) -> None:
    done("readings", "wall.yaml", "field/1-004-proof.csv", "--anchor", "1-4", *READ, cwd=wall)
    history = done("history", "wall.yaml", "1-4", cwd=wall)
    line = next(one for one in history.splitlines() if "drilled:" in one)
    entry = line.split()[0]
    reading = next(one for one in history.splitlines() if "reading 5:" in one).split()[0]
    fix = ("correct", "wall.yaml", entry, "length=65 ft")
    assert "--reason" in done(*fix, "--by", OFFICE, cwd=wall, status=2)
    assert "--by" in done(*fix, "--reason", "taped again", cwd=wall, status=2)
    done(*fix, "--by", OFFICE, "--reason", "taped again", cwd=wall)
    done(
        "correct", "wall.yaml", reading, "gauge=5700 psi", "dial1=2.745 in", "--by", OFFICE,
        "--reason", "misread", cwd=wall,
    )  # fmt: skip
    history = done("history", "wall.yaml", "1-4", cwd=wall)
    assert "length 66.00 ft" in history
    assert "length 65.00 ft" in history
    assert "taped again" in history
    assert "5700 psi" in history
    tendon = next(one for one in history.splitlines() if "tendon:" in one).split()[0]
    why = ("--by", OFFICE, "--reason", "try")
    for wrong, words in (
        ("area=0.9 kg", "not a unit of section area"),
        ("aera=0.9", 'did you mean "area"?'),
        ("nonsense", "KEY=VALUE"),
        ("anchor=1-5", "no such value to correct"),
        ("on=yesterday", "this is not a day"),
        ("area=0.868", "says this already"),
    ):
        assert words in done("correct", "wall.yaml", tendon, wrong, *why, cwd=wall, status=2)
    assert "corrected by entry" in done(*fix, *why, cwd=wall, status=2)
    assert "no entry 9999" in done(
        "correct", "wall.yaml", "9999", "length=1", *why, cwd=wall, status=2
    )


def test_what_was_entered_before_is_recognised(wall: Path) -> None:
    again = done("enter", "wall.yaml", "field/book.yaml", "--by", CREW, cwd=wall)
    assert "Nothing is new" in again
    before = done("verify", "wall.yaml", cwd=wall)
    rows = rows_of(performance())
    part = as_csv(rows[:12])
    table = ("readings", "wall.yaml", "-", "--anchor", "1-1", *READ)
    assert "recorded 11 readings" in done(*table, cwd=wall, stdin=part)
    assert done("verify", "wall.yaml", cwd=wall) != before
    assert "nothing is new" in done(*table, cwd=wall, stdin=part)
    assert "recorded 5 readings, 11 were recorded before" in done(
        *table, cwd=wall, stdin=as_csv(rows[:17])
    )
    alone = as_csv([rows[0], *rows[17:20]])
    assert "recorded 3 readings" in done(*table, cwd=wall, stdin=alone)
    changed = as_csv([*rows[:5], [*rows[5][:3], "0.999", *rows[5][4:]], *rows[6:22]])
    assert "reading 5 is recorded with other values" in done(
        *table, cwd=wall, status=2, stdin=changed
    )
    assert "recorded 16 readings" in done(*table, "--over", cwd=wall, stdin=as_csv(rows))
    assert "nothing is new" in done(*table, cwd=wall, stdin=as_csv(rows))
    done("judge", "wall.yaml", "1-1", cwd=wall)


def test_a_table_without_steps_is_put_to_them_by_its_loads(wall: Path) -> None:
    rows = rows_of(performance(), steps=False)
    turned = [[row[3], row[2], row[1], row[0]] for row in rows]  # columns in another order
    said = done(
        "readings", "wall.yaml", "-", "--anchor", "1-1", *READ, "--over", cwd=wall,
        stdin=as_csv(turned, ";"),
    )  # fmt: skip
    assert "recorded 35 readings" in said
    done("judge", "wall.yaml", "1-1", cwd=wall)


def test_data_follow_their_published_schemas(wall: Path) -> None:
    done(
        "readings",
        "wall.yaml",
        "field/1-004-proof.csv",
        "--anchor",
        "1-4",
        *READ,
        "--over",
        cwd=wall,
    )
    for command, schema in (("register", "register"), ("judge", "judgements")):
        made = run(command, "wall.yaml", "--json", "--units", "SI", cwd=wall)
        assert made.returncode == 0, made.stderr
        document = json.loads(run("schema", schema, cwd=wall).stdout)
        jsonschema.validate(json.loads(made.stdout), document)
    judged = json.loads(made.stdout)
    assert judged["tests"][0]["decision"] == "accepted"
    assert judged["tests"][0]["design_load"] == {
        "value": pytest.approx(511.545, abs=0.01),
        "unit": "kN",
    }
    refused = run("judge", "nowhere.yaml", "--json", cwd=wall)
    assert refused.returncode == 2
    assert json.loads(refused.stdout)["schema"] == "backstay-faults/1"
    for what in ("book", "submittal"):
        jsonschema.Draft202012Validator.check_schema(
            json.loads(run("schema", what, cwd=wall).stdout)
        )


def test_an_incomplete_test_is_not_accepted(wall: Path) -> None:
    rows = rows_of(proof())
    said = done(
        "readings", "wall.yaml", "-", "--anchor", "1-4", *READ, "--stopped", "hose burst", cwd=wall,
        stdin=as_csv(rows[:8]),
    )  # fmt: skip
    assert "ACCEPTED" not in said.replace("NOT ACCEPTED", "")
    judged = done("judge", "wall.yaml", "1-4", cwd=wall, status=1)
    assert "CANNOT BE JUDGED" in judged
    refused = done("sign", "wall.yaml", "1-4", "--by", ENGINEER, cwd=wall, status=2)
    assert "no decision to sign" in refused


def test_a_test_that_goes_on_has_no_verdict(wall: Path) -> None:
    rows = rows_of(proof())
    done("readings", "wall.yaml", "-", "--anchor", "1-4", *READ, cwd=wall, stdin=as_csv(rows[:10]))
    assert "HOLD ON" in done("judge", "wall.yaml", "1-4", cwd=wall, status=1)
    assert "not over" in done("sign", "wall.yaml", "1-4", "--by", ENGINEER, cwd=wall, status=2)


def test_photographs_and_replacements_are_of_the_book(wall: Path) -> None:
    (wall / "field" / "head.jpg").write_bytes(b"\xff\xd8\xff\xe0" + b"invented" * 40)
    (wall / "field" / "more.yaml").write_text(
        "field_book: B-3\nunits: US\nzone: '-05:00'\n"
        "files: [{path: head.jpg, on: 2025-03-24, anchor: 1-5, caption: the head}]\n"
        "repairs: [{anchor: 1-5, on: 2025-03-26, work: re-grouted, why: creep}]\n"
        "replacements: [{anchor: 1-5, on: 2025-03-28, replacement: A (Alder Street)-1-005R, "
        "why: failed twice, bond_length: 36 ft}]\n",
        "utf-8",
    )
    assert "Recorded 4 entries" in done(
        "enter", "wall.yaml", "field/more.yaml", "--by", CREW, cwd=wall
    )
    assert "Nothing is new" in done("enter", "wall.yaml", "field/more.yaml", "--by", CREW, cwd=wall)
    assert "replaced" in done("register", "wall.yaml", "--state", "replaced", cwd=wall)
    done("verify", "wall.yaml", cwd=wall)
