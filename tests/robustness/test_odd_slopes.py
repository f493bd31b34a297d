"""Whatever a slope says, reading it gives a project or faults, and a sound one a design or a reason."""

from __future__ import annotations

import copy
import json
import math
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from backstay.checks import expand
from backstay.design import design
from backstay.errors import DesignError, ProjectError
from backstay.model import read_text
from backstay.model.document import compose
from backstay.quantity import UnitSystem
from backstay.results import design_json
from tests.robustness.test_malformed_projects import ODD, outcome, places
from tests.unit.model.test_slopes import slope_text
from tests.unit.slopes import CONCRETE, LOADS, PILES, STEEL

TREE = compose(slope_text(UnitSystem.SI), "")[0].value
SLOPE = ("slopes", 0)
PLACES = [p for p in places(TREE) if p[:1] == ("slopes",)]
calm = settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow], database=None,
    derandomize=True,
)  # fmt: skip


@st.composite
def mutated(draw: st.DrawFn) -> str:
    tree = copy.deepcopy(TREE)
    for path in draw(st.lists(st.sampled_from(PLACES), min_size=1, max_size=3)):
        holder: Any = tree
        try:
            for piece in path[:-1]:
                holder = holder[piece]
            if draw(st.booleans()):
                holder[path[-1]] = draw(ODD)
            else:
                del holder[path[-1]]
        except (KeyError, IndexError, TypeError):
            continue
    return json.dumps(tree).replace("Infinity", ".inf").replace("NaN", ".nan")


@calm
@given(mutated())
def test_mutated_slopes_are_projects_or_faults(text: str) -> None:
    found = outcome(text)
    if isinstance(found, ProjectError):
        paths = [f.path for f in found.faults]
        assert all(p.startswith("slopes") or p == "sections" for p in paths), paths
        assert len(found.faults) == len({(f.path, f.rule) for f in found.faults})


def some(*values: Any) -> st.SearchStrategy[Any]:
    return st.sampled_from(values)


CHANGES: dict[tuple[Any, ...], st.SearchStrategy[Any]] = {
    ("service",): some({"life": "permanent", "failure": "serious"}, {"life": "temporary", "months": 3}),
    (*SLOPE, "strata", 0, "friction_angle"): st.floats(0, 50),
    (*SLOPE, "strata", 0, "cohesion"): st.floats(0, 200),
    (*SLOPE, "strata", 0, "undrained_strength"): st.one_of(
        st.floats(1, 300), some({"at_top": 0, "gradient": 3}, {"at_top": 50, "gradient": -2})
    ),
    (*SLOPE, "strata", 0, "pore_pressure_ratio"): st.floats(0.01, 0.9),
    (*SLOPE, "strata", 1, "top"): st.floats(-20, 21),
    (*SLOPE, "strata", 1, "slides"): some("yes", "no"),
    (*SLOPE, "water"): some(
        [], [{"x": -15, "elevation": 30}, {"x": 50, "elevation": 30}],
        [{"x": 0, "elevation": -50}, {"x": 1, "elevation": -50}],
    ),
    (*SLOPE, "design_water"): some([{"x": -15, "elevation": 12}, {"x": 50, "elevation": 19}]),
    (*SLOPE, "water_flow"): some("along the water line"),
    (*SLOPE, "surcharges"): some([], LOADS[1:2], [{**LOADS[2], "pressure": 900}]),
    (*SLOPE, "piles"): some([{**PILES[0], "x": 8, "top": 14, "bottom": 3, "capacity": 5000}]),
    (*SLOPE, "tension_crack"): some({"depth": 9, "water": 1}, {"depth": 0.01}),
    (*SLOPE, "slides_to"): some("left", "right"),
    (*SLOPE, "slip_surface"): some(
        {"points": [{"x": -2, "elevation": 10}, {"x": 20, "elevation": 20}]},
        {"points": [{"x": 100, "elevation": 10}, {"x": 120, "elevation": 20}]},
        {"centre": {"x": 6, "elevation": 18}, "radius": 1}, {"centre": {"x": 6, "elevation": 200}, "radius": 185},
    ),
    (*SLOPE, "movement", "safety"): st.floats(0.8, 3),
    (*SLOPE, "movement", "uncertainty"): st.floats(0, 0.5),
    (*SLOPE, "movement", "water_change"): st.floats(0, 20),
    (*SLOPE, "movement", "slip_cohesion"): st.floats(0, 60),
    (*SLOPE, "method"): some("morgenstern-price"),
    (*SLOPE, "target"): st.floats(1, 3),
    (*SLOPE, "run"): st.floats(0.1, 5000),
    (*SLOPE, "anchors", "inclination"): st.floats(0, 60),
    (*SLOPE, "anchors", "greatest_load"): st.floats(10, 9000),
    (*SLOPE, "anchors", "spacing"): st.floats(0.1, 50),
    (*SLOPE, "anchors", "spacing_step"): st.floats(0.01, 9),
    (*SLOPE, "anchors", "transfer"): st.floats(0.1, 5000),
    (*SLOPE, "anchors", "counts"): some("passive"),
    (*SLOPE, "anchors", "tendon"): some({"kind": "bar"}, {"kind": "strand", "strands": 1}),
    (*SLOPE, "anchors", "bond"): some({"by": "contractor"}, {"grouting": "open"}, {"length": 3}),
    (*SLOPE, "anchors", "unbonded_length"): st.floats(1, 60),
    (*SLOPE, "anchors", "design_load"): st.floats(10, 9000),
    (*SLOPE, "anchors", "heads"): some(
        [{"x": 14.9, "elevation": 19.9}], [{"x": 0.1, "elevation": 10.1}],
        [{"x": 40, "elevation": 20}, {"x": 7, "elevation": 14.7}],
    ),
    (*SLOPE, "pad"): some(None, {**TREE["slopes"][0]["pad"], "seat": "on the face", "side": 0.4, "plate": 0.3}),
    (*SLOPE, "waler"): some(CONCRETE, STEEL, {**STEEL, "arrangement": "single", "end": 0}),
    (*SLOPE, "earthquake"): some(None, {"kh": 0.9}, {"kh": 0.3, "kv": 0.5, "target": 2}),
}  # fmt: skip


@st.composite
def odd_slopes(draw: st.DrawFn) -> dict[str, Any]:
    tree = copy.deepcopy(TREE)
    paths = draw(st.lists(st.sampled_from(list(CHANGES)), min_size=1, max_size=5, unique=True))
    for path in paths:
        holder: Any = tree
        for piece in path[:-1]:
            holder = holder[piece]
        value = draw(CHANGES[path])
        if value is None:
            holder.pop(path[-1], None)
        else:
            holder[path[-1]] = value
    if "waler" in tree["slopes"][0]:
        tree["slopes"][0].pop("pad", None)
    return tree


@calm
@given(odd_slopes())
def test_an_odd_slope_gives_a_design_or_a_reason(tree: dict[str, Any]) -> None:
    try:
        project = read_text(json.dumps(tree, default=str))
    except ProjectError:
        return
    done, refusal = None, None
    try:
        done = design(project, slip_surfaces="leave out")
    except DesignError as error:
        refusal = error
    if done is None:
        assert refusal is not None
        assert refusal.where.startswith("slope Cutting north"), refusal
        for system in UnitSystem:
            assert "{" not in expand(refusal.reason, system)
        return
    for _, check in done.checks:
        assert not math.isnan(check.utilisation)
    for system in UnitSystem:
        json.loads(design_json(done, system))
