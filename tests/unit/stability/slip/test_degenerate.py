"""Surfaces without a sliding mass are a status of their own, and spoil no other surface of a batch."""

from __future__ import annotations

import numpy as np

from backstay.stability.slip import analyse_batch, analyse_surface
from backstay.stability.slip.model import SlipModel


def test_a_circle_wholly_along_rock_does_not_abort_the_batch() -> None:
    model = SlipModel(
        surface=np.array([(-40.0, 0.0), (0.0, 0.0), (10.0, 10.0), (70.0, 10.0)]),
        tops=(np.array([(-40.0, 0.0), (70.0, 0.0)]),),
        gamma=np.array([20.0, 24.0]), phi=np.zeros(2), c=np.zeros(2), su=np.array([34.0, 900.0]),
        impenetrable=np.array([False, True]),
    )  # fmt: skip
    circles = np.array(
        [(-16.1600301474226, 26.826696814089274, 31.104419348178507), (4.0, 14.0, 14.2)]
    )
    both = analyse_batch(model, circles, method="spencer", slices=20)
    alone = analyse_batch(model, circles[1:], method="spencer", slices=20)
    assert not np.isfinite(both.F[0])
    assert np.array_equal(both.F[1:], alone.F, equal_nan=True)


def test_a_surface_that_leaves_the_section_is_no_result() -> None:
    model = SlipModel(
        surface=np.array([(20.0, 25.0), (30.0, 25.0), (50.0, 35.0), (70.0, 35.0)]),
        gamma=np.array([20.0]), phi=np.array([0.342]), c=np.array([3.0]),
    )  # fmt: skip
    points = np.array([(20.0, 25.0), (25.0, 21.0), (32.857142857142854, 26.428571428571427)])
    result = analyse_surface(model, points)
    assert not result.converged or result.F > 0.0
