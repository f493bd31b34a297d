"""What is dragged in a section: where it is put is where it is read back, in every example and unit."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from math import hypot
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backstay.design import SectionDesign, design
from backstay.errors import DesignError, ProjectError
from backstay.model.changes import Set, changed
from backstay.model.reading import read_text
from backstay.quantity import UnitSystem
from backstay.workbench.section.grips import section_handles
from backstay.workbench.section.handles import (
    STEPS,
    Handle,
    Way,
    moved,
    snapped,
    stepped,
    value_text,
)
from backstay.workbench.section.spelling import Spelling

EXAMPLES = Path(__file__).parents[4] / "examples"
NAMES = sorted(path.stem for path in EXAMPLES.glob("*.yaml"))
REACH = {"left": -6.0, "right": 40.0}


@lru_cache(maxsize=64)
def designed(text: str) -> tuple[SectionDesign, UnitSystem]:
    """Return the first section of a project, without slip surfaces."""
    project = read_text(text, "example.yaml")
    return design(project, slip_surfaces="leave out").sections[0], project.units


@lru_cache(maxsize=8)
def text_of(name: str) -> str:
    return (EXAMPLES / f"{name}.yaml").read_text()


def handles(text: str) -> tuple[Handle, ...]:
    return section_handles(designed(text)[0], ("sections", 0), **REACH)


ALL = [(name, handle.id) for name in NAMES for handle in handles(text_of(name))]


def handle_of(text: str, id: str) -> Handle:
    return next(h for h in handles(text) if h.id == id)


def aimed(handle: Handle, by: float) -> tuple[float, float]:
    """Return a place that a handle may be moved to, about `by` (m) from where it is."""
    x, z = handle.at
    if handle.way is Way.VERTICAL:
        return x, z + by
    if handle.way is Way.HORIZONTAL:
        return x + by, z
    if handle.way is Way.AROUND:
        return x, z + 1.5 * by
    return x + by, z + 0.4 * by


@pytest.mark.parametrize(("name", "id"), ALL)
@pytest.mark.parametrize("shown", UnitSystem)
def test_a_handle_stands_where_it_was_put(name: str, id: str, shown: UnitSystem) -> None:
    text = text_of(name)
    handle, own = handle_of(text, id), designed(text)[1]
    refusals = []
    for by in (0.35, -0.35, 0.8, -0.8, 1.5, -1.5):
        changes = moved(handle, aimed(handle, by), Spelling(shown, own))
        assert changes, f"{id} did not move by {by} m"
        try:
            after = handle_of(changed(text, changes), id)
        except (ProjectError, DesignError) as error:
            refusals.append(error)
            continue
        for held, was, wanted in zip(
            after.held, handle.held, handle.read(aimed(handle, by)), strict=True
        ):
            # the file may be given the value with a unit, which costs rounding of the last digit
            expected = snapped(wanted, held.quantity, shown)
            assert held.value == pytest.approx(expected, abs=1e-7), (id, was.value)
        if len(handle.held) == 1:
            assert moved(after, after.at, Spelling(shown, own)) == []
        return
    pytest.fail(f"{id} cannot be moved anywhere: {refusals}")


@pytest.mark.parametrize(("name", "id"), ALL)
def test_no_move_changes_nothing(name: str, id: str) -> None:
    text = text_of(name)
    handle, own = handle_of(text, id), designed(text)[1]
    for shown in UnitSystem:
        assert moved(handle, handle.at, Spelling(shown, own)) == []


@pytest.mark.parametrize(("name", "id"), ALL)
def test_the_place_reads_back_the_values_in_the_file(name: str, id: str) -> None:
    """The values read at a handle's own place are those it carries: nothing jumps when it is taken hold of."""
    handle = handle_of(text_of(name), id)
    for held, read in zip(handle.held, handle.read(handle.at), strict=True):
        assert read == pytest.approx(held.value, abs=1e-9)


@pytest.mark.parametrize(("name", "id"), ALL)
def test_a_step_there_and_back_is_where_it_was(name: str, id: str) -> None:
    text = text_of(name)
    handle, own = handle_of(text, id), designed(text)[1]
    spelling = Spelling(own, own)
    start = [snapped(h.value, h.quantity, own) for h in handle.held]
    for key in ("right", "up"):
        there = stepped(handle, start, spelling, **{key: 1})
        back = stepped(handle, there, spelling, **{key: -1})
        assert back == pytest.approx(start, abs=1e-9)
        if len(handle.held) == 1:
            step = STEPS[handle.held[0].quantity.name][own].coarse
            moved_by = handle.held[0].quantity.shown(abs(there[0] - start[0]), own)
            sideways = handle.way is Way.VERTICAL and key == "right"
            assert moved_by == pytest.approx(0.0 if sideways else step)


def test_up_raises_levels_and_flattens_anchors() -> None:
    text = text_of("two-row-sand")
    own = designed(text)[1]
    spelling = Spelling(own, own)
    head, slope = handle_of(text, "row-0-head"), handle_of(text, "row-0-inclination")
    assert stepped(head, [head.held[0].value], spelling, up=1)[0] > head.held[0].value
    assert stepped(slope, [slope.held[0].value], spelling, up=1)[0] < slope.held[0].value


def test_ids_are_unique_and_labels_tell_things_apart() -> None:
    for name in NAMES:
        found = handles(text_of(name))
        assert len({h.id for h in found}) == len(found)
        assert len({h.label for h in found}) == len(found), [h.label for h in found]


def test_values_are_written_in_the_way_of_the_project() -> None:
    """In the project's own units a bare number, in others text with its unit (1 ft = 0.3048 m, exactly)."""
    text = text_of("two-row-sand")
    head = handle_of(text, "row-0-head")
    (bare,) = moved(head, (0.0, head.at[1] + 0.3048), Spelling(UnitSystem.US, UnitSystem.US))
    (given_unit,) = moved(head, (0.0, head.at[1] + 0.3048), Spelling(UnitSystem.SI, UnitSystem.US))
    assert bare == Set(head.held[0].path, 91)
    assert given_unit == Set(head.held[0].path, "27.7 m")


def test_the_toe_turns_from_auto_to_a_number_and_back() -> None:
    text = text_of("two-row-sand")
    own = designed(text)[1]
    toe = handle_of(text, "toe")
    assert toe.note
    fixed = changed(text, moved(toe, (0.0, toe.at[1] + 1.0), Spelling(own, own)))
    assert not handle_of(fixed, "toe").note
    assert changed(fixed, [Set(toe.held[0].path, "auto")]) == text


def test_a_bond_that_the_file_leaves_out_is_given_in_a_mapping() -> None:
    lines = [line for line in text_of("two-row-sand").splitlines() if "bond: {" not in line]
    text = "\n".join(lines) + "\n"
    own = designed(text)[1]
    bond = handle_of(text, "row-0-bond")
    x, z = bond.at
    given_length = changed(text, moved(bond, (x + 2.0, z + 0.7), Spelling(own, own)))
    after = handle_of(given_length, "row-0-bond")
    assert not after.note
    assert after.at[0] > x + 1.0


@given(
    value=st.floats(-500, 500, allow_nan=False),
    shown=st.sampled_from(list(UnitSystem)),
    fine=st.booleans(),
)
def test_snapping_is_to_the_nearest_place_of_the_grid(
    value: float, shown: UnitSystem, fine: bool
) -> None:
    quantity = handle_of(text_of("two-row-sand"), "toe").held[0].quantity
    step = STEPS["length"][shown].fine if fine else STEPS["length"][shown].coarse
    found = snapped(value, quantity, shown, fine=fine)
    assert abs(quantity.shown(found - value, shown)) <= step / 2 + 1e-9
    assert snapped(found, quantity, shown, fine=fine) == pytest.approx(found, abs=1e-9)


def test_a_skewed_anchor_keeps_its_inclination_when_it_is_taken_hold_of() -> None:
    """Seen in the section tan(i) is over cos(skew): dragged to its own place nothing may change."""
    text = changed(text_of("two-row-sand"), [Set(("sections", 0, "anchors", 0, "skew"), "12 deg")])
    for id in ("row-0-inclination", "row-0-free", "row-0-bond"):
        handle = handle_of(text, id)
        assert handle.read(handle.at)[0] == pytest.approx(handle.held[0].value, abs=1e-9)
        assert hypot(*handle.at) > 1.0


def test_only_what_a_drag_has_changed_is_written() -> None:
    text = text_of("two-row-sand")
    own = designed(text)[1]
    main = handle_of(text, "obstacle-0")
    across, level = main.held
    spelling = Spelling(own, own)
    (one,) = moved(main, (main.at[0] + 0.3048, main.at[1]), spelling)
    assert isinstance(one, Set)
    assert one.path == across.path
    off = level.value + 0.0123  # off the grid, and not asked to move
    there = stepped(main, [across.value, off], spelling, right=1)
    assert there[1] == off
    assert there[0] != across.value


def test_a_value_that_several_share_is_said_once() -> None:
    text = text_of("two-row-sand")
    own = designed(text)[1]
    toe = handle_of(text, "toe")
    both = replace(toe, held=(toe.held[0], toe.held[0]))
    spelling = Spelling(own, own)
    assert value_text(both, [3.048, 3.048], spelling) == value_text(toe, [3.048], spelling)
    assert "," in value_text(both, [3.048, 6.096], spelling)


def test_mappings_that_are_not_there_are_made_from_the_outside_in() -> None:
    held = replace(handle_of(text_of("two-row-sand"), "toe").held[0], inside=("outer", "inner"))
    assert held.set(3) == Set(held.path, {"outer": {"inner": 3}})


SURVEYED = text_of("two-row-sand").replace(
    "      strata:", "      profile:\n        - {distance: 0, elevation: 100.0}\n"
    "        - {distance: 12, elevation: 103.0}\n        - {distance: 40, elevation: 104.0}\n      strata:", 1,
)  # fmt: skip


def test_the_top_of_the_wall_takes_what_begins_at_it_along() -> None:
    assert SURVEYED != text_of("two-row-sand")
    handle = handle_of(SURVEYED, "top")
    assert len(handle.held) == 3
    changes = moved(handle, (0.0, 0.61), Spelling(UnitSystem.US, UnitSystem.US))
    ground = designed(changed(SURVEYED, changes))[0].section.ground
    assert ground.top == ground.strata[0].top == ground.profile[0].elevation
    assert ground.top == pytest.approx(98.0 * 0.3048)
    assert ground.profile[1].elevation == pytest.approx(103.0 * 0.3048)


def test_surveyed_points_behind_the_wall_are_dragged() -> None:
    ids = [h.id for h in handles(SURVEYED) if h.id.startswith("ground-")]
    assert ids == ["ground-1", "ground-2"], "the point at the wall is its top"
    handle = handle_of(SURVEYED, "ground-1")
    to = (5.0, -1.2)
    changes = moved(handle, to, Spelling(UnitSystem.US, UnitSystem.US))
    done = designed(changed(SURVEYED, changes))[0]
    point = done.section.ground.profile[1]
    assert (point.distance, point.elevation - done.section.ground.top) == pytest.approx(
        (5.0, 1.2), abs=0.25 * 0.3048
    )


def test_the_level_of_a_load_is_dragged_where_the_file_gives_it() -> None:
    text = text_of("two-row-sand")
    assert not [h for h in handles(text) if h.id.endswith("-level") and h.id.startswith("load")]
    added = text.replace(
        "    surcharges:\n", "    surcharges:\n      - {kind: footing, name: Pad, pressure: 2000, distance: 20, "
        "width: 6, length: 6, elevation: 96}\n      - {kind: line, name: Rail, load: 2, distance: 30, elevation: 98}\n",
    )  # fmt: skip
    assert added != text
    for id, was in (("load-0-level", 96.0), ("load-1-level", 98.0)):
        handle = handle_of(added, id)
        assert handle.read(handle.at) == pytest.approx([was * 0.3048])
        to = (handle.at[0], handle.at[1] + 0.3048)
        after = changed(added, moved(handle, to, Spelling(UnitSystem.US, UnitSystem.US)))
        assert handle_of(after, id).held[0].value == pytest.approx((was - 1.0) * 0.3048)
