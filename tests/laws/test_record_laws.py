"""Laws of the field records: what goes in comes out, whatever the order, and nothing is forgotten."""

from __future__ import annotations

import random
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from backstay.records import (
    DesignValues,
    JackCertified,
    LiftedOff,
    LockedOff,
    Records,
    RefusedError,
    Remark,
    TestBegun,
    TestClosed,
    open_records,
)  # fmt: skip
from backstay.records.encoding import canonical, checked, fact_of, plain_of
from backstay.records.facts import KINDS
from backstay.records.life import Event, life
from backstay.records.tabular import readings_csv, readings_of_csv
from backstay.stressing.procedure import Procedure
from backstay.stressing.record import Reading
from tests.unit.records.wall import (
    BY,
    JACK,
    PROCEDURE,
    START,
    begun,
    drilled,
    grouted,
    planned,
    readings,
    submittal,
    tendon,
    verdict,
)  # fmt: skip

A = "A-1-001"
numbers = st.floats(min_value=0.0, max_value=1e300, allow_subnormal=True)
texts = st.text(
    st.characters(exclude_categories=("Cs", "Cc"), include_characters="\n\t"), max_size=40
)
names = st.text(st.characters(categories=("L", "N", "P")), min_size=1, max_size=20)
zones = st.integers(-14 * 60, 14 * 60).map(lambda m: timezone(timedelta(minutes=m)))
moments = st.datetimes(datetime(2000, 1, 1), datetime(2024, 1, 1), timezones=zones)
read = st.builds(
    Reading, number=st.integers(1, 2**31 - 1), cycle=st.integers(1, 20), target=numbers,
    minute=numbers, gauge=numbers, load=st.none() | numbers, remark=texts,
    dials=st.lists(st.floats(allow_nan=False, allow_infinity=False), max_size=4).map(tuple),
    reference=st.floats(allow_nan=False, allow_infinity=False), at=st.none() | moments,
)  # fmt: skip
st.register_type_strategy(float, numbers)
st.register_type_strategy(str, names)
st.register_type_strategy(int, st.integers(1, 2**31 - 1))
lifted = st.lists(st.tuples(numbers, st.floats(0.0, 1.0)), max_size=5).map(
    lambda pairs: (tuple(load for load, _ in pairs), tuple(moved for _, moved in pairs))
)
gauged = st.one_of(
    st.builds(lambda p: {"gauge": p}, numbers),
    st.builds(lambda ps: {"strand_gauges": tuple(ps)}, st.lists(numbers, min_size=1, max_size=5)),
    lifted.filter(lambda both: both[0]).map(lambda both: {"gauges": both[0], "movements": both[1]}),
)
FACTS = st.one_of(
    st.builds(JackCertified, jack=st.just(JACK)),
    st.builds(TestBegun, procedure=st.just(PROCEDURE)),
    st.builds(
        lambda anchor, load, both: LiftedOff(anchor=anchor, load=load, loads=both[0], movements=both[1]),
        names, numbers, lifted,
    ),
    st.builds(
        lambda anchor, jack, certificate, gauge: LiftedOff(
            anchor=anchor, load=1.0, jack=jack, certificate=certificate, **gauge
        ),
        names, names, names, gauged,
    ),
    st.builds(
        lambda anchor, strands, seating, head: LockedOff(
            anchor=anchor, jack_load=sum(strands), strands=strands, seating=seating, head=head
        ),
        names, st.lists(st.floats(1.0, 1e3), min_size=1, max_size=5).map(tuple),
        st.none() | numbers, st.sampled_from(("wedges", "shims", "nut")),
    ),
    st.builds(
        LockedOff, anchor=names, jack_load=numbers, load=st.none() | numbers, strands=st.just(()),
    ),
    *(st.from_type(kind) for name, kind in KINDS.items()
      if name not in ("jack", "test", "locked off", "lifted off")),
)  # fmt: skip


@given(fact=FACTS)
def test_a_fact_comes_back_from_its_json(fact: Any) -> None:
    kind = next(name for name, type_ in KINDS.items() if type(fact) is type_)
    sound = checked(fact, kind)
    assert sound == fact
    plain = plain_of(sound)
    if kind == "test":
        plain["procedure"] = 7
    payload = canonical(plain)
    again = fact_of(kind, payload, {7: PROCEDURE})
    assert again == fact
    assert canonical(plain_of(again) | ({"procedure": 7} if kind == "test" else {})) == payload


@given(procedure=st.from_type(Procedure))
def test_a_procedure_comes_back_from_its_json(procedure: Procedure) -> None:
    from backstay.records.encoding import of_text

    assert of_text(Procedure, canonical(plain_of(procedure))) == procedure


@settings(max_examples=30)
@given(fact=st.from_type(DesignValues), spoilt=st.sampled_from(("area", "modulus", "design_load")),
       value=st.sampled_from((float("nan"), float("inf"), -1.0, "12", None, 10**400)))  # fmt: skip
def test_a_spoilt_number_is_refused(fact: DesignValues, spoilt: str, value: object) -> None:
    with pytest.raises(RefusedError) as refusal:
        checked(planned(design=replace(fact, **{spoilt: value})), "planned")  # type: ignore[arg-type]
    assert spoilt in str(refusal.value)
    assert "\n" not in str(refusal.value)


@given(read=st.lists(read, max_size=8, unique_by=lambda r: r.number))
def test_readings_come_back_from_csv(read: list[Reading]) -> None:
    assert readings_of_csv(readings_csv([(A, 1, read)])) == (((A, 1, tuple(read)),) if read else ())


@pytest.fixture(scope="module")
def one_test(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Records]:
    with open_records(tmp_path_factory.mktemp("laws") / "wall.records") as records:
        records.add_all([JackCertified(jack=JACK), planned(), begun()], by=BY, exception="test")
        yield records


@settings(max_examples=25, deadline=None)
@given(read=st.lists(read, min_size=1, max_size=8, unique_by=lambda r: r.number))
def test_readings_come_back_from_the_database(one_test: Records, read: list[Reading]) -> None:
    one_test.add_readings(A, read, by=BY)
    found = one_test.test_record(A)
    assert found.readings == tuple(sorted(read, key=lambda r: r.number))
    for mine, theirs in zip(sorted(read, key=lambda r: r.number), found.readings, strict=True):
        assert mine.at is None or mine.at.utcoffset() == theirs.at.utcoffset()  # type: ignore[union-attr]
    one_test.add(TestClosed(anchor=A, test=found_number(one_test)), by=BY)
    one_test.add(begun(), by=BY, exception="test")


def found_number(records: Records) -> int:
    number = records.anchor(A).line.test
    assert number is not None
    return number


EVENTS = st.lists(
    st.tuples(
        st.sampled_from(("submittal", "drilled", "grouted", "test", "test closed", "verdict",
                         "locked off", "lifted off", "repaired")),
        st.integers(0, 30),
    ),
    max_size=10,
)  # fmt: skip


@given(made=EVENTS, seed=st.integers(0, 1000))
def test_the_life_does_not_depend_on_the_order_of_telling(
    made: list[tuple[str, int]], seed: int
) -> None:
    events = [Event(1, "planned", START)] + [
        Event(i + 2, kind, START + timedelta(days=day), test=1, decision="accepted")
        for i, (kind, day) in enumerate(made)
    ]
    told = events[:]
    random.Random(seed).shuffle(told)  # noqa: S311
    assert life(told) == life(events)


class Site(RuleBasedStateMachine):
    """Does whatever may happen to three anchors, and keeps its own simple account of it."""

    template: Path | None = None

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="laws-"))
        cls = type(self)
        if cls.template is None:
            cls.template = Path(tempfile.mkdtemp(prefix="laws-")) / "empty.records"
            open_records(cls.template).close()
        shutil.copy(cls.template, self.folder / "wall.records")
        self.now = START
        self.records = open_records(self.folder / "wall.records", clock=lambda: self.now)
        self.entries = 0
        self.facts: dict[str, list[str]] = {}
        self.read: dict[tuple[str, int], dict[int, Reading]] = {}
        self.open: dict[str, int] = {}
        self.tests: dict[str, int] = {}
        self.remarks: dict[str, list[str]] = {}

    @initialize()
    def begin(self) -> None:
        self.records.add(JackCertified(jack=JACK), by=BY)
        self.entries += 1

    def tick(self) -> None:
        self.now += timedelta(minutes=1)

    def add(self, fact: Any, kind: str, anchor: str) -> None:
        self.tick()
        try:
            self.records.add(fact, by=BY)
        except RefusedError:
            self.records.add(fact, by=BY, exception="it happened")
        self.entries = self.records.last()[0]
        self.facts[anchor].append(kind)

    anchors = st.sampled_from((A, "A-1-002", "A-1-003"))

    @rule(anchor=anchors)
    def plan(self, anchor: str) -> None:
        self.tick()
        fact = planned(anchor, number=int(anchor[-1]))
        if anchor in self.facts:
            with pytest.raises(RefusedError, match="in the register already"):
                self.records.add(fact, by=BY)
        else:
            self.records.add(fact, by=BY)
            self.entries += 1
            self.facts[anchor], self.remarks[anchor], self.tests[anchor] = [], [], 0

    @precondition(lambda self: self.facts)
    @rule(
        data=st.data(),
        kind=st.sampled_from(
            (
                "submittal",
                "drilled",
                "grouted",
                "tendon",
                "locked off",
                "lifted off",
                "begun",
                "closed",
            )
        ),
    )
    def happen(self, data: st.DataObject, kind: str) -> None:  # fmt: skip
        anchor = data.draw(st.sampled_from(sorted(self.facts)))
        if kind == "begun":
            if anchor in self.open:
                with pytest.raises(RefusedError, match="still goes on"):
                    self.records.add(begun(anchor), by=BY, exception="it happened")
                return
            self.add(begun(anchor), "test", anchor)
            self.tests[anchor] += 1
            self.open[anchor] = self.tests[anchor]
            self.read[anchor, self.tests[anchor]] = {}
        elif kind == "closed":
            if anchor in self.open:
                test = self.open.pop(anchor)
                self.add(TestClosed(anchor=anchor, test=test), "test closed", anchor)
        else:
            fact = {
                "submittal": lambda: submittal(anchor), "drilled": lambda: drilled(anchor),
                "grouted": lambda: grouted(anchor), "tendon": lambda: tendon(anchor),
                "locked off": lambda: LockedOff(anchor=anchor, jack_load=330.0),
                "lifted off": lambda: LiftedOff(anchor=anchor, load=320.0),
            }[kind]()  # fmt: skip
            self.add(fact, kind, anchor)

    @precondition(lambda self: self.open)
    @rule(data=st.data(), number=st.integers(1, 12))
    def take_reading(self, data: st.DataObject, number: int) -> None:
        anchor = data.draw(st.sampled_from(sorted(self.open)))
        taken = self.read[anchor, self.open[anchor]]
        reading = replace(readings(1)[0], number=number, minute=float(number))
        if number in taken or self.was_withdrawn(anchor, self.open[anchor], number):
            with pytest.raises(RefusedError, match="recorded already"):
                self.records.add_reading(anchor, reading, by=BY)
        else:
            self.records.add_reading(anchor, reading, by=BY)
            self.entries += 1
            taken[number] = reading

    def was_withdrawn(self, anchor: str, test: int, number: int) -> bool:
        return (anchor, test, number) in self.withdrawn

    @initialize()
    def nothing_withdrawn(self) -> None:
        self.withdrawn: set[tuple[str, int, int]] = set()

    @precondition(lambda self: any(self.read.values()))
    @rule(data=st.data(), away=st.booleans())
    def correct_reading(self, data: st.DataObject, away: bool) -> None:
        anchor, test = data.draw(st.sampled_from(sorted(k for k, v in self.read.items() if v)))
        taken = self.read[anchor, test]
        number = data.draw(st.sampled_from(sorted(taken)))
        if away:
            self.records.withdraw_reading(anchor, number, by=BY, reason="no", test=test)
            del taken[number]
            self.withdrawn.add((anchor, test, number))
        else:
            better = replace(taken[number], minute=taken[number].minute + 0.5)
            self.records.correct_reading(anchor, better, by=BY, reason="late", test=test)
            taken[number] = better
        self.entries += 1

    @precondition(lambda self: self.facts)
    @rule(data=st.data())
    def decide(self, data: st.DataObject) -> None:
        anchor = data.draw(st.sampled_from(sorted(self.facts)))
        closed = [t for (a, t) in self.read if a == anchor and self.open.get(anchor) != t]
        if closed and self.facts[anchor].count("verdict") == 0:
            test = max(closed)
            decision = "accepted" if self.read[anchor, test] else "not accepted"
            self.add(verdict(anchor, test, decision), f"{decision} {test}", anchor)

    @precondition(lambda self: self.facts)
    @rule(data=st.data(), text=texts)
    def remark(self, data: st.DataObject, text: str) -> None:
        anchor = data.draw(st.sampled_from(sorted(self.facts)))
        entry = self.records.add(Remark(anchor=anchor, text=text), by=BY)
        corrected = self.records.correct(
            entry.id, Remark(anchor=anchor, text=text + "."), by=BY, reason="a full stop"
        )
        assert corrected.supersedes == entry.id
        self.remarks[anchor].append(text + ".")
        self.entries += 2

    def state(self, anchor: str) -> str:
        """Return the state by the simple account: things happen in the order of telling."""
        state, last = "planned", 0
        for kind in self.facts[anchor]:
            if kind == "submittal":
                state = "submittal" if state in ("planned", "submittal") else state
            elif kind == "test":
                state, last = "stressed", last + 1
            elif kind in ("drilled", "grouted", "locked off", "lifted off"):
                state = kind
            elif kind.startswith(("accepted", "not accepted")) and state == "stressed":
                decision, _, test = kind.rpartition(" ")
                state = decision if int(test) == last else state
        return state

    @invariant()
    def the_register_is_what_happened(self) -> None:
        lines = {line.anchor: line for line in self.records.register()}
        assert set(lines) == set(self.facts)
        for anchor, line in lines.items():
            assert line.state == self.state(anchor)
            assert line.tests == self.tests[anchor]
            assert line.test_open == (anchor in self.open)
            mine = [r for (a, _), taken in self.read.items() if a == anchor for r in taken.values()]
            assert line.readings == len(mine)

    def teardown(self) -> None:
        try:
            self.all_comes_back()
        finally:
            self.records.close()
            shutil.rmtree(self.folder)

    def all_comes_back(self) -> None:
        found = self.records.verify()
        assert found.sound, found.faults
        assert found.last >= self.entries
        self.records.export(self.folder / "a.zip")
        shutil.copy(type(self).template or "", self.folder / "other.records")
        with open_records(self.folder / "other.records") as other:
            other.import_archive(self.folder / "a.zip")
            assert other.last() == self.records.last()
            assert other.register() == self.records.register()
            for anchor in self.facts:
                assert other.history(anchor) == self.records.history(anchor)
                assert [e.fact.text for e in other.anchor(anchor).of(Remark)] == self.remarks[
                    anchor
                ]
            for (anchor, test), taken in self.read.items():
                there = other.test_record(anchor, test).readings
                assert there == tuple(taken[n] for n in sorted(taken))


TestSite = Site.TestCase
TestSite.settings = settings(
    max_examples=12, stateful_step_count=25, deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)  # fmt: skip
