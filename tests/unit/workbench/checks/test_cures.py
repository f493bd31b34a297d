"""A cure cures: what is offered is written into the file, read again, and designed again."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backstay.checks import Verdict
from backstay.design import Design, design
from backstay.model.changes import Set, changed
from backstay.model.reading import read_text
from backstay.quantity import UnitSystem
from backstay.workbench.checks.bearing import BEARING
from backstay.workbench.checks.cure_offer import effects
from backstay.workbench.checks.cures import (
    Cure,
    Search,
    _nearest,
    _outward,
    find_cures,
    replaced,
)
from backstay.workbench.checks.knobs import _BOTH_WAYS, _ONE_WAY, knobs_for
from backstay.workbench.checks.listing import Key, rows_of

EXAMPLES = Path(__file__).parents[4] / "examples"
THREE = (EXAMPLES / "three-row-layered-water.yaml").read_text("utf-8")
TWO = (EXAMPLES / "two-row-sand.yaml").read_text("utf-8")


def quick(text: str) -> Design:
    return design(read_text(text, "p"), slip_surfaces="leave out")


def failing(done: Design) -> set[tuple[str, str]]:
    return {(c.id, c.where) for _, c in done.checks if c.verdict is Verdict.FAIL}


def cures(text: str, id: str, where: str, units: UnitSystem) -> Search:
    row = next(r for r in rows_of(quick(text)) if (r.key.id, r.key.where) == (id, where))
    search = Search(limit=300.0)
    find_cures(text, "p", row.key, units, search)
    assert search.ended == "done"
    return search


@pytest.mark.parametrize(
    ("text", "id", "where", "units"),
    [
        (THREE, "wall.lagging-bending", "", UnitSystem.SI),
        (THREE, "wall.lagging-bending", "", UnitSystem.US),
        (THREE, "anchor.lock-off-loss", "row 3", UnitSystem.SI),
        (TWO.replace("section: HP12x74", "section: HP12x53"), "wall.pile-bending", "", UnitSystem.US),
        (TWO.replace("design_load: 115 ", "design_load: 80 "), "anchor.design-load", "row 1", UnitSystem.US),
        (TWO.replace("unbonded_length: 34", "unbonded_length: 12"), "anchor.unbonded-length", "row 1", UnitSystem.US),
    ],
)  # fmt: skip
def test_what_is_offered_cures_and_breaks_nothing(
    text: str, id: str, where: str, units: UnitSystem
) -> None:
    before = failing(quick(text))
    assert (id, where) in before
    search = cures(text, id, where, units)
    assert search.found
    for cure in search.found:
        after = failing(quick(changed(text, cure.changes)))
        assert (id, where) not in after
        assert after <= before
        assert search.designs > 1


def test_the_nearest_value_of_the_steps_is_offered() -> None:
    """One step less does not cure: 10 mm of lagging, half a foot of free length."""
    search = cures(THREE, "wall.lagging-bending", "", UnitSystem.SI)
    cure = search.found[0]
    (change,) = cure.changes
    assert isinstance(change, Set)
    assert change.value == 160  # boards of 155.4 mm are needed
    less = changed(THREE, [Set(change.path, 150)])
    assert ("wall.lagging-bending", "") in failing(quick(less))


def test_where_nothing_cures_it_is_said_what_stands_in_the_way() -> None:
    search = cures(THREE, "anchor.obstacle", "row 1, Brick sewer", UnitSystem.SI)
    assert not search.found
    assert search.near
    assert all(near.fails for near in search.near)
    assert "inclination of row 1" in search.tried


def test_a_search_can_be_stopped_and_ends_in_time() -> None:
    key = next(r.key for r in rows_of(quick(THREE)) if r.check.verdict is Verdict.FAIL)
    stopped = Search()
    stopped.stop.set()
    find_cures(THREE, "p", key, UnitSystem.SI, stopped)
    assert stopped.ended == "stopped"
    assert stopped.designs == 0
    late = Search(limit=-1.0)
    find_cures(THREE, "p", key, UnitSystem.SI, late)
    assert late.ended == "out of time"


def test_a_check_that_passes_or_is_gone_needs_no_cure() -> None:
    for key in (rows_of(quick(TWO))[0].key, Key(0, "no.such", "")):
        search = Search()
        find_cures(TWO, "p", key, UnitSystem.US, search)
        assert search.ended == "done"
        assert not search.found


def test_the_differences_say_what_else_changes() -> None:
    cure: Cure = cures(THREE, "wall.lagging-bending", "", UnitSystem.SI).found[0]
    shown = "".join(effects(cure.before, cure.after, UnitSystem.SI))
    assert "Volume of lagging" in shown
    assert "→" in shown


@given(st.integers(0, 300), st.data())
def test_halving_finds_the_first_that_cures(count: int, data: st.DataObject) -> None:
    first = data.draw(st.integers(0, count))
    at = _nearest(count, lambda i: "cures" if i >= first else "fails")
    assert at == (first if first < count else None)


@given(st.integers(1, 300), st.data())
def test_the_nearest_that_passes_is_found_though_further_ones_do_harm(
    count: int, data: st.DataObject
) -> None:
    """The check passes from `first` on, and others begin to fail right after it: the window is one wide."""
    first = data.draw(st.integers(0, count - 1))
    at = _nearest(count, lambda i: "fails" if i < first else "cures" if i == first else "passes")
    assert at == first
    assert _nearest(count, lambda i: "passes") is None
    assert _nearest(count, lambda i: None) is None


@given(st.integers(1, 500))
def test_steps_outward_begin_next_door_and_end_at_the_last(count: int) -> None:
    tried = list(_outward(count))
    assert tried[0] == 0
    assert tried[-1] == count - 1
    assert tried == sorted(set(tried))


def test_a_trial_is_the_project_that_would_be_read() -> None:
    project = read_text(TWO, "p")
    done = quick(TWO)
    for _, check in done.checks:
        for knob in knobs_for(done.parts[0], ("sections", 0), check, UnitSystem.US):
            value = knob.options[0]
            found: object = replaced(project, knob.path, value)
            for piece in knob.path:
                found = found[piece] if isinstance(piece, int) else getattr(found, piece)  # type: ignore[index]
            assert found == value


def test_every_bearing_names_a_knob() -> None:
    for start, names in BEARING:
        for name in names:
            kind, _, way = name.partition(" ")
            assert kind in (_BOTH_WAYS if way else _ONE_WAY), (start, name)
            assert way in ("", "up", "down")


def test_lengths_of_several_rows_are_offered_together() -> None:
    """Where the analysis finds that two rows are too short, both lengths are one step."""
    text = TWO
    for old, new in (
        ("unbonded_length: 34", "unbonded_length: 20"), ("unbonded_length: 30", "unbonded_length: 14"),
        ("length: 30,", "length: 15,"), ("length: 32,", "length: 15,"),
        ("friction_angle: 36", "friction_angle: 30"), ("friction_angle: 32", "friction_angle: 28"),
    ):  # fmt: skip
        assert old in text
        text = text.replace(old, new)
    added = quick(text).sections[0].deep_sliding.lengthened
    assert added is not None
    assert all(length > 0.0 for length in added.added.values())
    found = cures(text, "stability.deep-sliding", "row 1", UnitSystem.US).found
    together = next(cure for cure in found if len(cure.changes) == 2)
    after = quick(changed(text, together.changes))
    assert not any(id == "stability.deep-sliding" for id, _ in failing(after))
    assert failing(after) <= failing(quick(text))


def test_a_check_of_slip_surfaces_is_cured_by_searching_again() -> None:
    """Where longer anchors do not reach the target, a deeper toe may; it is searched with it."""
    text = TWO
    for old, new in (
        ("unbonded_length: 34", "unbonded_length: 20"), ("unbonded_length: 30", "unbonded_length: 14"),
        ("length: 30,", "length: 15,"), ("length: 32,", "length: 15,"),
    ):  # fmt: skip
        text = text.replace(old, new)
    done = design(read_text(text, "p"))
    row = next(r for r in rows_of(done) if r.key.id == "stability.overall")
    assert row.check.verdict is Verdict.FAIL
    search = Search(limit=200.0)
    find_cures(text, "p", row.key, UnitSystem.US, search)
    assert search.ended == "done"
    (cure,) = search.found
    assert cure.changes[0].path == ("sections", 0, "wall", "toe")
    after = design(read_text(changed(text, cure.changes), "p"))
    assert ("stability.overall", row.key.where) not in failing(after)
    assert failing(after) <= failing(done)
