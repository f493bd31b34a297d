"""The design of a text that changes: at once without slip surfaces, later with them, never of an old text."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event

import pytest

from backstay.design import design
from backstay.errors import DesignError
from backstay.model.reading import read_text
from backstay.workbench import live as module
from backstay.workbench.live import LiveDesign, Standing

TEXT = (Path(__file__).parents[3] / "examples" / "two-row-sand.yaml").read_text()


@pytest.fixture
def live() -> Iterator[LiveDesign]:
    one = LiveDesign("wall.yaml")
    one.listen(lambda _: None)  # somebody looks at it
    yield one
    one.close()


def until(condition: Callable[[], bool]) -> None:
    end = time.monotonic() + 120.0
    while not condition():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.01)


def course(live: LiveDesign) -> str:
    return live.standing.course if live.standing else ""


def test_slip_surfaces_come_after_the_rest(live: LiveDesign) -> None:
    told: list[Standing] = []
    live.listen(told.append)
    first = live.take(TEXT, 7)
    assert (first.course, first.revision) == ("searching", 7)
    assert first.design is not None
    assert first.design.sections[0].overall is None
    until(lambda: course(live) == "done")
    done = live.standing
    assert done is not None
    assert done.design is not None
    whole = design(read_text(TEXT))
    assert [c.utilisation for _, c in done.design.checks] == [
        c.utilisation for _, c in whole.checks
    ]
    assert [one.course for one in told] == ["searching", "done"]


def test_faults_and_walls_that_cannot_be_designed_are_told_and_the_last_design_stays(
    live: LiveDesign,
) -> None:
    good = live.take(TEXT, 1)
    faulty = live.take(TEXT.replace("spacing: 8.0", "spacing: wide"), 2)
    assert faulty.course == "refused"
    assert [fault.path for fault in faulty.faults] == ["sections[0].wall.spacing"]
    assert live.last_good is good
    absurd = live.take(
        TEXT.replace("friction_angle: 36", "friction_angle: 36\n          cohesion: 1e9"), 3
    )
    assert absurd.course in ("refused", "searching")
    assert live.standing is absurd


def test_what_was_begun_for_an_old_text_is_dropped(
    live: LiveDesign, monkeypatch: pytest.MonkeyPatch
) -> None:
    searched: list[int] = []
    go_on = Event()
    whole = module.designed

    def slow(project, revision, slip_surfaces):
        if slip_surfaces == "search":
            searched.append(revision)
            assert go_on.wait(60.0)
            slip_surfaces = "leave out"
        return whole(project, revision, slip_surfaces)

    monkeypatch.setattr(module, "designed", slow)
    live.take(TEXT, 1)
    until(lambda: searched == [1])
    for revision in range(2, 6):
        live.take(TEXT, revision)
    seen: list[int] = []
    live.listen(lambda one: seen.append(one.revision))
    go_on.set()
    until(lambda: 5 in searched and bool(seen))
    assert set(seen) == {5}, "what was found for the first is not taken"
    assert searched == [1, 5], "texts between are never searched"


def test_the_search_can_be_stopped_and_begun_again(live: LiveDesign) -> None:
    live.take(TEXT, 1)
    live.stop()
    assert course(live) == "stopped"
    time.sleep(0.05)
    assert course(live) == "stopped"
    live.search_again()
    until(lambda: course(live) == "done")
    live.stop()
    assert course(live) == "done"
    found = live.standing
    live.search_again()
    assert live.standing is found, "what is found is not looked for again"


def test_what_nobody_looks_at_is_searched_when_somebody_does(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    searched: list[int] = []
    whole = module.designed

    def counted(project, revision, slip_surfaces):
        if slip_surfaces == "search":
            searched.append(revision)
        return whole(project, revision, "leave out")

    monkeypatch.setattr(module, "designed", counted)
    left, looked_at = LiveDesign("left.yaml"), LiveDesign("wall.yaml")
    leave = left.listen(lambda _: None)
    leave()
    left.take(TEXT, 1)
    looked_at.listen(lambda _: None)
    looked_at.take(TEXT, 2)
    until(lambda: searched == [2])  # one after the other: the turn of the first has passed
    assert course(left) == "searching"
    left.take(TEXT, 3)
    left.take(TEXT, 4)
    looked_at.take(TEXT, 5)
    until(lambda: searched == [2, 5])
    left.listen(lambda _: None)
    until(lambda: searched == [2, 5, 4])
    left.listen(lambda _: None)
    looked_at.take(TEXT, 6)
    until(lambda: searched == [2, 5, 4, 6])


def test_a_fault_of_the_program_is_told_and_not_lost(
    live: LiveDesign, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(project, *, slip_surfaces):
        raise ZeroDivisionError("1/0")

    monkeypatch.setattr(module, "design", broken)
    standing = live.take(TEXT, 1)
    assert standing.course == "refused"
    assert "fault of the program" in standing.reason


def test_where_a_design_fails_is_told(live: LiveDesign, monkeypatch: pytest.MonkeyPatch) -> None:
    def failing(project, *, slip_surfaces):
        raise DesignError("the toe needs more than {length:30.48}", "section A")

    monkeypatch.setattr(module, "design", failing)
    standing = live.take(TEXT, 1)
    assert (standing.where, standing.reason) == ("section A", "the toe needs more than 100.0 ft")
