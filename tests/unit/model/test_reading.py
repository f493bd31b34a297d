"""Reading: every fault at once, each in its place, with what was read and what is accepted."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from backstay.errors import Fault, ProjectError
from backstay.model import Project, read_project, read_text, starter
from backstay.model.document import compose
from backstay.quantity import UnitSystem

US = starter(UnitSystem.US)
SI = starter(UnitSystem.SI)


def faults(text: str) -> tuple[Fault, ...]:
    with pytest.raises(ProjectError) as caught:
        read_text(text)
    return caught.value.faults


def only(text: str) -> Fault:
    found = faults(text)
    assert len(found) == 1, [str(f) for f in found]
    return found[0]


def changed(old: str, new: str, text: str = US) -> str:
    assert old in text
    return text.replace(old, new, 1)


def test_fields_arrive_in_internal_units() -> None:
    project = read_text(US)
    section = project.sections[0]
    assert math.isclose(section.height, (164.0 - 137.8) * 0.3048)
    assert math.isclose(
        section.ground.strata[0].moist_unit_weight, 115 * 4.4482216152605e-3 / 0.3048**3
    )
    assert math.isclose(section.anchors[0].inclination, math.radians(15))
    assert project.project.number == "0000"


def test_a_name_is_kept_as_it_is_written() -> None:
    text = changed('number: "0000"', "number: 0417.50", US)
    assert read_text(text).project.number == "0417.50"


def test_a_file_and_its_text_read_alike(tmp_path: Path) -> None:
    file = tmp_path / "wall.yaml"
    file.write_bytes(b"\xef\xbb\xbf" + US.encode())
    assert read_project(file) == read_text(US)


def test_the_fault_says_where_what_and_what_else() -> None:
    fault = only(changed("elevation: 156.2 ", "elevation: 82 kg "))
    line = next(i for i, t in enumerate(US.splitlines(), 1) if "elevation: 156.2" in t)
    assert (fault.line, fault.column) == (line, 20)
    assert fault.path == "sections[0].anchors[0].elevation"
    assert str(fault) == (
        f"line {line}, column 20: sections[0].anchors[0].elevation: read '82 kg'; this is not a "
        'unit of length; accepted: a number in ft, or text with a unit, such as "12 ft"'
    )


@pytest.mark.parametrize(
    ("old", "new", "path", "said"),
    [
        ("life: temporary ", "life: temporry ", "service.life", 'did you mean "temporary"?'),
        ("units: US", "units: us", "units", 'did you mean "US"?'),
        ("backstay: 1 ", "backstay: 2 ", "backstay", "accepted: 1"),
        ("basis: FHWA-IF-99-015", "basis: FHWA", "basis", "FHWA-IF-99-015"),
        ("wall_length: 148.0", "wall_lenght: 148.0", "sections[0].wall_lenght", 'did you mean "wall_length"?'),
        ("kind: traffic", "kind: trafic", "sections[0].surcharges[0].kind", 'did you mean "traffic"?'),
        ("kind: soldier piles", "kind: piles", "sections[0].wall.kind", '"soldier piles" or "continuous"'),
        ("kind: circle", "kind: round", "sections[0].constraints.obstacles[0].kind", '"circle" or "polygon"'),
        ("every: 1", "every: 0", "sections[0].anchors[0].every", "at least 1"),
        ("every: 1", "every: 1.5", "sections[0].anchors[0].every", "a whole number from 1 to 10"),
        ("strands: auto", "strands: 90", "sections[0].anchors[0].tendon.strands", "at most 60"),
        ("toe: auto", "toe: autoo", "sections[0].wall.toe", 'did you mean "auto"?'),
        ("wall_length: 148.0", "wall_length: -1", "sections[0].wall_length", "greater than 0"),
        ("test_factor: 1.33", "test_factor: 1.1", "sections[0].anchors[0].test_factor", "at least 1.2"),
        ("top: 164.0 ", "top: .nan ", "sections[0].ground.top", "finite"),
        ("top: 164.0 ", "top: -.inf ", "sections[0].ground.top", "finite"),
        ("top: 164.0 ", "top: ", "sections[0].ground.top", "nothing stands here"),
        ("life: temporary ", "life: yes ", "service.life", '"temporary" or "permanent"'),
        ("name: A\n", "name: ''\n", "sections[0].name", "empty"),
        ("name: A\n", "name: true\n", "sections[0].name", "text is wanted"),
        ("      top: 164.0 ", "      top: 164.0\n      top: 164.0 ", "sections[0].ground.top", "given twice"),
        ("tendon:\n", "tendon: strand\n        note:\n", "sections[0].anchors[0].tendon", "a mapping is wanted"),
    ],
)  # fmt: skip
def test_one_fault_one_sentence(old: str, new: str, path: str, said: str) -> None:
    found = [f for f in faults(changed(old, new)) if f.path == path]
    assert len(found) == 1
    assert said in str(found[0])


def test_a_misspelt_kind_is_recognised() -> None:
    fault = only(changed("kind: soldier piles", "kynd: soldier piles"))
    assert fault.path == "sections[0].wall.kind"
    assert 'write "kind"' in fault.hint


def test_a_bound_says_the_unit_that_is_expected() -> None:
    fault = only(changed("wall_length: 148.0", "wall_length: -3"))
    assert "greater than 0" in fault.rule
    assert "ft" in fault.accepted


def test_a_missing_key_points_to_the_mapping_that_lacks_it() -> None:
    fault = only(changed("      subgrade: 137.8", "      # subgrade: 137.8"))
    line = next(i for i, t in enumerate(US.splitlines(), 1) if t.startswith("    cut:"))
    assert (fault.line, fault.path) == (line, "sections[0].cut.subgrade")
    assert "this is missing (elevation of the bottom of the cut)" in str(fault)


def test_an_unknown_key_lists_the_keys() -> None:
    fault = only(changed("spt_n: 19", "spt: 19"))
    assert fault.path == "sections[0].ground.strata[0].spt"
    assert "moist_unit_weight" in fault.accepted
    assert fault.hint == 'did you mean "spt_n"?'


@pytest.mark.parametrize("su", ["hard", "[1, 2]", "-3", "12 ft"])
def test_an_undrained_strength_has_one_message(su: str) -> None:
    fault = only(changed("cohesion: 0 ", f"undrained_strength: {su} "))
    assert fault.path == "sections[0].ground.strata[0].undrained_strength"


def test_an_undrained_strength_with_depth_is_read_or_refused_inside() -> None:
    clay = changed("kind: granular", "kind: stiff clay")
    good = changed("cohesion: 0 ", "undrained_strength: {at_top: 2 ksf, gradient: 10} ", clay)
    su = read_text(good).sections[0].ground.strata[0].undrained_strength
    assert math.isclose(su.at_top, 2000 * 4.4482216152605e-3 / 0.3048**2)  # type: ignore[union-attr]
    fault = only(changed("cohesion: 0 ", "undrained_strength: {at_top: 2000} ", clay))
    assert fault.path == "sections[0].ground.strata[0].undrained_strength.gradient"


def test_every_fault_is_reported_at_once_and_in_order() -> None:
    text = US
    for old, new in (
        ("life: temporary ", "life: brief "),
        ("moist_unit_weight: 115", "moist_unit_weight: 18"),
        ("subgrade: 137.8", "subgrade: 137.8 kg"),
        ("hole_diameter: 2.5", "hole_diameter: 0.5"),
        ("near: 46.0", "near: 146.0"),
    ):
        text = changed(old, new, text)
    found = faults(text)
    assert [f.path.rsplit(".", 1)[-1] for f in found] == [
        "life", "moist_unit_weight", "subgrade", "hole_diameter", "far",
    ]  # fmt: skip
    assert [f.line for f in found] == sorted(f.line for f in found)


@pytest.mark.parametrize(
    ("text", "line", "column", "said"),
    [
        ("a: b: c", 1, 5, "must stand in quotes"),
        ("a:\n\tb: 1", 2, 1, "not with tabs"),
        ("a: [1\nb: 2", 2, 2, "bracket or a comma"),
        ("a: 1\n---\nb: 2", 2, 1, "one document in a file"),
        ("a: 'x", 1, 6, "not closed"),
        ("- a", 1, 1, "not a project file"),
        ("", 0, 0, "the file is empty"),
        ("# nothing", 0, 0, "the file is empty"),
        ("a: *x", 1, 4, "stands for nothing"),
        ("a: &x [*x]", 1, 8, "refers to itself"),
        ("a: \x07", 1, 4, "control character"),
    ],
)
def test_the_form_of_the_file(text: str, line: int, column: int, said: str) -> None:
    fault = only(text)
    assert (fault.line, fault.column) == (line, column)
    assert said in str(fault)


def test_tags_are_refused() -> None:
    text = changed("name: A\n", "name: !!python/object:os.system A\n")
    assert "tags are not accepted" in only(text).rule


def test_aliases_repeat_a_value() -> None:
    text = changed("tendon:\n", "tendon: &t\n")
    text = changed("bond: {by", "tendon: *t\n        bond: {by", text)
    rows = read_text(text).sections[0].anchors
    assert rows[0].tendon == rows[1].tendon


def test_scalars_follow_the_core_schema() -> None:
    root, _ = compose("a: [1, -2, 1.5, .5, 1e3, true, ~, '1', yes, 0x1F, 2026-01-02, 010]", "")
    assert root.value["a"] == [
        1,
        -2,
        1.5,
        0.5,
        1000.0,
        True,
        None,
        "1",
        "yes",
        "0x1F",
        "2026-01-02",
        10,
    ]


def test_the_same_wall_reads_alike_in_both_unit_systems() -> None:
    """A starter is one design, written twice: sizes agree to what rounding of the inputs allows."""
    si, us = read_text(SI).sections[0], read_text(US).sections[0]
    assert math.isclose(si.height, us.height, rel_tol=0.01)
    for a, b in zip(si.anchors, us.anchors, strict=True):
        assert math.isclose(si.depth(a.elevation), us.depth(b.elevation), rel_tol=0.02)
    for a, b in zip(si.ground.strata, us.ground.strata, strict=True):
        assert math.isclose(a.moist_unit_weight, b.moist_unit_weight, rel_tol=0.01)
        assert a.friction_angle == b.friction_angle
    assert math.isclose(si.surcharges[0].pressure, us.surcharges[0].pressure, rel_tol=0.01)


def test_text_with_units_makes_the_same_project_in_the_other_system() -> None:
    own = US.replace("units: US", "units: SI")
    for old, unit in (("top: 164.0 ", "ft"),):
        own = own.replace(old, f"{old}{unit} ")
    with pytest.raises(ProjectError):  # the rest of the file is still in the other units
        read_text(own)
    assert isinstance(read_text(US.replace("top: 164.0 ", "top: 164.0 ft ")), Project)
