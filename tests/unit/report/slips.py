"""Slip surfaces to draw: the examples with a quick search of circles, a slope, and it mirrored."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from backstay.design import SectionDesign, design
from backstay.model import read_project
from backstay.stability.overall import design_overall
from backstay.stability.slip.circles import search_circles
from backstay.stability.slip.model import AnchorForce, ShearForce, SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.search_result import SearchResult

EXAMPLES = sorted(
    path
    for path in (Path(__file__).parents[3] / "examples").glob("*.yaml")
    if "\nslopes:" not in path.read_text("utf-8")
)
QUICK = SearchOptions(non_circular=False, density=0.6, slices=30)


def searched(model: SlipModel, options: SearchOptions) -> SearchResult:
    return search_circles(model, options=options)


@cache
def sections(path: Path) -> tuple[SectionDesign, ...]:
    """Return the sections of an example with overall stability by circles, every stage."""
    project = read_project(path)
    made = design(project, slip_surfaces="leave out")
    return tuple(
        replace(
            s,
            overall=design_overall(
                s.section, s.ground, s.anchors, s.wall, project.service, made.basis,
                search=searched, options=QUICK,
            ),
        )
        for s in made.sections
    )  # fmt: skip


SURFACE = np.array([(-15.0, 0.0), (0.0, 0.0), (15.0, 10.0), (45.0, 10.0)])
WATER = np.array([(-15.0, 0.0), (0.0, 0.0), (45.0, 6.0)])


def slope(*, mirrored: bool = False, water: bool = True) -> SlipModel:
    """Return a slope with two layers, water, a load, a row of anchors and a row of piles."""
    sign = -1.0 if mirrored else 1.0

    def turned(points: np.ndarray) -> np.ndarray:
        return points if not mirrored else points[::-1] * np.array([-1.0, 1.0])

    strips = np.array([(20.0, 26.0, 30.0)])
    return SlipModel(
        surface=turned(SURFACE),
        tops=(turned(np.array([(-15.0, 2.0), (45.0, 4.0)])),),
        gamma=np.array([18.0, 19.0]), gamma_sat=np.array([20.0, 20.5]),
        phi=np.radians([30.0, 25.0]), c=np.array([4.0, 10.0]),
        water=turned(WATER) if water else None,
        strips=strips if not mirrored else np.array([(-26.0, -20.0, 30.0)]),
        anchors=(
            AnchorForce(
                x=sign * 7.5, y=5.0, dx=sign * np.cos(0.26), dy=-np.sin(0.26), total=60.0, free=8.0,
                bond=6.0, pullout=15.0, name="row 1",
            ),
        ),
        piles=(ShearForce(x=sign * 3.0, top=2.0, bottom=-6.0, capacity=25.0),),
    )  # fmt: skip


@cache
def found(mirrored: bool = False, water: bool = True) -> tuple[SlipModel, SearchResult]:
    """Return the slope with what a quick search of circles finds in it."""
    model = slope(mirrored=mirrored, water=water)
    return model, search_circles(model, options=QUICK)
