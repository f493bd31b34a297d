"""Nodes: at every level, closer together near them, and halved without a change of load."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backstay.wall.staged.example import smallest
from backstay.wall.staged.mesh import SAME, halved, nodes


@given(
    levels=st.lists(st.floats(0.0, 30.0), max_size=25),
    toe=st.floats(2.0, 40.0),
)
def test_every_level_is_a_node(levels: list[float], toe: float) -> None:
    z = nodes(levels, toe)
    assert z[0] == 0.0
    assert z[-1] == toe
    assert (np.diff(z) > 0.0).all()
    for level in levels:
        if level < toe:
            assert np.abs(z - level).min() <= 2 * SAME
    assert 100 <= len(z) <= 400


def test_a_usual_wall_has_about_170_nodes() -> None:
    assert 150 <= len(nodes([2.5, 3.1, 5.5, 6.1, 8.0, 9.0], 12.0)) <= 200


def test_elements_are_finer_at_the_levels() -> None:
    z = nodes([5.0], 10.0)
    h = np.diff(z)
    at, far = np.argmin(np.abs(z - 5.0)), np.argmin(np.abs(z - 2.5))
    assert h[at] < 0.5 * h[far]
    assert h[at - 1] == pytest.approx(h[at], rel=0.1)
    assert (np.abs(np.diff(np.log(h))) < 0.35).all()  # sizes change gently


def test_halving_keeps_the_loads() -> None:
    base = smallest()
    ramp = 3.0 + 2.0 * np.arange(32.0).reshape(16, 2)
    from dataclasses import replace

    wall = replace(base, external=np.stack([ramp, 0.5 * ramp]))
    finer = halved(wall)
    for s in range(2):
        coarse = (0.5 * wall.h[:, None] * wall.external[s]).sum()
        assert (0.5 * finer.h[:, None] * finer.external[s]).sum() == pytest.approx(coarse)
    assert finer.z[finer.node] == pytest.approx(wall.z[wall.node])
    assert len(finer.layer) == 2 * len(wall.layer)
