"""What is dragged in a slope: read back where it was put; heads of anchors stay on the face."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest

from backstay.design import design
from backstay.errors import DesignError, ProjectError
from backstay.model.changes import Change, changed
from backstay.model.reading import read_text
from backstay.quantity import UnitSystem
from backstay.stability.slope_design import SlopeDesign
from backstay.workbench.section.handles import (
    STEPS,
    Handle,
    Way,
    moved,
    typed,
    value_text,
    values_after,
)
from backstay.workbench.section.picture import draw, frame_for
from backstay.workbench.section.scene import View, make_scene
from backstay.workbench.section.slope_grips import (
    KINDS,
    Seen,
    face_level,
    kinds_of,
    slope_handles,
)
from backstay.workbench.section.spelling import Spelling

SI, US = UnitSystem.SI, UnitSystem.US
FILE = Path(__file__).parents[4] / "examples" / "slopes" / "landslide-three-rows.yaml"
EXAMPLE = FILE.read_text("utf-8")
GIVEN = EXAMPLE.replace("inclination: best", "inclination: 12\n      unbonded_length: 20").replace(
    "    earthquake:",
    "    piles:\n      - {name: Old dowels, x: 40, top: 106, bottom: 96, capacity: 40}\n    earthquake:",
)
CIRCLE = (
    EXAMPLE[: EXAMPLE.index("      points:\n        - {x: 19")]
    + "      centre: {x: 30, elevation: 145}\n      radius: 45\n"
    + EXAMPLE[EXAMPLE.index("    movement:") :]
)
WHERE = ("slopes", 0)
SEEN = Seen(-5.0, 115.0, 123.0)


@lru_cache(maxsize=64)
def designed(text: str) -> SlopeDesign:
    """Return the first slope of a project, without the search of slips."""
    return design(read_text(text, "slope.yaml"), slip_surfaces="leave out").slopes[0]


def handles(text: str) -> tuple[Handle, ...]:
    done = designed(text)
    return tuple(h for kind in KINDS for h in slope_handles(done, WHERE, SEEN, kind))


def handle_of(text: str, id: str) -> Handle:
    return next(h for h in handles(text) if h.id == id)


def aimed(handle: Handle, by: float) -> tuple[float, float]:
    """Return a place that a handle may be moved to, about `by` (m) from where it is."""
    x, z = handle.at
    across = handle.way in (Way.HORIZONTAL, Way.FREE, Way.ALONG)
    return x + (by if across else 0.0), z + (0.0 if handle.way is Way.HORIZONTAL else 0.4 * by)


ALL = [
    (name, handle.id)
    for name, text in (("example", EXAMPLE), ("given", GIVEN))
    for handle in handles(text)
] + [("circle", "known-centre"), ("circle", "known-radius")]
TEXTS = {"example": EXAMPLE, "given": GIVEN, "circle": CIRCLE}


@pytest.mark.parametrize(("name", "id"), ALL)
def test_a_handle_stands_where_it_was_put(name: str, id: str) -> None:
    text, shown = TEXTS[name], US if id.endswith("1") else SI
    handle, refusals = handle_of(text, id), []
    for by in (0.6, -0.6, 1.4, -1.4):
        changes = moved(handle, aimed(handle, by), Spelling(shown, SI))
        assert changes, f"{id} did not move by {by} m"
        try:
            after = handle_of(changed(text, changes), id)
        except (ProjectError, DesignError) as error:
            refusals.append(str(error))
            continue
        for held, value in zip(after.held, handle.read(aimed(handle, by)), strict=True):
            step = STEPS[held.quantity.name][shown].coarse
            grid = held.quantity.internal(step, shown)
            assert held.value == pytest.approx(value, abs=0.5 * grid + 1e-6)
        assert not after.note, "what was moved is given"
        return
    pytest.fail(f"{id} can be put nowhere: {refusals}")


@pytest.mark.parametrize(("name", "id"), ALL)
def test_nothing_jumps_when_it_is_taken_hold_of(name: str, id: str) -> None:
    handle = handle_of(TEXTS[name], id)
    for held, read in zip(handle.held, handle.read(handle.at), strict=True):
        assert read == pytest.approx(held.value, abs=1e-9)


def test_every_value_of_the_file_that_is_drawn_has_a_handle() -> None:
    ids = {h.id for h in handles(GIVEN)}
    slope = designed(GIVEN).slope
    assert {f"ground-{k}" for k in range(len(slope.profile))} <= ids
    assert {f"head-{k}" for k in range(3)} <= ids
    assert {f"stratum-{i}-{k}" for i in (1, 2) for k in range(4)} <= ids
    assert {f"{w}-{k}" for w in ("water", "design_water") for k in range(5)} <= ids
    assert {f"known-{k}" for k in range(7)} <= ids
    assert {"load-0-from_x", "load-0-to_x", "pile-0", "pile-0-top", "pile-0-bottom"} <= ids
    assert {"inclination", "free", "bond"} <= ids
    assert len(ids) == len(handles(GIVEN))


def test_only_kinds_that_are_there_are_offered() -> None:
    slope = designed(EXAMPLE).slope
    assert kinds_of(slope) == KINDS
    dry = slope.model_copy(update={"water": (), "design_water": ()})
    assert "water" not in kinds_of(dry)


@pytest.mark.parametrize("id", ["ground-2", "ground-3", "ground-4"])
def test_heads_go_with_the_face(id: str) -> None:
    handle = handle_of(EXAMPLE, id)
    before = designed(EXAMPLE).slope
    after = designed(changed(EXAMPLE, moved(handle, aimed(handle, -1.0), Spelling(SI, SI)))).slope
    lines = [[(p.x, p.elevation) for p in s.profile] for s in (before, after)]
    assert lines[0] != lines[1]
    moved_heads = 0
    for old, new in zip(before.anchors.heads, after.anchors.heads, strict=True):
        off = old.elevation - face_level(lines[0], old.x, old.elevation)
        assert new.elevation - face_level(lines[1], new.x, new.elevation) == pytest.approx(
            off, abs=0.001
        )
        moved_heads += old != new
    assert 0 < moved_heads < 3, "only those beside the point"


def test_a_point_far_from_every_head_is_changed_alone() -> None:
    handle = handle_of(EXAMPLE, "ground-5")
    changes = moved(handle, aimed(handle, 1.0), Spelling(SI, SI))
    assert {change.path[2:] for change in changes} == {
        ("profile", 5, "x"), ("profile", 5, "elevation"),
    }  # fmt: skip


@pytest.mark.parametrize("shown", UnitSystem)
def test_a_head_goes_along_the_face(shown: UnitSystem) -> None:
    handle, spelling = handle_of(EXAMPLE, "head-1"), Spelling(shown, SI)
    ways: list[list[Change]] = [
        moved(handle, aimed(handle, 2.0), spelling),
        typed(handle, ["44 m"], spelling),
    ]
    for changes in ways:
        slope = designed(changed(EXAMPLE, changes)).slope
        head = slope.anchors.heads[1]
        assert head.x == pytest.approx(44.0, abs=0.1)
        face = [(p.x, p.elevation) for p in slope.profile]
        assert head.elevation == pytest.approx(face_level(face, head.x, 0.0), abs=0.001)


def test_what_is_asked_for_is_said_with_its_unit_where_it_is_refused() -> None:
    handle = handle_of(EXAMPLE, "ground-3")
    changes = moved(handle, (30.0, 12.0), Spelling(US, SI))
    with pytest.raises(ProjectError, match="points run from left to right"):
        read_text(changed(EXAMPLE, changes), "slope.yaml")
    asked = values_after(handle, changes, Spelling(US, SI))
    assert value_text(handle, asked, Spelling(US, SI)) == "98.5 ft, 364 ft"
    open_length = handle_of(EXAMPLE, "bond")
    longer = moved(open_length, aimed(open_length, 2.0), Spelling(SI, SI))
    assert values_after(open_length, longer, Spelling(SI, SI)) == pytest.approx([9.5], abs=0.5)
    assert values_after(open_length, [], Spelling(SI, SI)) == [open_length.held[0].value]


def test_what_is_typed_and_no_length_is_written_as_it_is_to_be_refused() -> None:
    changes = typed(handle_of(EXAMPLE, "head-1"), ["12 kPa"], Spelling(SI, SI))
    with pytest.raises(ProjectError, match="not a unit of length"):
        read_text(changed(EXAMPLE, changes), "slope.yaml")


@pytest.mark.parametrize(
    ("x", "near", "level"), [(-1, 0, 1.0), (2, 9, 2.0), (4, 9, 5.0), (4, 0, 3.0), (9, 0, 6.0)]
)
def test_the_level_of_a_face_that_is_partly_vertical(x: float, near: float, level: float) -> None:
    assert face_level([(0, 1), (4, 3), (4, 5), (6, 6)], x, near) == level


@pytest.mark.parametrize("units", UnitSystem)
@pytest.mark.parametrize("room", [(130.0, 80.0), (230.0, 110.0), (360.0, 180.0)])
def test_a_slope_is_sent_with_its_handles_on_what_is_drawn(
    units: UnitSystem, room: tuple[float, float]
) -> None:
    done = designed(EXAMPLE)
    picture = draw(done, frame_for(done, *room), units)
    scene = make_scene(done, picture, WHERE, View(units, 0, 0.0), grips=True)
    sent = scene.sent(Spelling(units, SI), View(units, 0, 0.0))
    assert sent["label"].startswith("Slope Mill Hill")
    assert sent["readings"] == []
    assert sent["width"] == pytest.approx(picture.drawing.width, abs=0.001)
    by_id = {h["id"]: h for h in sent["handles"]}
    assert "water-0" not in by_id
    assert by_id["head-0"]["x"] > by_id["head-2"]["x"], "the slope falls to the left"
    assert by_id["head-0"]["y"] < by_id["head-2"]["y"]
    for one in sent["handles"]:
        assert 0.0 <= one["x"] <= sent["width"]
    x, depth = picture.model((by_id["head-0"]["x"], by_id["head-0"]["y"]))
    assert (x, picture.frame.view.top - depth) == pytest.approx((51.0, 114.87), abs=0.02)


def test_what_is_dragged_is_drawn_where_it_was_in_the_frame() -> None:
    before = designed(EXAMPLE)
    frame = frame_for(before, 230.0, 110.0)
    top = handle_of(EXAMPLE, "ground-6")  # the highest point
    after = designed(changed(EXAMPLE, moved(top, aimed(top, -2.0), Spelling(SI, SI))))
    assert after.ground.surface[:, 1].max() > before.ground.surface[:, 1].max()
    pictures = [draw(one, frame, SI, lettering="levels") for one in (before, after)]
    assert pictures[0].at(40.0, 10.0) == pictures[1].at(40.0, 10.0)
    assert pictures[0].frame == pictures[1].frame == frame


@pytest.mark.parametrize("room", [(130.0, 80.0), (230.0, 110.0), (360.0, 180.0)])
def test_nothing_is_cut_off_at_the_top_and_little_is_empty(room: tuple[float, float]) -> None:
    done = designed(EXAMPLE)
    picture = draw(done, frame_for(done, *room), SI)
    view = View(SI, 0, 0.0)
    scene = make_scene(done, picture, WHERE, view, grips=True)
    highest = min(
        picture.drawing.height - y for text in picture.drawing.texts for _, y in text.quad
    )
    assert 0.0 <= scene.spare <= highest
    assert scene.spare >= picture.clear - 2.5
    sent = scene.sent(Spelling(SI, SI), replace(view, spare=scene.spare))
    assert sent["above"] == pytest.approx(-scene.spare, abs=0.001)
