"""A test put together from the records: the anchor as built, the jack, the readings in force."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import timedelta

import pytest

from backstay.records import (
    DesignChanged,
    JackCertified,
    Records,
    RefusedError,
    StratumMet,
    TestClosed,
    planned_anchors,
)  # fmt: skip
from backstay.records.rows import ReadingRow
from backstay.stressing.judge import judge
from backstay.stressing.plan import plan_tests
from backstay.stressing.record import Reading, TestRecord
from backstay.stressing.rules_us import US_RULES
from tests.unit.anchors.example import TEMPORARY, anchors, section
from tests.unit.records.wall import (
    BY,
    DESIGN,
    JACK,
    PROCEDURE,
    START,
    begun,
    drilled,
    fill,
    grouted,
    planned,
    readings,
    submittal,
    tendon,
)  # fmt: skip

A = "A-1-001"
STATED = "not of this test"


def start(records: Records, *facts: object) -> None:
    records.add_all(
        [JackCertified(jack=JACK), planned(), *facts], by=BY, on=START, exception=STATED
    )  # type: ignore[list-item]


def test_a_test_is_what_was_recorded(records: Records) -> None:
    fill(records)
    assert records.test_record(A) == TestRecord(
        anchor=replace(
            records.test_record(A).anchor, name=A, design_load=400.0, lock_off_load=320.0,
            area=5.63e-4, modulus=196.4e6, strength=1042.0, free_length=6.1, jack_length=0.95,
            bond_length=7.6, hole_diameter=0.152, ground=("medium sand", "dense sand"),
            creeps=False, grouting="pressure", service="permanent", draw_in=0.006,
            regroutable=True, regrouted=0,
        ),
        procedure=PROCEDURE, jack=JACK, readings=readings(), by="P. Jack", on=START, closed=True,
    )  # fmt: skip


def test_a_recorded_test_can_be_judged(records: Records) -> None:
    """The evaluation takes what the records give, while the test goes on and after."""
    start(records, submittal(), drilled(), tendon(), grouted(), begun())
    seen = []
    for reading in readings():
        records.add_reading(A, reading, by=BY)
        seen.append(judge(records.test_record(A), US_RULES).decision)
    assert seen
    assert "accepted" not in seen, "an incomplete test is never accepted"


def test_as_designed_where_nothing_is_built(records: Records) -> None:
    start(records, begun())
    anchor = records.test_record(A).anchor
    assert (anchor.area, anchor.modulus, anchor.free_length, anchor.bond_length) == (
        DESIGN.area, DESIGN.modulus, DESIGN.free_length, DESIGN.bond_length,
    )  # fmt: skip
    assert (anchor.hole_diameter, anchor.ground) == (DESIGN.hole_diameter, DESIGN.ground)


def test_a_bond_length_that_nobody_knows(records: Records) -> None:
    records.add(JackCertified(jack=JACK), by=BY)
    records.add(planned(design=replace(DESIGN, bond_length=None)), by=BY)
    records.add(begun(), by=BY, exception=STATED)
    with pytest.raises(RefusedError, match="the bond length is the contractor's choice"):
        records.test_record(A)
    records.add(tendon(), by=BY)
    assert records.test_record(A).anchor.bond_length == 7.6


@pytest.mark.parametrize(
    ("strata", "ground"),
    [
        ([(0, 7, "fill"), (7, 20, "dense sand")], ("fill", "dense sand")),
        ([(0, 6.1, "fill"), (6.1, 13.7, "dense sand")], ("dense sand",)),
        ([(6, 9, "silt"), (9, 11, "dense sand"), (11, 14, "silt")], ("silt", "dense sand")),
        ([(0, 7, "fill"), (7, 20, "")], ("medium sand",)),
        ([(0, 7, "fill"), (8, 20, "dense sand")], ("medium sand",)),
        ([(0, 7, "fill"), (7, 12, "dense sand")], ("medium sand",)),
        ([], ("medium sand",)),
    ],
)
def test_ground_of_the_bond_as_met_where_the_log_names_it_all(
    records: Records, strata: list[tuple[float, float, str]], ground: tuple[str, ...]
) -> None:
    met = tuple(
        StratumMet(top=float(a), bottom=float(b), description="d", kind=kind)
        for a, b, kind in strata
    )
    start(records, drilled(strata=met, creeps=True), tendon(), begun())
    anchor = records.test_record(A).anchor
    assert anchor.ground == ground
    assert anchor.creeps


def test_a_test_keeps_the_works_it_was_made_with(records: Records) -> None:
    start(records, submittal(), drilled(), tendon(), grouted(), begun())
    day = timedelta(days=1)
    records.add(TestClosed(anchor=A, test=1), by=BY, on=START)
    records.add(drilled(diameter=0.2), by=BY, on=START + day, exception="drilled again")
    records.add(tendon(free_length=9.0), by=BY, on=START + day)
    records.add(begun(), by=BY, on=START + 2 * day, exception="tested again")
    first, second = records.test_record(A, 1).anchor, records.test_record(A, 2).anchor
    assert (first.hole_diameter, first.free_length) == (0.152, 6.1)
    assert (second.hole_diameter, second.free_length) == (0.2, 9.0)


def test_a_certificate_that_comes_late_counts(records: Records) -> None:
    start(records, begun())
    records.add(tendon(), by=BY, on=START + timedelta(days=3))
    assert records.test_record(A).anchor.modulus == 196.4e6


def test_the_jack_is_that_of_the_certificate_named(records: Records) -> None:
    newer = replace(
        JACK, calibration=replace(JACK.calibration, certificate="C-2", points=JACK.calibration.points[1:])
    )  # fmt: skip
    start(records, JackCertified(jack=newer), begun(certificate="C-2"))
    assert records.test_record(A).jack == newer
    assert records.jacks() == (JACK, newer)
    for jack, certificate in (("J-7", "C-3"), ("J-8", "C-2"), ("", "")):
        with pytest.raises(RefusedError, match=r"is not recorded|must be a name"):
            records.add(begun(jack=jack, certificate=certificate), by=BY, exception=STATED)


def test_a_procedure_is_kept_once_for_all_tests_alike(records: Records) -> None:
    names = [f"A-1-{i:03d}" for i in range(1, 7)]
    records.add(JackCertified(jack=JACK), by=BY)
    records.add_all([planned(n, number=int(n[-3:])) for n in names], by=BY)
    records.add_all([begun(name) for name in names], by=BY, exception=STATED)
    found = records.verify()
    assert found.entries == 1 + 6 + 1 + 6
    assert {records.test_record(name).procedure for name in names} == {PROCEDURE}


def test_tests_are_numbered_and_one_goes_on_at_a_time(records: Records) -> None:
    start(records, begun())
    with pytest.raises(RefusedError, match="test 1 still goes on; close it first"):
        records.add(begun(), by=BY, exception=STATED)
    records.add_readings(A, readings(3), by=BY)
    records.add(TestClosed(anchor=A, test=1, ended="stopped", why="the pump failed"), by=BY)
    second = records.add(begun(), by=BY)
    assert second.test == 2
    records.add_readings(A, readings(2), by=BY)
    assert len(records.test_record(A, 1).readings) == 3
    assert len(records.test_record(A, 2).readings) == 2
    line = records.register()[0]
    assert (line.tests, line.test, line.test_open, line.readings) == (2, 2, True, 5)


def test_readings_are_told_apart_by_number(records: Records) -> None:
    start(records, begun())
    first, second = readings(2)
    records.add_reading(A, second, by=BY)
    records.add_reading(A, first, by=BY)
    assert records.test_record(A).readings == (first, second)
    with pytest.raises(
        RefusedError, match="reading 1 of test 1 is recorded already, with the same"
    ):
        records.add_reading(A, first, by=BY)
    with pytest.raises(RefusedError, match="with other values; correct it instead"):
        records.add_reading(A, replace(first, minute=1.0), by=BY)
    third = replace(first, number=3)
    with pytest.raises(RefusedError, match="reading 3 is given twice"):
        records.add_readings(A, [third, third], by=BY)
    with pytest.raises(RefusedError, match="recorded already"):
        records.add_readings(A, [third, first], by=BY)
    assert len(records.test_record(A).readings) == 2, "all or none"


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"number": 0}, "number is a whole number from 1, not 0"),
        ({"number": 1.0}, "number is a whole number from 1"),
        ({"cycle": True}, "cycle is a whole number"),
        ({"phase": "resting"}, "phase is one of loading, hold, unloading, not 'resting'"),
        ({"minute": "1"}, "minute is a number, not '1'"),
        ({"minute": -1.0}, "minute is negative"),
        ({"gauge": float("nan")}, "gauge is not a finite number"),
        ({"gauge": None}, "neither gauge pressure nor load was given"),
        ({"load": float("inf")}, "load is not a finite number"),
        ({"dials": 0.01}, "dials are a list of numbers"),
        ({"dials": (0.01, None)}, "dials is a number, not None"),
        ({"dials": (0.0,) * 17}, "16 at most"),
        ({"reference": 10**400}, "reference is not a finite number"),
        ({"at": "noon"}, "at must be a date with time"),
        ({"at": START.replace(tzinfo=None)}, "at has no time zone"),
        ({"at": START.replace(year=9000)}, "is still to come"),
        ({"remark": None}, "remark is text"),
        ({"remark": "a\0"}, "characters that are not text"),
        ({"remark": "a" * 20_001}, "longer than 20000 characters"),
    ],
)
def test_readings_that_cannot_be(records: Records, changes: dict[str, object], words: str) -> None:
    start(records, begun())
    before = records.last()
    with pytest.raises(RefusedError, match=words) as refusal:
        records.add_reading(A, replace(readings(1)[0], **changes), by=BY)
    assert "\n" not in str(refusal.value)
    assert records.last() == before


def test_readings_of_nothing(records: Records) -> None:
    start(records)
    for call, words in (
        (lambda: records.add_reading("A-9", readings(1)[0], by=BY), "no anchor 'A-9'"),
        (lambda: records.add_reading(A, readings(1)[0], by=BY), "no test has begun"),
        (lambda: records.add_reading(A, "1", by=BY), "no test has begun"),
        (lambda: records.test_record(A), "no test has begun"),
    ):
        with pytest.raises(RefusedError, match=words):
            call()
    records.add(begun(), by=BY, exception=STATED)
    for call, words in (
        (lambda: records.add_reading(A, "1", by=BY), "this is no reading: str"),
        (lambda: records.add_reading(A, readings(1)[0], by=BY, test=2), "no test 2; there is 1"),
        (lambda: records.add_reading(A, readings(1)[0], by="  "), "author must be a name"),
        (lambda: records.correct_reading(A, "1", by=BY, reason="so"), "no reading None to correct"),
        (lambda: records.correct_reading(A, readings(1)[0], by=BY, reason=" "), "needs its reason"),
    ):
        with pytest.raises(RefusedError, match=words):
            call()


def test_every_field_of_a_reading_is_kept() -> None:
    kept = set(ReadingRow._fields) | {"at"}
    assert {field.name for field in fields(Reading)} <= kept


def test_a_register_begins_with_the_plan_of_tests(records: Records) -> None:
    made = section()
    plan = plan_tests(made, anchors(made), US_RULES)
    facts = planned_anchors(plan, TEMPORARY, US_RULES, project="wall.yaml, revision 3")
    records.add_all(facts, by=BY)
    lines = records.register()
    assert [line.anchor for line in lines] == [p.identity.name for p in plan.anchors]
    assert [line.design for line in lines] == [fact.design for fact in facts]
    first, design = lines[0].design, plan.anchors[0].design
    assert (first.design_load, first.test_load) == (design.design_load, design.test_load)
    assert (first.tests, first.depth) == (plan.anchors[0].tests, design.z)
    assert first.bond_length == (None if design.bond_open else design.bond_length)


def test_of_several_changes_of_the_design_the_last_counts(records: Records) -> None:
    """Told out of order, they count as they happened: 380 kN at first, 350 kN from the second day."""
    day = timedelta(days=1)
    start(records)
    for when, load in ((2 * day, 350.0), (day, 380.0)):
        changed = DesignChanged(
            anchor=A, design=replace(DESIGN, design_load=load), reason=f"down-rated to {load:g} kN"
        )
        records.add(changed, by=BY, on=START + when)
    assert records.register()[0].design.design_load == 350.0
    records.add(begun(), by=BY, on=START + 3 * day, exception=STATED)
    assert records.test_record(A).anchor.design_load == 350.0


def test_a_test_keeps_the_design_in_force_when_it_began(records: Records) -> None:
    """What was told before it counts, at the very moment too; what came later does not."""
    day = timedelta(days=1)
    start(records)

    def changed(load: float, after: timedelta) -> None:
        design = replace(DESIGN, design_load=load)
        records.add(DesignChanged(anchor=A, design=design, reason="lower"), by=BY, on=START + after)

    changed(380.0, day)
    records.add(begun(), by=BY, on=START + day, exception=STATED)
    changed(350.0, 2 * day)
    assert records.test_record(A).anchor.design_load == 380.0
    assert records.register()[0].design.design_load == 350.0


def test_corrections_of_a_reading_are_counted_from_nil(records: Records) -> None:
    start(records, begun())
    records.add_readings(A, readings(3), by=BY)
    for gauge in (1500.0, 1600.0):
        records.correct_reading(A, replace(readings()[1], gauge=gauge), by=BY, reason="misread")
    with records._database.reading() as connection:
        rows = connection.exec_driver_sql(
            "SELECT number, revision, gauge FROM field_reading ORDER BY number, revision"
        ).fetchall()
    assert [tuple(r[:2]) for r in rows] == [(1, 0), (2, 0), (2, 1), (2, 2), (3, 0)]
    assert [r[2] for r in rows if r[1]] == [1500.0, 1600.0]
    assert records.test_record(A).readings[1].gauge == 1600.0
