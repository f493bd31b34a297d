"""Shear on the sides of slices is held to the strength of each side: what one does not use serves no other."""

from __future__ import annotations

from math import cos, radians, sin, tan

import numpy as np
import pytest

from backstay.stability.slip import SlipModel, analyse_surface
from backstay.stability.slip.model import AnchorForce, ShearForce

BEYOND = "side shear beyond strength"
FRICTION = tan(radians(30.0))


def over_clay(su: float, clay: float) -> SlipModel:
    """Sand over a band of clay behind a face of 9.4 m that two loads press back: sides are of both."""
    return SlipModel(
        surface=np.array([(-37.6, -9.4), (0.0, -9.4), (0.0, 0.0), (72.0, 0.0)]),
        gamma=np.array([19.0, 19.0]), phi=np.array([radians(30.0), 0.0]), c=np.zeros(2),
        su=np.array([0.0, su]), tops=(np.array([(-37.6, clay), (72.0, clay)]),),
        piles=(ShearForce(x=0.0, top=-9.4, bottom=-10.4, capacity=170.0),),
        anchors=tuple(
            AnchorForce(x=0.0, y=y, dx=cos(radians(20.0)), dy=-sin(radians(20.0)), total=load)
            for y, load in ((-2.4, 190.0), (-5.6, 85.0))
        ),
    )  # fmt: skip


SURFACE = np.array([(-0.11, -9.4), (-0.02, -9.413), (3.9, -7.4), (5.1, -5.85), (5.5, -5.3), (6.5, 0.0)])  # fmt: skip


def shares(su: float, clay: float) -> tuple[bool, float, float]:
    """Return whether the sides are told off, and (worked out here) the shear over strength of all sides
    in sum, and what goes beyond the strength of each as a share of all shear."""
    result = analyse_surface(over_clay(su, clay), SURFACE)
    t = result.slices
    assert t is not None
    foot, top, E, X = t.side_y[1:-1], t.side_top[1:-1], t.E[1:-1], abs(t.X[1:-1])
    strength = su * np.clip(clay - foot, 0.0, None)
    height = top - foot
    sand = np.clip(top - np.maximum(foot, clay), 0.0, None) / height
    strength = strength + np.maximum(E, 0.0) * FRICTION * sand
    counts = E > 0.1 * E.max()
    more = max(1.0, 1.0 / result.F)
    beyond = np.clip(X - strength * more, 0.0, None)[counts].sum() / X[counts].sum()
    return (
        BEYOND in result.flags,
        float(X[counts].sum() / strength[counts].sum() / more),
        float(beyond),
    )


@pytest.mark.parametrize("clay", [-8.4, -7.0])
@pytest.mark.parametrize("su", [20.0, 60.0, 140.0, 250.0])
def test_sides_are_told_off_by_what_goes_beyond_each(su: float, clay: float) -> None:
    told, _, beyond = shares(su, clay)
    assert told == (beyond > 0.1)


def test_clay_that_has_strength_to_spare_does_not_carry_for_the_sand() -> None:
    """In sum the sides would hold; those in sand alone carry more than their friction allows."""
    told, in_sum, _ = shares(250.0, -8.4)
    assert told
    assert in_sum < 0.9
    assert not shares(60.0, -7.0)[0]  # with more clay every side holds by itself
