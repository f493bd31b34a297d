"""Fields of the things of a project: each shows what the file says, and typing it again changes nothing."""

from __future__ import annotations

from contextlib import suppress
from functools import lru_cache
from pathlib import Path

import pytest

from backstay.errors import ProjectError
from backstay.model.changes import Remove, Set, changed
from backstay.model.project import Project, Section
from backstay.model.reading import read_text
from backstay.model.slope import Slope
from backstay.quantity import UnitSystem
from backstay.workbench.section.additions import additions
from backstay.workbench.section.fields import Field, fields_of
from backstay.workbench.section.spelling import Spelling
from backstay.workbench.section.things import Thing, in_words, nearest, things_of

EXAMPLES = Path(__file__).parents[4] / "examples"
FILES = sorted(
    str(p.relative_to(EXAMPLES)) for p in (*EXAMPLES.glob("*.yaml"), *EXAMPLES.glob("slopes/*.yaml"))
)  # fmt: skip
TWO = "two-row-sand.yaml"


@lru_cache(maxsize=8)
def opened(file: str) -> tuple[str, Project]:
    text = (EXAMPLES / file).read_text()
    return text, read_text(text, file)


def part_of(project: Project) -> tuple[Section | Slope, tuple[str, int]]:
    if project.sections:
        return project.sections[0], ("sections", 0)
    return project.slopes[0], ("slopes", 0)


def things(file: str) -> tuple[Thing, ...]:
    return things_of(*part_of(opened(file)[1]))


def field(file: str, thing: str, label: str, group: str = "") -> Field:
    found = next(t for t in things(file) if t.name.startswith(thing))
    spelling = Spelling(opened(file)[1].units, opened(file)[1].units)
    return next(f for f in fields_of(found, spelling) if (f.group, f.label) == (group, label))


@pytest.mark.parametrize("file", FILES)
@pytest.mark.parametrize("shown", UnitSystem)
def test_typing_what_is_shown_changes_nothing(file: str, shown: UnitSystem) -> None:
    spelling = Spelling(shown, opened(file)[1].units)
    count = 0
    for thing in things(file):
        for one in fields_of(thing, spelling):
            assert one.change(one.value, spelling) == [], one.key
            count += 1
    assert count > 40


@pytest.mark.parametrize("file", FILES)
def test_every_given_field_is_written_back_as_the_same_project(file: str) -> None:
    """Typed anew, each value goes through the file and means what it meant."""
    text, project = opened(file)
    spelling = Spelling(project.units, project.units)
    for thing in things(file):
        for one in fields_of(thing, spelling):
            if not one.given or one.kind.quantity is None:
                continue
            value = spelling.typed(one.kind.quantity, one.value)
            again = read_text(changed(text, [Set(one.path, value)]), file)
            after = nearest(things_of(*part_of(again)), thing.path)
            assert after is not None
            shown_again = next(f for f in fields_of(after, spelling) if f.key == one.key)
            assert shown_again.value == one.value, one.key


@pytest.mark.parametrize("file", FILES)
def test_every_field_that_may_be_left_out_can_be(file: str) -> None:
    """Taking a value out leads to a project, or to a fault that is told: never to anything else."""
    text, project = opened(file)
    spelling = Spelling(project.units, project.units)
    for thing in things(file):
        for one in fields_of(thing, spelling):
            change = one.change("", spelling)
            if isinstance(change, str):
                assert one.required
                continue
            with suppress(ProjectError):
                read_text(changed(text, change), file)


def test_a_value_in_a_mapping_that_is_not_there_makes_the_mapping() -> None:
    spelling = Spelling(UnitSystem.US, UnitSystem.US)
    level = field(TWO, "Water", "Retained")
    assert level.change("84", spelling) == [
        Set(("sections", 0, "ground", "water"), {"retained": 84})
    ]
    bond = field(TWO, "Stratum 2", "Transfer", "Bond")
    (change,) = bond.change("10 kip/ft", spelling)
    text = changed(opened(TWO)[0], [change])  # type: ignore[list-item]
    assert read_text(text, TWO).sections[0].ground.strata[1].bond is not None
    lagging = field(TWO, "Wall", "Thickness", "Lagging")
    assert lagging.change("5 in", spelling) == [
        Set(("sections", 0, "wall", "lagging", "thickness"), "5 in")
    ]


def test_what_must_be_given_is_not_taken_out() -> None:
    spelling = Spelling(UnitSystem.US, UnitSystem.US)
    assert field(TWO, "Cut", "Subgrade").change("", spelling) == "Subgrade needs a value."
    removed = field(TWO, "Row 1", "Design load").change("", spelling)
    assert removed == [Remove(("sections", 0, "anchors", 0, "design_load"))]


def test_points_are_typed_line_by_line() -> None:
    spelling = Spelling(UnitSystem.US, UnitSystem.US)
    profile = field(TWO, "Ground surface", "Profile")
    (change,) = profile.change("0, 100\n30, 31 m\n", spelling)
    assert change == Set(
        ("sections", 0, "ground", "profile"),
        [{"distance": 0, "elevation": 100}, {"distance": 30, "elevation": "31 m"}],
    )
    assert "Line 2" in profile.change("0, 100\n30", spelling)


def test_places_of_the_file_are_named_as_on_screen() -> None:
    said = in_words("sections[0].anchors[1].elevation: '80': rows are listed", things(TWO))
    assert said == "Row 2, elevation: '80': rows are listed"


@pytest.mark.parametrize("file", [f for f in FILES if "/" not in f])
@pytest.mark.parametrize("shown", UnitSystem)
def test_everything_that_can_be_added_makes_a_project(file: str, shown: UnitSystem) -> None:
    """A start to be changed must at least be one: each addition leads to a project that is sound."""
    text, project = opened(file)
    section = project.sections[0]
    spelling = Spelling(shown, project.units)
    offered = additions(section, ("sections", 0), text, spelling)
    assert len(offered) >= 11
    for addition in offered:
        again = read_text(changed(text, addition.changes()), file)
        found = nearest(things_of(again.sections[0], ("sections", 0)), addition.thing)
        assert found is not None, addition.key
        assert found.path == addition.thing, addition.key
