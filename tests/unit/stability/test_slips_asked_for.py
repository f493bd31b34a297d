"""What is searched for smaller slips and around the bonds: places, ground, water, shaking, anchors."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from backstay.basis import basis
from backstay.model.slope import Slope
from backstay.stability.slip.from_slope import slope_model
from backstay.stability.slip.model import SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.search_result import SearchResult
from backstay.stability.slope_design import SlopeDesign, design_slope
from backstay.stability.slope_slips import SlopeSlips, search_slips
from tests.unit.report.slips import found
from tests.unit.slopes import CASES, read

RULES = basis("FHWA-IF-99-015")
WAYS = pytest.mark.parametrize("case", ["example", "to the right"])
NOTHING = replace(found()[1], minima=())


def designed(case: str) -> tuple[Slope, SlopeDesign]:
    project = read(CASES[case])
    (slope,) = project.slopes
    return slope, design_slope(slope, project.service, RULES)


def asked(
    slope: Slope, done: SlopeDesign,
    answer: Callable[[SlipModel, SearchOptions], SearchResult] = lambda *_: NOTHING,
) -> tuple[SlopeSlips, list[tuple[SlipModel, SearchOptions]]]:  # fmt: skip
    """Return the slips, and every model and options that a search was asked for."""
    seen: list[tuple[SlipModel, SearchOptions]] = []

    def search(model: SlipModel, options: SearchOptions) -> SearchResult:
        seen.append((model, options))
        return answer(model, options)

    known = (done.cases[0].bare.surface, done.cohesion, done.friction)
    return search_slips(slope, done.rows, done.required.inclination, search, known), seen


@WAYS
def test_slips_come_out_in_each_part_of_the_face_and_those_around_pass_below_and_behind_all_rows(
    case: str,
) -> None:
    slope, done = designed(case)
    slips, seen = asked(slope, done)
    heads = [r.x for r in done.rows]
    ends = slope.profile[0].x, slope.profile[-1].x
    toe, crest = ends if case == "example" else ends[::-1]

    def between(a: float, b: float) -> tuple[float, float]:
        return min(a, b), max(a, b)

    (above, *within, below), around = seen[:-2], seen[-2:]
    assert above[1].exits is not None
    assert heads[0] in above[1].exits
    assert [o.exits for _, o in within] == [between(a, b) for a, b in pairwise(heads)]
    assert below[1].exits == between(toe, heads[-1])
    assert below[1].entries == between(toe, heads[0])  # one behind the top row goes around them all
    for _, options in around:
        assert options.exits == between(toe, heads[-1])
        assert options.entries == between(heads[0], crest)
    assert all(s.safety == np.inf for s in (*slips.parts, *slips.around))
    assert slips.lengthened is None


@WAYS
def test_all_are_searched_with_the_water_to_design_for_and_anchors_and_the_last_shaken(
    case: str,
) -> None:
    slope, done = designed(case)
    assert slope.earthquake is not None
    slips, seen = asked(slope, done)
    line = slope_model(slope, water="to design for").water
    assert line is not None
    x = np.linspace(line[0, 0], line[-1, 0], 40)
    forces = [r.force for r in done.rows]
    for model, _ in seen:
        assert model.water is not None
        assert np.interp(x, *model.water.T) == pytest.approx(np.interp(x, *line.T))
        assert len(model.anchors) == len(done.rows)
        assert sum(a.total for a in model.anchors) == pytest.approx(sum(forces))
    assert [m.kh for m, _ in seen] == [0.0] * (len(seen) - 1) + [slope.earthquake.kh]
    wanted = slope.slips_target or slope.target
    assert [a.target for a in slips.around] == [wanted, slope.earthquake.target]
    assert all(c.capacity == wanted for c in slips.checks if c.id == "slope.smaller-slips")
    # smaller slips may follow the known surface; those around go through ground as described
    assert seen[0][0].layers > seen[-1][0].layers == slope_model(slope).layers
