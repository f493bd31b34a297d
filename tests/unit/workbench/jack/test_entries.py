"""From the tablet into the records: once, in order, corrected and never overwritten."""

from __future__ import annotations

import sqlite3
from copy import deepcopy
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from backstay.model.reading import read_project
from backstay.records.facts import LiftedOff
from backstay.records.store import open_records
from backstay.stressing.judge import judge
from backstay.stressing.project_rules import rules_of
from tests.unit.workbench.jack.proof import proof
from tests.unit.workbench.jack.site import (
    ANCHOR,
    DAY,
    OTHER,
    Client,
    Someone,
    begin,
    client,
    entry,
    read,
    us,
)


def stored(answer: Any) -> list[str]:
    return [one["state"] for one in answer.json()["results"]]


def readings(wall: Path) -> list[tuple[int, float, tuple[float, ...]]]:
    with open_records(wall / "wall.records") as records:
        return [
            (r.number, r.minute, r.dials)
            for r in (records.test_record(ANCHOR).readings if records.anchor(ANCHOR).line.tests else ())
        ]  # fmt: skip


def begun(asks: Client) -> None:
    answer = asks.send(begin())
    assert answer.status_code == 200, answer.text
    assert stored(answer) == ["stored"]


def test_a_whole_proof_test_is_recorded_and_judged_as_judge_judges_it(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        sent = proof()
        answer = asks.send(*sent)
        assert stored(answer) == ["stored"] * 15
        assert [one["number"] for one in answer.json()["results"]] == list(range(1, 16))
        shown = asks.standing()
    rules = rules_of(read_project(wall / "wall.yaml"))
    with open_records(wall / "wall.records") as records:
        record = records.test_record(ANCHOR)
    judged = judge(record, rules)
    assert judged.decision == "accepted"
    assert [r.at.isoformat() for r in record.readings if r.at] == [e["at"] for e in sent]
    for units in ("SI", "US"):
        now = shown["in"][units]
        assert now["decision"] == judged.decision
        assert [(c["id"], c["verdict"]) for c in now["checks"]] == [
            (c.id, c.verdict.value) for c in judged.checks
        ]
        assert [n["action"] for n in now["next"]] == [n.action for n in judged.next]


def test_what_is_sent_again_is_recorded_once(wall: Path) -> None:
    with client(wall) as asks:
        first = begin()
        some = proof()[:4]
        assert stored(asks.send(first, *some[:2])) == ["stored"] * 3
        answer = asks.send(first, *some)  # the answer was lost, and more was read
        assert [one["before"] for one in answer.json()["results"]] == [
            True,
            True,
            True,
            False,
            False,
        ]
        assert answer.json()["standing"]["test"]["number"] == 1
    assert [n for n, _, _ in readings(wall)] == [1, 2, 3, 4]


@pytest.mark.parametrize("done", ["everything", "the note"])
def test_a_machine_that_stopped_between_note_and_record_loses_and_doubles_nothing(
    wall: Path, done: str
) -> None:
    with client(wall) as asks:
        begun(asks)
        some = proof()[:2]
        asks.send(*some)
    with sqlite3.connect(wall / "wall.tablets") as book:
        if done == "everything":  # recorded, and the book did not come to say so
            book.execute("update sent set done = 0")
        else:  # the book is lost altogether
            book.execute("delete from sent")
    book.close()
    with client(wall) as asks:
        answer = asks.send(*some)
        assert stored(answer) == ["stored", "stored"]
        assert [one["number"] for one in answer.json()["results"]] == [1, 2]
    assert [n for n, _, _ in readings(wall)] == [1, 2]


def test_a_note_without_its_record_is_recorded_when_it_is_sent_again(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        one = proof()[0]
        asks.send(one)
        second = proof()[1]
        asks.send(second)
    with sqlite3.connect(wall / "wall.tablets") as book:
        book.execute("update sent set done = 0 where id = ?", (second["id"],))
    book.close()
    with client(wall) as asks:
        assert stored(asks.send(one, second, proof()[2])) == ["stored"] * 3
    assert [n for n, _, _ in readings(wall)] == [1, 2, 3]


def test_one_name_for_two_entries_is_refused(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        one = proof()[0]
        asks.send(one)
        other = deepcopy(one)
        other["gauge"]["text"] = "600"
        answer = asks.send(other)
        assert stored(answer) == ["refused"]
        assert "other content" in answer.json()["results"][0]["words"]["US"]
    assert len(readings(wall)) == 1


def test_two_readings_alike_at_other_moments_are_two(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        one, two = (read(0, 0.0, "570", "0.573", at=DAY + timedelta(seconds=s)) for s in (1, 2))
        assert stored(asks.send(one, two)) == ["stored", "stored"]
    assert [n for n, _, _ in readings(wall)] == [1, 2]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("abc", "not a number"), ("", "not a number"), ("1e999", "finite"), ("1,234", "comma"),
        ("nan", "not a number"), ("12 kg", "not a unit"), ("<img src=x onerror=alert(1)>", "not a number"),
        ("--5", "not a number"), ("5.5.5", "not a unit"),
    ],
)  # fmt: skip
def test_a_wrong_number_is_refused_in_words_and_what_follows_waits(
    wall: Path, text: str, says: str
) -> None:
    with client(wall) as asks:
        begun(asks)
        good, bad, after = proof()[:3]
        bad["dials"][1]["text"] = text
        answer = asks.send(good, bad, after)
        assert stored(answer) == ["stored", "refused"]
        words = answer.json()["results"][1]["words"]["US"]
        assert says in words
        assert words.startswith("Dial 2")
    assert [n for n, _, _ in readings(wall)] == [1]


@pytest.mark.parametrize(
    "change",
    [
        {"minute": -1.0}, {"step": -1}, {"dials": []}, {"id": "7"}, {"at": "2025-03-24T10:00"},
        {"what": "nothing"}, {"minute": "soon"}, {"extra": 1}, {"gauge": {"text": "1" * 41, "units": "US"}},
        {"gauge": {"text": "570", "units": "other"}}, {"again": 3},
    ],
)  # fmt: skip
def test_what_is_no_entry_is_not_taken(wall: Path, change: dict[str, Any]) -> None:
    with client(wall) as asks:
        begun(asks)
        assert asks.send({**proof()[0], **change}).status_code == 422
    assert readings(wall) == []


def test_a_step_that_is_not_there_and_a_reading_without_load_are_refused(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        assert (
            "8 steps" in asks.send(read(8, 0.0, "570", "0.5")).json()["results"][0]["words"]["SI"]
        )
        bare = {**read(0, 0.0, "570", "0.5"), "gauge": None}
        assert "neither gauge" in asks.send(bare).json()["results"][0]["words"]["SI"]


def test_a_correction_adds_and_a_repeat_of_it_adds_nothing(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        some = proof()[:2]
        asks.send(*some)
        mend = entry(
            "correction", of=some[1]["id"], dials=[us("0.912"), us("1.296")], reason="misread <b>"
        )
        assert stored(asks.send(mend)) == ["stored"]
        assert asks.send(mend).json()["results"][0]["before"] is True
        shown = asks.standing()["readings"][1]
        assert shown["in"]["US"]["dials"] == ["0.912", "1.296"]
        assert shown["corrected"] == 1
        again = {**mend, "id": entry("correction")["id"]}
        assert "says this already" in asks.send(again).json()["results"][0]["words"]["US"]
        gone = entry("correction", number=2, withdraw=True, reason="never read")
        assert stored(asks.send(gone)) == ["stored"]
        assert [r["number"] for r in asks.standing()["readings"]] == [1]
        assert asks.standing()["last"] == 2
        more = proof()[2]
        assert asks.send(more).json()["results"][0]["number"] == 3
    with open_records(wall / "wall.records") as records:
        chain = [e for e in records.history(ANCHOR) if e.kind == "reading"]
        assert [e.reason for e in chain] == ["", "", "misread <b>", "never read", ""]
        assert records.verify().sound


def test_a_correction_without_reason_or_of_nothing_is_refused(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        asks.send(proof()[0])
        bare = entry("correction", number=1, minute=1.0, reason=" ")
        assert stored(asks.send(bare)) == ["refused"]
        lost = entry("correction", number=9, minute=1.0, reason="typed wrong")
        assert "no reading 9" in asks.send(lost).json()["results"][0]["words"]["US"]


def test_two_tablets_come_to_know_of_each_other(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        first, second, third = proof()[:3]
        asks.send(first)
        answer = asks.send(second, tablet=OTHER, by="B. Second", seen=0)
        assert answer.status_code == 409
        assert answer.json()["elsewhere"] == [1]
        assert answer.json()["results"] == []
        assert len(readings(wall)) == 1
        seen = asks.send(second, tablet=OTHER, by="B. Second", seen=1)
        assert stored(seen) == ["stored"]
        behind = asks.send(third, seen=1)
        assert behind.status_code == 409
        assert behind.json()["elsewhere"] == [2]
        assert "B. Second" in [o["by"] for o in behind.json()["others"]]
        assert stored(asks.send(third, seen=1, override=True)) == ["stored"]
    assert [n for n, _, _ in readings(wall)] == [1, 2, 3]


def test_ones_own_readings_are_no_surprise_after_a_lost_answer(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        some = proof()[:3]
        asks.send(*some[:2])
        assert stored(asks.send(*some, seen=0)) == ["stored"] * 3


def test_readings_without_a_test_or_after_its_end_are_refused(wall: Path) -> None:
    with client(wall) as asks:
        first = proof()[0]
        assert "begin one" in asks.send(first).json()["results"][0]["words"]["US"]
        begun(asks)
        end = entry("close", DAY + timedelta(minutes=30))
        assert stored(asks.send(*proof(), end)) == ["stored"] * 16
        assert asks.send(end).json()["results"][0]["before"] is True
        late = read(7, 0.0, "570", "0.9", "1.3", at=DAY + timedelta(minutes=31))
        assert stored(asks.send(late)) == ["refused"]


def test_a_stop_states_why_and_a_second_test_waits_for_the_end_of_the_first(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        assert (
            "still goes on"
            in asks.send(begin(DAY + timedelta(seconds=1))).json()["results"][0]["words"]["US"]
        )
        bare = entry("close", ended="stopped")
        assert "why" in asks.send(bare).json()["results"][0]["words"]["US"]
        assert stored(asks.send(entry("close", ended="stopped", why="hose burst"))) == ["stored"]
        assert stored(asks.send(begin(DAY + timedelta(hours=1)))) == ["stored"]
        assert asks.standing()["test"]["number"] == 2


def test_lock_off_and_lift_off_by_the_gauge(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        asks.send(*proof(), entry("close", DAY + timedelta(minutes=30)))
        later = DAY + timedelta(minutes=40)
        lock = entry("lock-off", later, gauge=us("5831"), seating=us("0.24"))
        answer = asks.send(lock)
        assert stored(answer) == ["refused"]
        assert "exception" in answer.json()["results"][0]["words"]["US"]
        lock = {**lock, "id": entry("x")["id"], "exception": "the engineer agreed by radio"}
        assert stored(asks.send(lock)) == ["stored"]
        assert asks.send(lock).json()["results"][0]["before"] is True
        lift = entry("lift-off", later + timedelta(minutes=5), gauge=us("5100"))
        assert stored(asks.send(lift)) == ["stored"]
        shown = asks.standing()
        assert shown["state"] == "lifted off"
        assert shown["in"]["US"]["lift_off"]["standing"] == "in tolerance"
        beyond = entry("lift-off", later, gauge=us("99000"))
        assert "certificate" in asks.send(beyond).json()["results"][0]["words"]["US"]
    with open_records(wall / "wall.records") as records:
        file = records.anchor(ANCHOR)
    line = file.line
    # by the certificate, by hand: 5831 psi at 20.2 kip for every 1000 psi is 117.8 kip
    assert line.lock_off_load is not None
    assert line.lift_off_load == pytest.approx(103.0 * 4.4482, rel=0.003)
    lifted = file.of(LiftedOff)[-1].fact
    assert lifted is not None
    assert lifted.gauge == pytest.approx(5100 * 6.894757, rel=1e-6), (
        "the record keeps what was read"
    )


def test_who_is_signed_in_is_the_author(wall: Path) -> None:
    with client(wall, Someone("P. Signed")) as asks:
        begun(asks)
        asks.send(proof()[0])
    with open_records(wall / "wall.records") as records:
        assert records.history(ANCHOR)[-1].author == "P. Signed"
        assert records.test_record(ANCHOR).by == "R. Field"


def test_a_hostile_name_stays_text(wall: Path) -> None:
    hostile = "</script><script>alert(1)</script>"
    with client(wall) as asks:
        assert stored(asks.send({**begin(), "by": hostile})) == ["stored"]
        asks.send({**proof()[0], "by": hostile, "remark": hostile})
        assert asks.standing()["readings"][0]["remark"] == hostile
        assert hostile not in asks.get("/jack/wall.yaml/1-4").text


def test_nameless_readings_are_refused(wall: Path) -> None:
    with client(wall) as asks:
        assert stored(asks.send({**begin(), "by": " "})) == ["refused"]


def test_a_locked_store_is_said_and_nothing_is_lost_or_doubled(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        some = proof()[:2]
        other = sqlite3.connect(wall / "wall.records", isolation_level=None)
        other.execute("begin immediate")
        answer = asks.send(*some)
        assert answer.status_code == 503
        said = answer.json()["words"]["US"]
        assert said.startswith("Another program is writing")
        assert "wall.records" not in said  # where the records are is not told
        assert answer.json()["results"] == []
        other.execute("rollback")
        other.close()
        assert stored(asks.send(*some)) == ["stored", "stored"]
    assert [n for n, _, _ in readings(wall)] == [1, 2]


def test_a_locked_book_is_said(wall: Path) -> None:
    with client(wall) as asks:
        begun(asks)
        other = sqlite3.connect(wall / "wall.tablets", isolation_level=None)
        other.execute("begin exclusive")
        answer = asks.send(proof()[0])
        other.execute("rollback")
        other.close()
        assert answer.status_code == 503
        assert "book of what tablets have sent" in answer.json()["words"]["US"]
