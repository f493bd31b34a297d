"""Changing a project file: one value changes, and comments, order and layout stay."""

from __future__ import annotations

import difflib
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backstay.errors import ProjectError
from backstay.model import read_text, set_value, starter, write_project
from backstay.quantity import UnitSystem

SI = starter(UnitSystem.SI)
ROW = ("sections", 0, "anchors", 1)


def changed_lines(old: str, new: str) -> list[str]:
    lines = difflib.ndiff(old.splitlines(), new.splitlines())
    return [line for line in lines if line[0] in "+-"]


def test_one_value_changes_one_line_and_keeps_its_comment() -> None:
    text = set_value(SI, ("sections", 0, "ground", "top"), 50.25)
    assert changed_lines(SI, text) == [
        "-       top: 50.00                  # m, elevation of the ground at the wall: the top of wall",
        "+       top: 50.25                  # m, elevation of the ground at the wall: the top of wall",
    ]


def test_a_value_in_a_flow_mapping() -> None:
    text = set_value(SI, (*ROW, "bond", "hole_diameter"), "6 in")
    row = read_text(text).sections[0].anchors[1]
    assert math.isclose(row.bond.hole_diameter or 0.0, 0.1524)
    assert len(changed_lines(SI, text)) == 2


def test_a_new_key_keeps_every_comment() -> None:
    text = set_value(SI, (*ROW, "skew"), 5)
    assert math.isclose(read_text(text).sections[0].anchors[1].skew, math.radians(5))
    comments = [line.split("#", 1)[1].strip() for line in SI.splitlines() if "#" in line]
    kept = [line.split("#", 1)[1].strip() for line in text.splitlines() if "#" in line]
    assert kept == comments


def test_a_mapping_replaces_a_value() -> None:
    strength = {"at_top": 90, "gradient": 2}
    text = set_value(SI, ("sections", 0, "ground", "strata", 0, "kind"), "stiff clay")
    text = set_value(text, ("sections", 0, "ground", "strata", 0, "undrained_strength"), strength)
    assert read_text(text).sections[0].ground.strata[0].undrained_strength is not None


@settings(max_examples=100, deadline=None, database=None)
@given(
    st.text(
        st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"]),
        min_size=1, max_size=40,
    ).map(str.strip).filter(bool)
)  # fmt: skip
def test_any_text_comes_back_as_it_was(name: str) -> None:
    """Quoting is right whatever the text: what was set is what is read."""
    text = set_value(SI, ("sections", 0, "name"), name)
    assert read_text(text).sections[0].name == name


@pytest.mark.parametrize(
    "path",
    [(), ("sections", 7, "name"), ("sections", 0, "name", "x"), ("a", "b"), ("sections", "x")],
)
def test_no_such_place(path: tuple[str | int, ...]) -> None:
    with pytest.raises(ProjectError, match="no such place"):
        set_value(SI, path, 1)


def test_a_file_is_written_whole_and_sound(tmp_path: Path) -> None:
    file = tmp_path / "wall.yaml"
    file.write_text(SI)
    project = write_project(file, {(*ROW, "elevation"): 44.0, ("service", "months"): 12})
    assert project.sections[0].anchors[1].elevation == 44.0
    assert read_text(file.read_text()) == project
    before = file.read_bytes()
    with pytest.raises(ProjectError, match="cannot be installed"):
        write_project(file, {(*ROW, "elevation"): 12.0})
    assert file.read_bytes() == before
