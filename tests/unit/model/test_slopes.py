"""A project that describes a slope without any wall."""

from __future__ import annotations

import pytest

from backstay.design import design
from backstay.errors import DesignError, ProjectError
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
    assert slope.pad.side == pytest.approx(1.5, abs=0.05)


def test_the_design_of_walls_does_not_leave_a_slope_out_in_silence() -> None:
    with pytest.raises(DesignError, match="slope"):
        design(read_text(slope_text(UnitSystem.SI)))


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
        ("effective_depth: 0.32", "effective_depth: 0.5", "slopes[0].pad.effective_depth", "outside"),
        ("plate: 0.3", "plate: 2", "slopes[0].pad.plate", "not smaller"),
        ("friction_angle: 28\n        cohesion: 5", "cohesion: 0", "slopes[0].strata[0]", "needs a strength"),
    ],
)  # fmt: skip
def test_what_a_slope_must_say(old: str, new: str, path: str, says: str) -> None:
    found = faults(old, new)
    assert any(p.startswith(path) and says in text for p, text in found), found
