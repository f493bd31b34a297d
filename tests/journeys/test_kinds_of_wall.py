"""What a project may say, kind by kind, goes through the whole design and out of every door."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from math import cos, radians
from pathlib import Path
from typing import Any

import jsonschema
import openpyxl
import pytest

from backstay.checks import Check, Verdict
from backstay.design import Design, SectionDesign, design
from backstay.drawing import write_drawings
from backstay.drawing.export import elevation_svg, section_svg
from backstay.errors import DesignError
from backstay.model import read_text, starter
from backstay.model.document import compose
from backstay.quantity import UnitSystem
from backstay.report import write_report, write_workbook
from backstay.results import design_json, result_schema
from tests.robustness.test_odd_designs import shown

STARTER = compose(starter(UnitSystem.SI), "")[0].value
Tree = dict[str, Any]


def designed(change: Callable[[Tree], None] = lambda section: None, **top: Any) -> Design:
    """Design the starter with its section changed, and show it on the terminal and as JSON."""
    tree = copy.deepcopy(STARTER) | top
    change(tree["sections"][0])
    made = design(read_text(json.dumps(tree)))
    shown(made)
    for done in made.sections:
        for units in UnitSystem:
            assert section_svg(done, units).startswith("<svg")
            assert elevation_svg(done, units).startswith("<svg")
    return made


def only(made: Design) -> SectionDesign:
    (done,) = made.sections
    return done


def wall(**changes: Any) -> Callable[[Tree], None]:
    return lambda section: section["wall"].update(changes)


def rows(**changes: Any) -> Callable[[Tree], None]:
    def change(section: Tree) -> None:
        for row in section["anchors"]:
            row.update(changes)

    return change


def all_of(*changes: Callable[[Tree], None]) -> Callable[[Tree], None]:
    def change(section: Tree) -> None:
        for each in changes:
            each(section)

    return change


def continuous(section: Tree) -> None:
    section["wall"] = {
        "kind": "continuous", "name": "Sheets", "stiffness": 60_000, "section_modulus": 2600,
        "area": 200, "width": 0.45, "allowable_stress": 160, "weight": 1.5,
    }  # fmt: skip
    for row in section["anchors"]:
        row.pop("every", None)
        row["spacing"] = 2.5


def checks(done: SectionDesign, id: str) -> list[Check]:
    return [c for c in done.checks if c.id == id]


def failing(done: SectionDesign) -> set[str]:
    return {c.id for c in done.checks if c.verdict is Verdict.FAIL}


PLAIN = only(designed())


def test_a_surveyed_profile_is_carried_by_the_general_wedge() -> None:
    def change(section: Tree) -> None:
        section["ground"].pop("slope")
        section["ground"]["profile"] = [
            {"distance": 0, "elevation": 50.0}, {"distance": 3, "elevation": 50.5},
            {"distance": 8, "elevation": 53.0}, {"distance": 20, "elevation": 53.0},
        ]  # fmt: skip

    done = only(designed(change))
    assert done.pressures.envelope.kind == "total load"
    assert any("slopes" in reason for reason in done.pressures.reasons)
    assert done.pressures.envelope.total_load > 1.1 * PLAIN.pressures.envelope.total_load
    # the ground over the bond zone is measured to the surveyed surface
    deeper, level = checks(done, "anchor.overburden")[0], checks(PLAIN, "anchor.overburden")[0]
    assert deeper.demand > level.demand + 1.0


def test_perched_water_presses_where_it_stands_and_nowhere_else() -> None:
    level, base = 48.5, 47.0

    def change(section: Tree) -> None:
        section["ground"]["water"] = {"perched": [{"level": level, "base": base}]}

    done = only(designed(change))
    water = done.pressures.water
    assert water is not None
    assert water.resultant() == pytest.approx(0.5 * 9.81 * 1.5**2)
    assert water.at(50.0 - 47.01) == pytest.approx(9.81 * 1.49, rel=1e-3)
    assert water.at(50.0 - 46.9) == 0.0
    stresses = {round(p.depth, 3): p.pore for p in done.stresses if p.side == "retained"}
    assert max(stresses.values()) == pytest.approx(9.81 * 1.5)
    assert 1.5 in stresses
    assert "erched" in section_svg(done, UnitSystem.SI)
    assert done.surface.points != PLAIN.surface.points or "searched" in done.surface.method


def test_water_that_seeps_below_a_flooded_cut() -> None:
    water = {"retained": 47.0, "cut": 43.0, "flow": "seepage"}

    def change(section: Tree) -> None:
        continuous(section)
        section["wall"]["toe"] = 33.0
        section["ground"]["water"] = water

    done = only(designed(change))
    # 4 m of head over the path in the ground alone; behind the wall at subgrade (5 m under water)
    i = 4.0 / (2 * 17.0 - 3.0 - 8.0)
    assert done.pressures.water is not None
    assert done.pressures.water.at(8.0) == pytest.approx(9.81 * (5.0 * (1 - i) - 1.0))
    assert checks(done, "stability.piping")[0].verdict is Verdict.PASS
    still = only(designed(all_of(continuous, lambda s: s["ground"].update(water={"retained": 47.0, "cut": 43.0}))))  # fmt: skip
    assert still.pressures.water is not None
    assert still.pressures.water.at(8.0) == pytest.approx(9.81 * (5.0 - 1.0))
    assert not checks(still, "stability.piping")


def test_a_continuous_wall_says_everything_per_length() -> None:
    made = designed(continuous)
    done = only(made)
    assert not {id for id in failing(done) if id.startswith("wall.")}
    assert done.wall.lagging is None
    assert done.wall.head is not None
    assert any("Waler" in note for note in done.wall.head.notes)
    for units, moment, force in (
        (UnitSystem.SI, "kN·m/m", "kN/m"),
        (UnitSystem.US, "kip·ft/ft", "kip/ft"),
    ):
        data = json.loads(design_json(made, units))
        jsonschema.validate(data, result_schema())
        shown_wall = data["sections"][0]["wall"]
        assert shown_wall["spacing"] is None
        assert shown_wall["design_moment"]["unit"] == moment
        assert {shown_wall[k]["unit"] for k in ("design_shear", "axial")} == {force}
    # the same wall whatever the unit system it is shown in: 1 kip = 4.448 kN, 1 ft = 0.3048 m
    si, us = (json.loads(design_json(made, u))["sections"][0]["wall"] for u in UnitSystem)
    assert si["design_moment"]["value"] == pytest.approx(us["design_moment"]["value"] * 4.4482216)
    assert si["axial"]["value"] == pytest.approx(us["axial"]["value"] * 4.4482216 / 0.3048)


@pytest.mark.parametrize(
    ("changes", "form"),
    [
        ({"section": "UPN300", "gap": 180}, "UPN300"),
        ({"section": "auto", "family": ["UPN"], "gap": 180}, "UPN"),
        ({"section": "auto", "family": ["C", "MC"], "gap": 180, "steel": "A36"}, ("C", "MC")),
    ],
)
def test_channels_in_pairs_with_the_anchors_between(
    changes: Tree, form: str | tuple[str, ...]
) -> None:
    between = wall(arrangement="double", anchor_opening="between pair", **changes)
    done = only(designed(between))
    assert done.wall.section_name.startswith(form)
    assert not {id for id in failing(done) if id.startswith("wall.")}
    assert checks(done, "wall.head-opening")
    assert done.wall.head is not None
    assert done.wall.head.waler_modulus == 0.0
    steel = next(i for i in done.quantities.items if "piles" in i.name.lower() and "mass" in i.quantity)  # fmt: skip
    single = next(i for i in PLAIN.quantities.items if i.name == steel.name)
    assert steel.value > 0.0
    assert single.quantity == steel.quantity


def test_a_tight_pair_with_bars_fails_in_words() -> None:
    tight = wall(arrangement="double", anchor_opening="between pair", section="UPN300", gap=0)
    done = only(designed(all_of(tight, rows(tendon={"kind": "bar"}))))
    assert {"wall.pile-opening", "wall.head-opening"} <= failing(done)


def test_auto_takes_the_lightest_of_every_family_it_may() -> None:
    families = ["HP", "W", "C", "MC", "HEA", "HEB", "HEM", "UPN"]
    some = only(designed(wall(section="auto", family=["HEB"])))
    most = only(designed(wall(section="auto", family=families)))

    def mass(done: SectionDesign) -> float:
        return next(i.value for i in done.quantities.items if i.quantity == "mass")

    assert mass(most) / most.wall.toe <= mass(some) / some.wall.toe + 1e-9


def test_anchors_at_every_second_pile_carry_two() -> None:
    done = only(designed(rows(every=2)))
    for one, two in zip(PLAIN.anchors, done.anchors, strict=True):
        assert two.spacing == pytest.approx(2 * one.spacing)
        assert two.required_load == pytest.approx(2 * one.required_load)
    assert done.wall.head is not None
    assert done.wall.head.support == "waler"


@pytest.mark.parametrize("skew", [-30, 20])
def test_skewed_anchors_carry_more_for_the_same_push(skew: float) -> None:
    done = only(designed(rows(skew=skew)))
    for straight, skewed in zip(PLAIN.anchors, done.anchors, strict=True):
        assert skewed.required_load == pytest.approx(
            straight.required_load / cos(radians(skew)), rel=1e-9
        )
        across = skewed.required_load * cos(skewed.inclination) * cos(radians(skew))
        assert across == pytest.approx(
            done.loads.rows[skewed.row - 1].horizontal * skewed.spacing, rel=1e-9
        )


def test_a_given_design_load_is_kept_and_judged() -> None:
    small = only(designed(rows(design_load=100)))
    assert [a.design_load for a in small.anchors] == pytest.approx([100.0, 100.0])
    assert "anchor.design-load" in failing(small)
    large = only(designed(rows(design_load=600)))
    assert "anchor.design-load" not in failing(large)
    # what the anchors bring down is that of the load that they hold
    assert all(a.vertical > b.vertical for a, b in zip(large.anchors, small.anchors, strict=True))


def test_what_the_contractor_submits_is_checked_and_kept() -> None:
    short = only(designed(rows(unbonded_length=2, bond={
        "by": "contractor", "length": 3, "grouting": "gravity", "hole_diameter": 150})))  # fmt: skip
    assert [a.unbonded_length for a in short.anchors] == [2.0, 2.0]
    assert [a.bond_length for a in short.anchors] == [3.0, 3.0]
    assert {"anchor.unbonded-length", "anchor.bond-ground", "anchor.bond-length-least"} <= failing(short)  # fmt: skip
    required = only(designed(rows(bond={
        "by": "engineer", "grouting": "post-grouted", "hole_diameter": 150})))  # fmt: skip
    assert not any(a.bond_open for a in required.anchors)
    assert not {id for id in failing(required) if id.startswith("anchor.bond")}
    open_ = [c for c in PLAIN.checks if c.verdict is Verdict.SHOW]
    assert {c.id for c in open_} == {"anchor.bond-ground"}
    assert all("a bond zone that carries" in c.open_choice for c in open_)


@pytest.mark.parametrize(
    ("given", "aggressive", "wanted"),
    [("none", "unknown", "class I"), ("class II", "yes", "class I"), ("class I", "yes", "")],
)
def test_a_corrosion_class_below_what_is_required_fails(
    given: str, aggressive: str, wanted: str
) -> None:
    done = only(
        designed(
            rows(protection=given, ground_aggressive=aggressive),
            service={"life": "permanent", "failure": "serious"},
        )
    )
    assert done.anchors[0].protection == given
    assert ("anchor.protection" in failing(done)) == bool(wanted)
    assert all(wanted in c.remedy for c in checks(done, "anchor.protection"))


@pytest.mark.parametrize(
    ("constraints", "id"),
    [
        ({"headroom": 2.0, "headroom_needed": 2.5}, "anchor.headroom"),
        ({"right_of_way": 8}, "anchor.right-of-way"),
        ({"obstacles": [{"kind": "circle", "name": "Main", "diameter": 1.0, "clearance": 1.0,
                         "centre": {"distance": 6, "elevation": 46}}]}, "anchor.obstacle"),
        ({"obstacles": [{"kind": "polygon", "name": "Cellar", "points": [
            {"distance": 3, "elevation": 50}, {"distance": 3, "elevation": 44},
            {"distance": 12, "elevation": 44}, {"distance": 12, "elevation": 50}]}]}, "anchor.obstacle"),
    ],
    ids=["headroom", "right-of-way", "pipe", "cellar"],
)  # fmt: skip
def test_what_stands_in_the_way_fails_and_says_what_helps(constraints: Tree, id: str) -> None:
    done = only(designed(lambda section: section.update(constraints=constraints)))
    assert id in failing(done)
    assert all(c.remedy for c in checks(done, id) if c.verdict is Verdict.FAIL)


def test_an_earthquake_on_a_permanent_wall_is_a_diagram_of_its_own() -> None:
    done = only(
        designed(
            lambda section: section.update(earthquake={"kh": 0.15, "kv": 0}),
            service={"life": "permanent"},
        )
    )
    assert done.pressures.earthquake is not None
    assert done.pressures.earthquake.resultant() > 0.0


def test_a_channel_alone_and_an_overlapping_pair_are_refused_with_the_reason() -> None:
    with pytest.raises(DesignError, match="twists"):
        designed(wall(section="UPN300"))
    with pytest.raises(DesignError, match="overlap"):
        designed(wall(section="HEB300", arrangement="double", gap=0))


def test_two_sections_with_odd_names_go_into_one_set_of_files(tmp_path: Path) -> None:
    tree = copy.deepcopy(STARTER)
    second = copy.deepcopy(tree["sections"][0])
    second["name"] = 'B/../ "ü" $x?*[<>] #1: ' + "long " * 15
    continuous(second)
    tree["sections"].append(second)
    made = design(read_text(json.dumps(tree)))
    shown(made)
    data = json.loads(design_json(made, UnitSystem.SI))
    assert [s["name"] for s in data["sections"]] == ["A", second["name"].strip()]
    for path in write_drawings(made, tmp_path, UnitSystem.SI):
        assert path.parent == tmp_path
        assert path.name.isascii()
    assert len(list(tmp_path.iterdir())) == len(set(tmp_path.iterdir())) >= 12
    assert write_report(made, tmp_path / "c.pdf", UnitSystem.US).stat().st_size > 10_000
    book = openpyxl.load_workbook(write_workbook(made, tmp_path / "c.xlsx", UnitSystem.US))
    assert len(book.sheetnames) == len(set(book.sheetnames))
