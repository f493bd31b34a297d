"""A wall with two rows of anchors in sand, like the example `two-row-sand`, for timing alone."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np

from backstay.stability.slip.model import AnchorForce, SlipModel

FOOT = ((0.0, -13.5),)
"""Foot of the wall, which surfaces pass below."""


def anchored_wall() -> SlipModel:
    """Return sand (phi 32) over dense sand (phi 36), cut 10.4 m, 12 kPa behind, two rows at 20 degrees."""
    rows = ((-2.44, 210.0, 10.4, 9.1), (-6.1, 192.0, 9.1, 9.8))
    anchors = tuple(
        AnchorForce(
            x=0.0, y=y, dx=cos(radians(20.0)), dy=-sin(radians(20.0)), total=load, free=free,
            bond=bond, pullout=2.0 * load / bond, plate=load,
        )
        for y, load, free, bond in rows
    )  # fmt: skip
    return SlipModel(
        surface=np.array([(-40.0, -10.4), (0.0, -10.4), (0.0, 0.0), (80.0, 0.0)]),
        tops=(np.array([(-40.0, -11.6), (80.0, -11.6)]),),
        gamma=np.array([18.1, 19.2]),
        phi=np.radians([32.0, 36.0]),
        c=np.zeros(2),
        strips=np.array([(0.0, 80.0, 12.0)]),
        anchors=anchors,
    )
