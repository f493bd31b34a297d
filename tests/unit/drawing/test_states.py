"""The elevation by state: every anchor lettered where it stands, no text on another, legend complete."""

from __future__ import annotations

from collections import Counter
from itertools import combinations, pairwise

import pytest

from backstay.drawing.labels import NoRoomError
from backstay.drawing.marks import Drawing, Ring, Stroke
from backstay.drawing.state_signs import RADIUS, SIGNS
from backstay.drawing.states import Face, StatePlace, compose_states
from backstay.drawing.svg import svg
from backstay.errors import DesignError
from backstay.quantity import UnitSystem
from backstay.records.entries import State
from tests.unit.drawing.ink import ink, overlap

STATES = list(SIGNS)
WALLS = {
    "one anchor": (1, 1, 2.4, 6.0), "short": (12, 2, 2.4, 8.0), "usual": (40, 3, 2.5, 11.0),
    "long": (180, 4, 2.2, 13.0), "eight rows": (60, 8, 1.8, 17.0),
}  # fmt: skip


def wall(name: str) -> tuple[list[StatePlace], Face]:
    number, rows, apart, depth = WALLS[name]
    places = [
        StatePlace(
            r + 1, n + 1, apart * (n + 0.5), 2.0 + r * (depth - 3.0) / max(rows - 1, 1),
            STATES[(n * n + 3 * r) % len(STATES)], (n + r) % 13 == 0,
        )
        for r in range(rows)
        for n in range(number)
    ]  # fmt: skip
    return places, Face(number * apart, depth)


def drawings(name: str, units: UnitSystem = UnitSystem.SI) -> tuple[Drawing, ...]:
    places, face = wall(name)
    return compose_states(places, face, units, title=name)


@pytest.mark.parametrize("units", list(UnitSystem))
@pytest.mark.parametrize("name", list(WALLS))
def test_no_two_texts_overlap_and_all_are_inside(name: str, units: UnitSystem) -> None:
    for drawing in drawings(name, units):
        boxes = [(text, ink(text)) for text in drawing.texts]
        met = [
            (a.words, b.words) for (a, x), (b, y) in combinations(boxes, 2) if overlap(x, y) > 1e-6
        ]
        assert not met
        for text, box in boxes:
            assert text.size >= 1.5, text.words
            assert all(0.0 <= c.x <= drawing.width for c in box), text.words
            assert all(0.0 <= c.y <= drawing.height for c in box), text.words


@pytest.mark.parametrize("name", list(WALLS))
def test_every_anchor_is_lettered_and_numbered(name: str) -> None:
    places, _ = wall(name)
    made = drawings(name)
    letters = Counter(t.words for d in made for t in d.texts if len(t.words) == 1 and t.bold)
    wanted = Counter(SIGNS[p.state].letter for p in places)
    used = {SIGNS[p.state].letter for p in places}
    for letter in used:  # each drawing has the letter once more, in its legend
        assert letters[letter] == wanted[letter] + len(made)
    numbers = Counter(t.words for d in made for t in d.texts if t.size == 1.5 and t.masked)
    assert sum(numbers.values()) == len(places)
    assert numbers["1"] == len({p.row for p in places})


@pytest.mark.parametrize("name", list(WALLS))
def test_anchors_stand_to_scale_along_the_wall(name: str) -> None:
    _, _, apart, _ = WALLS[name]
    for drawing in drawings(name):
        signs: dict[float, list[float]] = {}
        for text in drawing.texts:
            if text.size == 1.5 and text.masked:
                signs.setdefault(round(text.at[1], 1), []).append(text.at[0])
        for row in signs.values():
            row.sort()
            steps = [b - a for a, b in pairwise(row)]
            assert all(s == pytest.approx(apart * drawing.view.mm, abs=0.6) for s in steps)


def test_no_state_is_told_by_colour_alone() -> None:
    assert len({s.letter for s in SIGNS.values()}) == len(SIGNS)
    assert set(SIGNS) == set(State.__args__)  # type: ignore[attr-defined]
    loud = [s for s in SIGNS.values() if s.shape == "point"]
    assert {s.letter for s in loud} == {"N", "R"}


def test_the_legend_counts_every_state() -> None:
    places, _ = wall("usual")
    words = {t.words for t in drawings("usual")[0].texts}
    for state, count in Counter(p.state for p in places).items():
        assert f"{SIGNS[state].words}: {count}" in words
    out = sum(p.outlier for p in places)
    assert f"ring: stands out among those tested alike: {out}" in words


def test_outliers_are_ringed() -> None:
    places, face = wall("short")
    rings = [
        m for m in compose_states(places, face, UnitSystem.SI, title="x")[0].marks
        if isinstance(m, Ring) and m.layer == "ANCHOR-OUTLIER"
    ]  # fmt: skip
    assert len(rings) == sum(p.outlier for p in places) + 1
    assert all(r.radius >= RADIUS for r in rings)


def test_a_long_wall_goes_on_in_bands_and_drawings() -> None:
    made = drawings("long")
    assert len(made) > 1
    bands = [t.words for d in made for t in d.texts if t.words.startswith("band ")]
    assert bands == [f"band {k} of {len(bands)}" for k in range(1, len(bands) + 1)]
    for drawing in made:
        assert drawing.height <= 150.0


def test_a_wall_without_known_depth_has_no_subgrade() -> None:
    places, _ = wall("short")
    marks = compose_states(places, Face(), UnitSystem.SI, title="x")[0].marks
    assert not [m for m in marks if isinstance(m, Stroke) and m.layer == "CUT-SUBGRADE"]


def test_what_cannot_be_drawn_is_refused() -> None:
    with pytest.raises(DesignError, match="no anchor"):
        compose_states([], Face(), UnitSystem.SI, title="x")
    heap = [StatePlace(1, n, 1.0, 2.0, "planned") for n in range(200)]
    heap.append(StatePlace(1, 201, 3.0, 2.0, "planned"))
    with pytest.raises(NoRoomError):
        compose_states(heap, Face(), UnitSystem.SI, title="x")


def test_anchors_at_one_place_are_drawn_beside_each_other() -> None:
    places = [StatePlace(1, n, 5.0, 2.0, "accepted") for n in (1, 2)]
    places.append(StatePlace(1, 3, 9.0, 2.0, "accepted"))
    made = compose_states(places, Face(10.0, 6.0), UnitSystem.SI, title="x")[0]
    xs = sorted(t.at[0] for t in made.texts if t.masked)
    assert all(b - a >= 2 * RADIUS for a, b in pairwise(xs))


def test_the_picture_holds_its_letters_as_text() -> None:
    picture = svg(drawings("short")[0])
    assert ">A</text>" in picture
    assert "#c4dfc4" in picture
