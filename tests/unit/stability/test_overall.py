"""Overall stability: stages, what an anchor lacks on a surface, lengths that reach the target."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from backstay.checks import Verdict
from backstay.ground import profile
from backstay.stability.crossing import crossing, missing
from backstay.stability.overall import OverallDesign, design_overall, stages_of_work
from backstay.stability.slip.circles import search_circles
from backstay.stability.slip.model import AnchorForce, SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.search_result import Minimum, SearchResult
from tests.unit.anchors.example import BASIS, CLAY, TEMPORARY, anchors, section

ANCHOR = AnchorForce(x=0.0, y=-2.0, dx=1.0, dy=0.0, total=100.0, free=5.0, bond=6.0, pullout=20.0)
WALL: Any = SimpleNamespace(toe=11.0, toe_width=0.6, checks=())
OPTIONS = SearchOptions(non_circular=False, density=1.0, method="bishop", slices=30)


def searched(model: SlipModel, options: SearchOptions) -> SearchResult:
    return search_circles(model, options=options)


def overall(row: dict[str, Any], load: float = 150.0, **more: Any) -> OverallDesign:
    s = section(row=row, **more)
    return design_overall(
        s, profile(s), anchors(s, load), WALL, TEMPORARY, BASIS, search=searched, stages="final",
        options=OPTIONS,
    )  # fmt: skip


def test_stages_dig_by_dig_and_finally_with_every_strength() -> None:
    s = section()
    found = stages_of_work(s, profile(s))
    assert [(x.title, x.rows) for x in found] == [("stage 1", ()), ("final", (1,))]
    assert found[0].dug_to == pytest.approx(3.1)
    both = {**CLAY, "friction_angle": "26 deg"}
    s = section(ground={"top": 100.0, "strata": [both]}, earthquake={"kh": 0.1})
    assert [x.title for x in stages_of_work(s, profile(s), "final")] == [
        "final, undrained", "final, drained", "final, earthquake",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("x", "lacks"), [(3.0, 0.0), (5.0, 0.0), (6.0, 0.0), (8.0, 2.0), (12.0, 6.0)]
)
def test_what_a_row_lacks_on_a_surface(x: float, lacks: float) -> None:
    """5 m of bond behind the surface hold 100 at 20 per m; one wholly in front lacks them and the way."""
    surface = np.array([(x, -10.0), (x + 1e-6, 10.0)])
    assert crossing(ANCHOR, surface) == pytest.approx(x, abs=1e-5)
    assert missing(ANCHOR, surface) == pytest.approx(lacks, abs=1e-5)


@pytest.mark.parametrize("mirrored", [False, True])
def test_an_inclined_row_leaves_the_mass_where_it_meets_the_circle_last(mirrored: bool) -> None:
    """Where a ray meets a circle: a quadratic (geometry); it enters below the ground and leaves again."""
    way, i = -1.0 if mirrored else 1.0, np.radians(20.0)
    centre, R = np.array([7.0, 6.0]), 9.0
    turned = np.linspace(np.pi, 2 * np.pi, 4001)
    arc = centre + R * np.column_stack((np.cos(turned), np.sin(turned)))
    row = AnchorForce(x=way * -4.0, y=4.0, dx=way * np.cos(i), dy=-np.sin(i), total=100.0, free=5.0,
                      bond=30.0, pullout=4.0)  # fmt: skip
    along = np.array([np.cos(i), -np.sin(i)])
    to = centre - np.array([-4.0, 4.0])
    half = np.sqrt(R**2 - (to @ to - (to @ along) ** 2))
    first, last = to @ along - half, to @ along + half
    assert first > 0.0
    surface = arc * (way, 1.0)
    assert crossing(row, surface) == pytest.approx(last, abs=1e-4)
    assert crossing(row, surface[::-1]) == pytest.approx(last, abs=1e-4)
    assert missing(row, surface) == pytest.approx(25.0 - (35.0 - last), abs=1e-4)
    assert crossing(replace(row, x=way * 17.0), surface) is None  # the circle lies behind its head


def test_a_surface_that_misses_the_row_lacks_nothing() -> None:
    assert missing(ANCHOR, np.array([(-5.0, -10.0), (20.0, -9.0)])) == 0.0


def test_short_anchors_are_lengthened_to_the_target_and_no_farther() -> None:
    row = {"unbonded_length": 1.0, "bond": {"by": "engineer", "length": 12.0, "grouting": "gravity",
                                            "hole_diameter": "150 mm"}}  # fmt: skip
    short = overall(row, 400.0)
    (check,) = short.checks
    assert check.verdict is Verdict.FAIL
    assert short.lengthened is not None
    added = short.lengthened.added[1]
    assert added > 0.1
    assert f"row 1 by {{length:{added:g}}} to {{length:{1.0 + added:g}}}" in check.remedy
    reached = overall({**row, "unbonded_length": 1.0 + added}, 400.0)
    assert reached.stages[0].safety == pytest.approx(short.lengthened.safety, rel=1e-9)
    assert reached.stages[0].safety >= 1.3 * (1 - 1e-3)
    less = overall({**row, "unbonded_length": 1.0 + added - 0.8}, 400.0)
    assert less.stages[0].safety < 1.3


def test_no_surface_comes_out_of_the_face() -> None:
    done = overall({"unbonded_length": 12.0})
    for least in done.stages[0].found.minima:
        assert least.out[0] < 0.0


def test_more_anchor_force_is_safer_where_the_bond_stays_behind() -> None:
    long = {"unbonded_length": 25.0}
    assert overall(long, 200.0).stages[0].safety > overall(long, 100.0).stages[0].safety


def under(least: Minimum) -> float:
    """Return the level of a surface under the face."""
    if least.circle is None:
        return float(np.interp(0.0, *least.points.T))
    return least.circle.y - float(np.sqrt(least.circle.radius**2 - least.circle.x**2))


def test_nothing_comes_out_of_the_face_wherever_exits_are_looked_for() -> None:
    """The wall holds its face, also against planes, which count as blocks whatever the forces within."""
    from backstay.stability.slip.search import search

    s = section(row={"unbonded_length": 6.0})
    wide = SearchOptions(exits=(-15.0, 0.0), slices=30, generations=5)
    found = design_overall(
        s, profile(s), anchors(s, 150.0), WALL, TEMPORARY, BASIS, stages="final", options=wide,
        search=lambda model, options: search(model, options=options),
    ).stages[0]  # fmt: skip
    foot = -found.stage.dug_to
    assert found.found.minima
    assert max(under(least) for least in found.found.minima) <= foot + 1e-6
    free = search(found.model, options=wide)
    assert max(under(least) for least in free.minima) > foot + 0.1
