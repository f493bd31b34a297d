"""Nothing is changed or deleted; a correction takes the place of an entry, and tampering shows."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from backstay.records import (
    DesignChanged,
    JackCertified,
    Records,
    RefusedError,
    Remark,
    StoreError,
    TestClosed,
)  # fmt: skip
from tests.unit.records.wall import (
    BY,
    DESIGN,
    JACK,
    begun,
    drilled,
    fill,
    planned,
    readings,
    submittal,
    tendon,
    verdict,
)  # fmt: skip

A = "A-1-001"
Opener = Callable[[], Records]
CHANGES = (
    "UPDATE field_entry SET author = 'nobody' WHERE id = 3",
    "UPDATE field_reading SET gauge = 1.0",
    "DELETE FROM field_entry WHERE id = 3",
    "DELETE FROM field_reading",
)
OF_EACH = {
    "sqlite": (
        "INSERT OR REPLACE INTO field_entry SELECT * FROM field_entry WHERE id = 3",
        "INSERT OR REPLACE INTO field_reading SELECT * FROM field_reading LIMIT 1",
        # a new number does not help where the reading has one
        "INSERT OR REPLACE INTO field_reading SELECT (SELECT max(id) + 1 FROM field_entry), test,"
        " number, revision, cycle, target, phase, minute, 1.0, load, dials, reference, read_at,"
        " remark, withdrawn, recorded, author, reason, hash FROM field_reading LIMIT 1",
        "INSERT OR REPLACE INTO field_entry SELECT (SELECT max(id) + 1 FROM field_entry), kind,"
        " anchor, test, happened, recorded, 'nobody', supersedes, reason, exception, payload, hash"
        " FROM field_entry WHERE kind = 'planned' LIMIT 1",
        "INSERT OR REPLACE INTO field_entry SELECT 1000, kind, anchor, test, happened, recorded,"
        " 'nobody', 1, reason, exception, payload, hash FROM field_entry WHERE kind = 'drilled'",
    ),
    "postgresql": ("TRUNCATE field_reading", "TRUNCATE field_entry CASCADE"),
}


def test_the_database_itself_refuses_changes(either: Opener) -> None:
    records = either()
    fill(records)
    engine = records._database.engine
    before = [e.hash for e in records.history(A)]
    for change in (*CHANGES, *OF_EACH[engine.dialect.name]):
        with (
            pytest.raises(sa.exc.DBAPIError, match=r"only ever added to|numbered in order"),
            engine.begin() as connection,
        ):
            connection.exec_driver_sql(change)
    assert [e.hash for e in records.history(A)] == before
    assert records.verify().sound


def test_a_correction_keeps_both(either: Opener) -> None:
    records = either()
    fill(records)
    wrong = next(e for e in records.history(A) if e.kind == "tendon")
    right = records.correct(
        wrong.id, tendon(modulus=198.0e6), by="M. Office", reason="certificate misread"
    )
    assert (right.supersedes, right.reason, right.author) == (
        wrong.id, "certificate misread", "M. Office",
    )  # fmt: skip
    assert right.happened == wrong.happened
    old, new = (e for e in records.history(A) if e.kind == "tendon")
    assert old == replace(wrong, superseded_by=right.id)
    assert new == right
    assert not old.in_force
    assert new.in_force
    assert [e.id for e in records.anchor(A).of(type(tendon()))] == [right.id]
    assert records.test_record(A).anchor.modulus == 198.0e6
    assert records.test_record(A, until=right.id - 1).anchor.modulus == 196.4e6
    with pytest.raises(RefusedError, match=f"corrected by entry {right.id} already"):
        records.correct(wrong.id, tendon(), by=BY, reason="again")
    again = records.correct(right.id, tendon(modulus=197.0e6), by=BY, reason="a third look")
    assert [e.superseded_by for e in records.history(A) if e.kind == "tendon"] == [
        right.id, again.id, None,
    ]  # fmt: skip


def test_a_withdrawal_leaves_nothing_in_its_place(records: Records) -> None:
    fill(records)
    wrong = records.add(Remark(anchor=A, text="wet"), by=BY)
    gone = records.withdraw(wrong.id, by=BY, reason="of another anchor")
    assert gone.fact is None
    assert not gone.in_force
    assert [e.fact for e in records.history(A) if e.kind == "remark"] == [wrong.fact, None]
    assert records.anchor(A).of(Remark) == ()
    back = records.correct(gone.id, Remark(anchor=A, text="damp"), by=BY, reason="it was this one")
    assert back.in_force
    with pytest.raises(RefusedError, match="withdrawal already"):
        records.withdraw(records.withdraw(back.id, by=BY, reason="no").id, by=BY, reason="no")


def test_a_reading_is_corrected_and_withdrawn(either: Opener) -> None:
    records = either()
    fill(records)
    read = readings()
    better = replace(read[3], gauge=read[3].gauge + 150.0, remark="misread")
    done = records.correct_reading(A, better, by="M. Office", reason="photograph of the gauge")
    records.withdraw_reading(A, 10, by=BY, reason="read at another jack")
    in_force = records.test_record(A).readings
    assert in_force == (*read[:3], better, *read[4:9])
    line = records.register()[0]
    assert line.readings == 9
    assert line.greatest_load == pytest.approx(2.0 + 0.0245 * read[8].gauge)
    assert line.verdict_stale
    entries = [e for e in records.history(A) if e.kind == "reading"]
    fourth = [e for e in entries if e.fact and e.fact.number == 4]
    assert [e.fact for e in fourth] == [read[3], better]
    assert (fourth[0].superseded_by, fourth[1].supersedes) == (done.id, fourth[0].id)
    assert done == fourth[1]
    assert len(entries) == 12
    assert records.test_record(A, until=done.id - 1).readings == read
    assert records.anchor(A, until=done.id - 1).line.readings == 10
    with pytest.raises(RefusedError, match="reading 10 of test 1 is withdrawn already"):
        records.withdraw_reading(A, 10, by=BY, reason="again")
    with pytest.raises(RefusedError, match="test 1 has no reading 99 to correct"):
        records.withdraw_reading(A, 99, by=BY, reason="no")
    back = records.correct_reading(A, read[9], by=BY, reason="it was this jack")
    assert back.supersedes is not None
    assert records.test_record(A).readings[-1] == read[9]
    assert records.verify().sound


def test_a_correction_is_held_against_the_life(records: Records) -> None:
    fill(records)
    hole = next(e for e in records.history(A) if e.kind == "drilled")
    with pytest.raises(RefusedError, match=r"correction of entry \d+ does not fit.*grout follows"):
        records.withdraw(hole.id, by=BY, reason="of another anchor")
    paper = next(e for e in records.history(A) if e.kind == "submittal")
    with pytest.raises(RefusedError, match="does not fit"):
        records.correct(
            paper.id, replace(paper.fact, decision="revise"), by=BY, reason="the other sheet"
        )
    test = next(e for e in records.history(A) if e.kind == "test")
    with pytest.raises(RefusedError, match="test 1 has a verdict"):
        records.withdraw(test.id, by=BY, reason="never happened")
    closed = next(e for e in records.history(A) if e.kind == "test closed")
    with pytest.raises(RefusedError, match="an open test has no verdict"):
        records.withdraw(closed.id, by=BY, reason="it goes on")


def test_what_a_correction_cannot_change(records: Records) -> None:
    fill(records, (A, "A-1-002"))
    by_kind = {e.kind: e for e in records.history(A)}
    for kind, fact, words in (
        ("drilled", drilled("A-1-002"), f"is about {A}"),
        ("drilled", tendon(), "'tendon' does not correct it"),
        ("verdict", verdict(test=2), "does not change its test"),
        ("planned", planned(replaces="A-1-002"), "does not change its replaces"),
        ("planned", planned(number=2), "in the register already, as A-1-002"),
        ("submittal", submittal("nobody"), "no anchor 'nobody'"),
        ("test", begun(jack="J-9"), "jack 'J-9' .* is not recorded"),
    ):
        with pytest.raises(RefusedError, match=words):
            records.correct(by_kind[kind].id, fact, by=BY, reason="so")
    calibration = replace(JACK.calibration, certificate="C-9")
    with pytest.raises(RefusedError, match="does not change its certificate"):
        records.correct(
            1, JackCertified(jack=replace(JACK, calibration=calibration)), by=BY, reason="so"
        )
    procedure = next(
        i for i in range(1, 30) if _refusal(records, i).startswith(f"entry {i} is a procedure")
    )
    assert procedure


def _refusal(records: Records, entry: int) -> str:
    try:
        records.withdraw(entry, by=BY, reason="trying")
    except RefusedError as error:
        return str(error)
    return ""


def test_a_verdict_goes_stale_with_what_it_rests_on(records: Records) -> None:
    fill(records, (A, "A-1-002"))
    line = records.register()[0]
    assert not line.verdict_stale
    points = JACK.calibration.points
    better = replace(JACK.calibration, points=(*points[:-1], replace(points[-1], load=990.0)))
    records.correct(
        1,
        JackCertified(jack=replace(JACK, calibration=better)),
        by=BY,
        reason="a point was misread",
    )
    assert [line.verdict_stale for line in records.register()] == [True, True]
    signed = next(e for e in records.history(A) if e.kind == "verdict")
    records.correct(signed.id, verdict(), by=BY, reason="judged again with the right line")
    assert [line.verdict_stale for line in records.register()] == [False, True]
    records.add(
        DesignChanged(anchor=A, design=replace(DESIGN, design_load=380.0), reason="lower"), by=BY
    )
    line = records.register()[0]
    assert line.design.design_load == 380.0
    assert not line.verdict_stale, "a later design is none the verdict rests on"
    assert records.test_record(A).anchor.design_load == 400.0
    lower = next(e for e in records.history(A) if e.kind == "design changed")
    records.withdraw(lower.id, by=BY, reason="replaced instead")
    line = records.register()[0]
    assert line.design.design_load == 400.0
    assert not line.verdict_stale, "nor is one that is taken back"


def test_a_design_before_the_test_that_is_taken_back_makes_its_verdict_stale(
    records: Records,
) -> None:
    fill(records)
    begun = next(e for e in records.history(A) if e.kind == "test")
    assert begun.happened is not None
    changed = DesignChanged(anchor=A, design=replace(DESIGN, design_load=380.0), reason="lower")
    early = records.add(changed, by=BY, on=begun.happened - timedelta(hours=1))
    signed = next(e for e in records.history(A) if e.kind == "verdict")
    records.correct(signed.id, verdict(), by=BY, reason="judged again")
    assert not records.register()[0].verdict_stale
    records.withdraw(early.id, by=BY, reason="of another anchor")
    assert records.register()[0].verdict_stale


def test_a_wrongly_registered_anchor_can_be_withdrawn_and_brought_back(records: Records) -> None:
    entry = records.add(planned(), by=BY)
    gone = records.withdraw(entry.id, by=BY, reason="row 2 was meant")
    assert records.register() == ()
    with pytest.raises(RefusedError, match="its registration was withdrawn"):
        records.add(tendon(), by=BY)
    with pytest.raises(RefusedError, match="in the register already"):
        records.add(planned(), by=BY)
    records.correct(gone.id, planned(), by=BY, reason="row 1 after all")
    assert [line.anchor for line in records.register()] == [A]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("UPDATE field_reading SET gauge = gauge + 1 WHERE number = 4", "not as it was written"),
        (
            "UPDATE field_entry SET author = 'E. Else' WHERE kind = 'verdict'",
            "not as it was written",
        ),
        ("UPDATE field_entry SET payload = '{}' WHERE kind = 'drilled'", "cannot be read"),
        (
            "UPDATE field_entry SET payload = x'00ff' WHERE kind = 'drilled'",
            "not as it was written",
        ),
        ("UPDATE field_reading SET hash = 'text' WHERE number = 4", "not as it was written"),
        ("DELETE FROM field_reading WHERE number = 4", "something is missing"),
        ("DELETE FROM field_entry WHERE kind = 'lifted off'", "seen before, is gone"),
    ],
)
def test_tampering_shows(records: Records, path: Path, change: str, words: str) -> None:
    fill(records)
    seen = records.last()
    assert records.verify(seen).sound
    with closing(sqlite3.connect(path)) as raw:  # by one who knows how
        for (name,) in raw.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall():
            raw.execute(f"DROP TRIGGER {name}")
        raw.execute(change)
        raw.commit()
    found = records.verify(seen)
    assert any(words in fault for fault in found.faults), found.faults


def test_a_chain_forged_to_its_end_differs_from_what_was_written_down(records: Records) -> None:
    fill(records)
    number, digest = records.last()
    found = records.verify((number, digest[:-1] + ("0" if digest[-1] != "0" else "1")))
    assert found.faults == (f"entry {number} is not the one that was seen before",)


def test_who_and_when_stand_on_every_entry(records: Records) -> None:
    fill(records)
    for entry in records.history(A):
        assert entry.author == BY
        assert entry.recorded.tzinfo is not None
        assert len(entry.hash) == 64
    assert [e.id for e in records.history(A)] == sorted(e.id for e in records.history(A))


def test_a_closed_test_takes_corrections_but_no_readings(records: Records) -> None:
    fill(records)
    with pytest.raises(RefusedError, match="test 1 is closed"):
        records.add_reading(A, replace(readings()[0], number=11), by=BY)
    with pytest.raises(RefusedError, match="test 1 is closed already"):
        records.add(TestClosed(anchor=A, test=1), by=BY)


def test_errors_of_the_database_are_one_sentence(records: Records) -> None:
    with (
        pytest.raises(StoreError, match=r"^.*wall\.records: no such table: nowhere\.$"),
        records._database.reading() as connection,
    ):
        connection.exec_driver_sql("SELECT * FROM nowhere")


def test_a_jack_that_a_test_was_made_with_is_not_taken_away(records: Records) -> None:
    jack = records.add(JackCertified(jack=JACK), by=BY)
    records.add(planned(), by=BY)
    other = replace(JACK, name="J-9", calibration=replace(JACK.calibration, certificate="C-9"))
    spare = records.add(JackCertified(jack=other), by=BY)
    records.add(begun(), by=BY, exception="not of this test")
    with pytest.raises(RefusedError, match="was made with this jack"):
        records.withdraw(jack.id, by=BY, reason="another jack")
    records.withdraw(spare.id, by=BY, reason="never on site")
    assert records.jacks() == (JACK,)


def test_a_drill_log_or_tendon_mended_after_the_verdict_makes_it_stale(records: Records) -> None:
    fill(records)
    for kind, mended in (("drilled", drilled(diameter=0.13)), ("tendon", tendon(area=5.0e-4))):
        entry = next(e for e in records.history(A) if e.kind == kind)
        records.correct(entry.id, mended, by=BY, reason="measured again")
        assert records.register()[0].verdict_stale, kind
        signed = [e for e in records.history(A) if e.kind == "verdict"][-1]
        records.correct(signed.id, verdict(), by=BY, reason="judged again")
        assert not records.register()[0].verdict_stale, kind


def test_what_is_taken_away_makes_a_verdict_stale_where_it_rests_on_it(records: Records) -> None:
    fill(records)
    said = records.add(Remark(anchor=A, text="wet"), by=BY)
    records.withdraw(said.id, by=BY, reason="another anchor")
    assert not records.register()[0].verdict_stale
    placed = next(e for e in records.history(A) if e.kind == "tendon")
    records.withdraw(placed.id, by=BY, reason="certificate of another heat")
    assert records.register()[0].verdict_stale
