"""A project that describes a slope without any wall."""

from __future__ import annotations

import pytest

from backstay.errors import ProjectError
from backstay.model import Project, read_text, starter
from backstay.quantity import UnitSystem


def slope_text(units: UnitSystem) -> str:
    """Return the starter with its slope in place of its walls."""
    head, _, rest = starter(units).partition("\nsections:")
    block = rest.partition("# slopes:")[2]
    lines = [line.removeprefix("# ") for line in block.splitlines()]
    return f"{head}\nslopes:\n" + "\n".join(lines) + "\n"


def faults(old: str, new: str) -> list[tuple[str, str]]:
    text = slope_text(UnitSystem.SI)
    assert old in text
    text = text.replace("# pore_pressures", "pore_pressures") if "pressure: [[" in old else text
    with pytest.raises(ProjectError) as caught:
        read_text(text.replace(old, new, 1))
    return [(f.path, str(f)) for f in caught.value.faults]


@pytest.mark.parametrize("units", list(UnitSystem))
def test_a_slope_needs_no_wall(units: UnitSystem) -> None:
    project = read_text(slope_text(units))
    assert isinstance(project, Project)
    assert project.sections == ()
    (slope,) = project.slopes
    assert slope.anchors.inclination == "best"
    assert slope.pad is not None
    assert slope.pad.side == pytest.approx(2.2, abs=0.05)
    assert slope.earthquake is not None
    assert slope.earthquake.target == 1.1


def test_a_project_describes_something() -> None:
    head, _, _ = starter(UnitSystem.SI).partition("\nsections:")
    for text in (head, head + "\nsections: []\n", head + "\nslopes: []\n"):
        with pytest.raises(
            ProjectError, match=r"at least one entry of sections \(walls\), or of slopes"
        ):
            read_text(text + "\n")


@pytest.mark.parametrize(
    ("old", "new", "path", "says"),
    [
        ("{x: 15, elevation: 20}", "{x: -5, elevation: 20}", "slopes[0].profile[2].x", "left to right"),
        ("        top: 4 ", "        description: x ", "slopes[0].strata[1]", "needs its top"),
        ("      radius: 19.3", "      points: []", "slopes[0].slip_surface", "not given in one way"),
        ("spacing_greatest: 4", "spacing_greatest: 1", "slopes[0].anchors.spacing_greatest", "less than"),
        ("{x: 11, elevation: 17.3}", "{x: 90, elevation: 17.3}", "slopes[0].anchors.heads[0].x", "beyond"),
        ("effective_depth: 0.42", "effective_depth: 0.5", "slopes[0].pad.effective_depth", "outside"),
        ("plate: 0.35", "plate: 2.2", "slopes[0].pad.plate", "not smaller"),
        ("friction_angle: 28\n        cohesion: 5", "cohesion: 0", "slopes[0].strata[0]", "needs a strength"),
        ("elevation: 17.3", "elevation: 19.3", "slopes[0].anchors.heads[0].elevation", "above the surveyed ground"),
        ("{x: 6, elevation: 14}", "{x: 12, elevation: 18}", "slopes[0].anchors.heads[1].elevation", "top down"),
        ("to_x: 27", "to_x: 17", "slopes[0].surcharges[0].to_x", "ends to the right"),
        ("from_x: 20, to_x: 27", "from_x: 80, to_x: 90", "slopes[0].surcharges[0].from_x", "beyond the surveyed"),
        ("greatest_load: 400", "greatest_load: 400000", "slopes[0].anchors.greatest_load", "does not occur"),
        ("inclination: best ", "inclination: 75 ", "slopes[0].anchors.inclination", "too steep"),
        ("hole_diameter: 150", "hole_diameter: 1500", "slopes[0].anchors.bond.hole_diameter", "does not occur"),
        ("product: auto", "product: gold", "slopes[0].anchors.tendon.product", "in the tables"),
        ("moist_unit_weight: 18", "moist_unit_weight: 115", "slopes[0].strata[0].moist_unit_weight", "weighs"),
        ("friction_angle: 28", "friction_angle: 58", "slopes[0].strata[0].friction_angle", "angle of friction"),
        ("# tension_crack: {depth: 1.0", "tension_crack: {depth: 11.0", "slopes[0].tension_crack.depth", "deeper"),
        ("# design_water: [{x: -15, elevation: 9}, ", "design_water: [", "slopes[0].design_water", "no line"),
        ("pressure: [[90, 120], [0, 0]]}", "pressure: [[90, 120]]}", "slopes[0].pore_pressures", "at least 2"),
        ("# piles: [{name: Dowels, x: 8, top: 14", "piles: [{name: Dowels, x: 8, top: 2", "slopes[0].piles[0].bottom", "below its top"),
        ("# anisotropy", "anisotropy", "slopes[0].strata[0].anisotropy", "missing"),
        ("      - name: Sound rock", "      - name: Residual clay", "slopes[0].strata[1].name", "called"),
        ("target: 1.1}", "target: 0.9}", "slopes[0].earthquake.target", "at least 1"),
        ("seat: square to the anchor", "seat: square", "slopes[0].pad.seat", "not one of the choices"),
    ],
)  # fmt: skip
def test_what_a_slope_must_say(old: str, new: str, path: str, says: str) -> None:
    found = faults(old, new)
    assert any(p.startswith(path) and says in text for p, text in found), found


WALER = """    waler:
      kind: {kind}
      width: 0.9
{rest}"""
CONCRETE = """      thickness: 0.6
      effective_depth: 0.52
      concrete: 30
      reinforcement: 2000
      links: 10
      yield_stress: 420
"""


def with_waler(kind: str, rest: str, *, pad: bool = False) -> str:
    """Return the slope with a beam, instead of its pads or beside them."""
    text = slope_text(UnitSystem.SI)
    head, _, tail = text.partition("    pad:")
    _, quake, end = tail.partition("    earthquake:")
    block = WALER.format(kind=kind, rest=rest)
    return (
        head + ("    pad:" + tail.partition("    # waler")[0] if pad else "") + block + quake + end
    )


def test_beams_of_either_kind_are_read() -> None:
    waler = read_text(with_waler("concrete", CONCRETE)).slopes[0].waler
    assert waler is not None
    assert waler.reinforcement == pytest.approx(2000e-6)  # type: ignore[union-attr]
    steel = "      section: HEB200\n      steel: S355\n"
    assert read_text(with_waler("steel", steel)).slopes[0].waler.section == "HEB200"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("kind", "rest", "pad", "path", "says"),
    [
        ("concrete", CONCRETE, True, "slopes[0].waler", "not on both"),
        ("concrete", CONCRETE.replace("0.52", "0.7"), False, "slopes[0].waler.effective_depth", "outside"),
        ("steel", "      section: HEB9\n      steel: S355\n", False, "slopes[0].waler.section", "in the tables"),
        ("steel", "      section: HEB200\n      steel: S9\n", False, "slopes[0].waler.steel", "in the tables"),
        ("steel", "      section: UPN200\n      steel: S355\n      arrangement: single\n", False,
         "slopes[0].waler.arrangement", "twists"),
        ("wood", "", False, "slopes[0].waler.kind", "not one of the kinds"),
    ],
)  # fmt: skip
def test_what_a_beam_must_say(kind: str, rest: str, pad: bool, path: str, says: str) -> None:
    with pytest.raises(ProjectError) as caught:
        read_text(with_waler(kind, rest, pad=pad))
    found = [(f.path, str(f)) for f in caught.value.faults]
    assert any(p.startswith(path) and says in text for p, text in found), found


def test_every_fault_of_a_slope_shows_at_once() -> None:
    """A fault of one field does not hide the broken rules of another slope, or of the service."""
    text = slope_text(UnitSystem.SI)
    head, _, block = text.partition("slopes:\n")
    twin = block.replace("name: Cutting north", "name: Cutting south")
    faulty = block.replace("target: 1.3\n", "target: high\n", 1)
    broken = twin.replace("spacing_greatest: 4", "spacing_greatest: 1")
    with pytest.raises(ProjectError) as caught:
        read_text(head + "slopes:\n" + faulty + broken)
    paths = [f.path for f in caught.value.faults]
    assert paths == ["slopes[0].target", "slopes[1].anchors.spacing_greatest"]
    assert all(f.line > 0 for f in caught.value.faults)
