"""The picture and the diagrams beside it: one vertical scale, and places that lead there and back."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backstay.design import SectionDesign, design
from backstay.model.reading import read_text
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.workbench.section.picture import LARGEST, SMALLEST, Picture, draw, frame_for, pixels
from backstay.workbench.section.stages import diagrams, shown_states, stage_overlay

EXAMPLES = Path(__file__).parents[4] / "examples"
NAMES = sorted(path.stem for path in EXAMPLES.glob("*.yaml"))


@lru_cache(maxsize=8)
def drawn(name: str, width: float = 156.0) -> tuple[SectionDesign, Picture, UnitSystem]:
    project = read_text((EXAMPLES / f"{name}.yaml").read_text(), name)
    done = design(project, slip_surfaces="leave out").sections[0]
    return done, draw(done, frame_for(done, width, 110.0), project.units), project.units


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("width", [130.0, 156.0, 220.0])
def test_labels_find_their_places_at_every_size_of_screen(name: str, width: float) -> None:
    assert drawn(name, width)[1].lettered


@given(x=st.floats(-10, 60), z=st.floats(-10, 40))
def test_a_place_leads_to_the_model_and_back(x: float, z: float) -> None:
    picture = drawn("two-row-sand")[1]
    assert picture.model(picture.at(x, z)) == pytest.approx((x, z), abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_a_depth_lies_as_high_in_the_diagrams_as_in_the_section(name: str) -> None:
    """The readings carry the height of their depth; the toe is the last in the design envelope."""
    done, picture, units = drawn(name)
    for shown in shown_states(done, units):
        made = diagrams(done, shown, picture, 74.0, units)
        assert made.readings[0].y == pytest.approx(picture.at(0, 0)[1])
        foot = done.wall.toe if shown.stage is None else float(shown.stage.z[-1])
        assert made.readings[-1].y == pytest.approx(picture.at(0, foot)[1])


def test_readings_are_the_values_of_the_analysis() -> None:
    """At each depth that is read the moment is that between the nodes of the stage (numpy)."""
    done, picture, units = drawn("two-row-sand")
    shown = shown_states(done, units)[3]
    assert shown.stage is not None
    made = diagrams(done, shown, picture, 74.0, units)
    moment = QUANTITIES["moment"]
    for reading in made.readings[::7]:
        depth = picture.model((0.0, reading.y))[1]
        value = float(np.interp(depth, shown.stage.z, shown.stage.M))
        said = next(line for line in reading.lines if line.startswith("Moment"))
        number = float(re.findall(r"[-−]?\d+\.?\d*", said)[0].replace("−", "-"))
        assert number == pytest.approx(moment.shown(value, units), rel=2e-3, abs=0.01)


def test_every_reading_carries_units() -> None:
    for name in NAMES:
        done, picture, units = drawn(name)
        for shown in shown_states(done, units):
            for reading in diagrams(done, shown, picture, 74.0, units).readings:
                length = "ft" if units is UnitSystem.US else " m"
                assert length in reading.level
                for line in reading.lines:
                    assert "–" in line or re.search(r"(psf|kPa|kip|kN|in|mm|ft|m)\b", line), line


def test_a_stage_tones_what_is_not_dug_and_strikes_what_does_not_hold() -> None:
    done, picture, units = drawn("two-row-sand")
    states = shown_states(done, units)
    first, words = stage_overlay(done, states[1], picture, units)
    assert first.count("not-dug") == 1
    assert first.count("not-held") == 2
    assert list(words) == ["Row 1 not stressed", "Row 2 not stressed"]
    last, words = stage_overlay(done, states[-1], picture, units)
    assert "not-dug" not in last
    assert "not-held" not in last
    assert all("kip" in w for w in words)
    assert stage_overlay(done, states[0], picture, units) == ("", ())


@given(st.floats(300, 4000))
def test_letters_grow_with_the_screen_within_limits(width: float) -> None:
    assert SMALLEST <= pixels(width) <= LARGEST
    assert pixels(width) <= pixels(width + 50)


@pytest.mark.parametrize("name", NAMES)
def test_while_it_is_dragged_the_view_stands_still_and_levels_are_lettered(name: str) -> None:
    done, settled, units = drawn(name)
    moving = draw(done, settled.frame, units, lettering="levels")
    assert moving.at(3.0, 2.0) == settled.at(3.0, 2.0)
    words, whole = ({t.words for t in p.drawing.texts} for p in (moving, settled))
    assert words < whole
    assert {"Subgrade", "Row 1"} <= {w.split(",")[0] for w in words}


def test_elevations_stay_where_they_were_while_the_top_of_the_wall_is_dragged() -> None:
    done, before, units = drawn("two-row-sand")
    text = (EXAMPLES / "two-row-sand.yaml").read_text()
    raised = read_text(text.replace("top: 100.0", "top: 102.0"), "raised")
    after = design(raised, slip_surfaces="leave out").sections[0]
    assert after.section.ground.top > done.section.ground.top
    picture = draw(after, before.frame, units)
    for elevation in (done.section.cut.subgrade, done.section.anchors[0].elevation):
        places = [
            one.at(0.0, part.section.depth(elevation))
            for one, part in ((before, done), (picture, after))
        ]
        assert places[0] == pytest.approx(places[1])
    assert picture.at(0.0, 0.0)[1] < before.at(0.0, 0.0)[1]
