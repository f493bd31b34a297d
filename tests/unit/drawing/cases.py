"""What is drawn in the tests: every example and some generated sections, as sheets and figures."""

from __future__ import annotations

from typing import Any

from backstay.design import design
from backstay.drawing.elevation import compose_elevation
from backstay.drawing.marks import Drawing
from backstay.drawing.section import compose_section
from backstay.drawing.sheet import figure, sheet
from backstay.model import read_project
from backstay.quantity import UnitSystem
from tests.unit.drawing.standin import EXAMPLES, crowded, example, project, stand_in

CASES: dict[str, dict[str, Any]] = {
    **{path.stem: example(path.name) for path in sorted(EXAMPLES.glob("*.yaml"))},
    "three rows close together": crowded(3, strata=2),
    "four rows, nine thin strata": crowded(4, strata=9),
    "eight rows": crowded(8, strata=4),
    "twenty rows, thirty strata": crowded(20, strata=30),
    "one row, sloping ground": crowded(1, strata=3, slope=15.0),
    "two rows, long wall": {
        **crowded(2, strata=2),
        "sections": [{**crowded(2, strata=2)["sections"][0], "wall_length": 400.0}],
    },
}


def compose_design(name: str, kind: str, form: str, units: UnitSystem) -> Drawing:
    """Draw the true design of an example."""
    read = read_project(EXAMPLES / name)
    done = design(read).sections[0]
    ground = sheet(units) if form == "sheet" else figure()
    build = compose_section if kind == "section" else compose_elevation
    return build(done, ground, units, read.project)


def compose(data: dict[str, Any], kind: str, form: str, units: UnitSystem) -> Drawing:
    read = project(data)
    done = stand_in(read.sections[0])
    ground = sheet(units) if form == "sheet" else figure()
    build = compose_section if kind == "section" else compose_elevation
    return build(done, ground, units, read.project)
