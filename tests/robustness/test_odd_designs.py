"""A sound project, however odd, gives a design or a reason why there is none, and can be shown."""

from __future__ import annotations

import copy
import io
import json
import sys
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from backstay.design import Design, design
from backstay.errors import DesignError, ProjectError
from backstay.model import read_text, starter
from backstay.model.document import compose
from backstay.quantity import UnitSystem

TREE = compose(starter(UnitSystem.SI), "")[0].value
SECTION = ("sections", 0)
STRATUM = (*SECTION, "ground", "strata")
WALL = (*SECTION, "wall")

numbers = st.floats(allow_nan=False, allow_infinity=False, width=32)


def some(*values: Any) -> st.SearchStrategy[Any]:
    return st.sampled_from(values)


CLAY = st.fixed_dictionaries(
    {"kind": some("stiff clay", "soft clay"), "undrained_strength": st.one_of(
        st.floats(1, 900), st.fixed_dictionaries({"at_top": st.floats(0, 200), "gradient": st.floats(-2, 10)}))},
    optional={"friction_angle": st.floats(0, 40), "cohesion": st.floats(0, 100)},
)  # fmt: skip
CHANGES: dict[tuple[Any, ...], st.SearchStrategy[Any]] = {
    ("service",): some({"life": "permanent", "failure": "serious"}, {"life": "temporary", "months": 3}),
    (*SECTION, "ground", "slope"): st.floats(-30, 32),
    (*STRATUM, 0, "friction_angle"): st.floats(15, 50),
    (*STRATUM, 1, "friction_angle"): st.floats(15, 50),
    (*STRATUM, 0, "cohesion"): st.floats(0, 200),
    (*STRATUM, 0, "wall_friction_ratio"): st.floats(0, 1),
    (*STRATUM, 1, "top"): st.floats(30, 49.9),
    (*STRATUM, 0, "clay"): CLAY,
    (*STRATUM, 1, "clay"): CLAY,
    (*SECTION, "ground", "water"): st.fixed_dictionaries(
        {"retained": st.floats(30, 50)}, optional={"cut": st.floats(25, 45)}
    ),
    (*SECTION, "surcharges"): some(
        [], [{"kind": "line", "name": "a", "load": 300, "distance": 0.1}],
        [{"kind": "point", "name": "a", "load": 3000, "distance": 1, "elevation": 47}],
        [{"kind": "strip", "name": "a", "pressure": 500, "distance": 0, "width": 0.01}],
        [{"kind": "footing", "name": "a", "pressure": 300, "distance": 2, "width": 3, "length": 40, "elevation": 46}],
        [{"kind": "uniform", "name": "a", "pressure": 900}],
    ),
    (*SECTION, "cut", "subgrade"): st.floats(20, 43.9),
    (*SECTION, "cut", "over_excavation"): st.floats(0, 2.5),
    (*WALL, "section"): some("auto", "HEB200", "HP14x117", "W21x44", "UPN300", "MC18x58"),
    (*WALL, "arrangement"): some("single", "double"),
    (*WALL, "anchor_opening"): some("between pair", "cut through", "bracket"),
    (*WALL, "spacing"): st.floats(1, 6),
    (*WALL, "hole_diameter"): st.floats(0.3, 1.5),
    (*WALL, "hole_filling"): some("lean mix", "structural concrete"),
    (*WALL, "toe"): st.floats(20, 41.9),
    (*WALL, "lagging"): some(
        {"material": "shotcrete"}, {"material": "concrete", "thickness": 200}, {"thickness": 50}
    ),
    (*SECTION, "anchors"): some([TREE["sections"][0]["anchors"][0]]),
    (*SECTION, "anchors", 0, "elevation"): st.floats(44.7, 49.9),
    (*SECTION, "anchors", 0, "inclination"): st.floats(0, 60),
    (*SECTION, "anchors", 0, "skew"): st.floats(-45, 45),
    (*SECTION, "anchors", 0, "every"): st.integers(1, 5),
    (*SECTION, "anchors", 0, "unbonded_length"): st.floats(1, 40),
    (*SECTION, "anchors", 0, "design_load"): st.floats(10, 5000),
    (*SECTION, "anchors", 0, "lock_off"): st.floats(0.01, 1.2),
    (*SECTION, "anchors", 0, "tendon"): some(
        {"kind": "bar"}, {"kind": "strand", "strands": 1}, {"kind": "strand", "strands": 40}
    ),
    (*SECTION, "anchors", 0, "bond"): st.fixed_dictionaries(
        {"by": some("contractor", "engineer")},
        optional={"length": st.floats(1, 40), "hole_diameter": st.floats(60, 500),
                  "grouting": some("gravity", "low pressure", "high pressure", "post-grouted")},
    ),
    (*SECTION, "constraints", "right_of_way"): st.floats(2, 50),
    (*SECTION, "earthquake"): st.fixed_dictionaries({"kh": st.floats(0, 0.9), "kv": st.floats(-0.5, 0.5)}),
    (*SECTION, "pressure"): some(
        {"envelope": "sand"}, {"envelope": "stiff clay"}, {"envelope": "soft clay"}, {"envelope": "total load"}
    ),
    (*SECTION, "wall "): some({
        "kind": "continuous", "name": "Sheets", "stiffness": 40000, "section_modulus": 1600, "width": 0.4,
        "allowable_stress": 160, "weight": 1.2,
    }),
}  # fmt: skip


@st.composite
def odd(draw: st.DrawFn) -> dict[str, Any]:
    tree = copy.deepcopy(TREE)
    for path in draw(st.lists(st.sampled_from(list(CHANGES)), min_size=1, max_size=6, unique=True)):
        value, holder = draw(CHANGES[path]), tree
        for piece in path[:-1]:
            holder = holder[piece]
        if path[-1] == "clay":
            holder.pop("friction_angle", None)
            holder.pop("density", None)
            holder |= value
        elif path[-1] == "wall ":
            holder["wall"] = value
            for row in holder["anchors"]:
                row.pop("every", None)
                row["spacing"] = 2.5
        elif isinstance(holder, list) and path[-1] >= len(holder):
            continue
        else:
            holder[path[-1]] = value
    return tree


def shown(done: Design) -> None:
    """Print and export a design in both unit systems; nothing of it may fail."""
    from backstay.results import design_json
    from backstay.terminal import print_derivation, print_page

    kept, sys.stdout = sys.stdout, io.StringIO()
    try:
        for units in UnitSystem:
            print_page(done, units)
        print_derivation(done.checks, UnitSystem.US)
        json.loads(design_json(done, UnitSystem.SI))
        text = sys.stdout.getvalue()
    finally:
        sys.stdout = kept
    assert "nan" not in text.replace("alignment", "").split()
    assert "{length:" not in text


@settings(
    max_examples=30, deadline=None, database=None, suppress_health_check=list(HealthCheck)
)  # fmt: skip
@given(odd())
def test_an_odd_project_is_designed_or_refused_with_a_reason(tree: dict[str, Any]) -> None:
    try:
        project = read_text(json.dumps(tree))
    except ProjectError:
        return
    try:
        done = design(project)
    except DesignError as error:
        reason = error.reason
    else:
        shown(done)
        return
    assert reason
