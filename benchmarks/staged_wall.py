"""The wall that the staged benchmarks work on: two rows in dry sand, any number of nodes and stages."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from backstay.wall.staged.example import smallest
from backstay.wall.staged.result import Floats, StagedInput

TOE = 13.75
MARKS = (0.0, 2.44, 3.05, 6.1, 6.7, 9.75, TOE)
ROWS = (2.44, 6.1)
LIFTS = (3.05, 6.7, 9.75)
DRY = 1e9


def mesh(nodes: int, digs: Floats) -> Floats:
    """Return depths of nodes, every mark and every level dug to on one of them."""
    marks = np.unique(np.round([*MARKS, *digs], 9))
    pieces = np.maximum(1, np.round(np.diff(marks) / TOE * (nodes - 1))).astype(int)
    pieces[-1] += nodes - 1 - pieces.sum()
    parts = [
        np.linspace(a, b, n + 1)[1:] for a, b, n in zip(marks, marks[1:], pieces, strict=False)
    ]
    return np.concatenate([[0.0], *parts])


def steps(stages: int) -> list[tuple[float, int, int, float]]:
    """Return (depth dug to, state of row 1, state of row 2, load behind) of each stage.

    Of eight: dig, stress, lock off, dig, stress, lock off, dig, load the ground behind. Four join
    some of these; more than eight dig in thinner lifts.
    """
    a, b, c = LIFTS
    if stages == 4:
        return [(a, 0, 0, 12.0), (a, 1, 0, 12.0), (b, 2, 1, 12.0), (c, 2, 2, 20.0)]
    if stages < 8:
        raise ValueError("four stages, or eight and more")
    more, left = divmod(stages - 8, 3)
    lifts = [more + 1 + (i < left) for i in range(3)]
    found: list[tuple[float, int, int, float]] = []
    start = 0.0
    for i, (depth, count) in enumerate(zip(LIFTS, lifts, strict=True)):
        held = (2 if i > 0 else 0, 2 if i > 1 else 0)
        found += [(start + (depth - start) * (j + 1) / count, *held, 12.0) for j in range(count)]
        if i < 2:
            for state in (1, 2):
                found.append((depth, state if i == 0 else 2, state if i == 1 else 0, 12.0))
        start = depth
    return [*found, (c, 2, 2, 20.0)]


def two_rows(nodes: int = 161, stages: int = 8) -> StagedInput:
    """Return the wall: soldier piles at 2.44 m in sand of 32 degrees, 9.75 m deep; invented."""
    dig, first, second, load = (np.array(x, float) for x in zip(*steps(stages), strict=True))
    z = mesh(nodes, dig)
    one = np.ones(1)
    return replace(
        smallest(),
        z=z, h=np.diff(z), layer=np.zeros(nodes - 1, np.int64), EI=np.full(nodes - 1, 40000.0),
        gamma=18.0 * one, gamma_sat=20.0 * one, Ka=0.307 * one, Kp=5.5 * one, K0=0.47 * one,
        kh=2000.0 * one, kh_gradient=6000.0 * one, arching=2.5 * one, dig=dig,
        water_r=np.full(stages, DRY), water_c=np.full(stages, DRY), load=load,
        seepage=np.zeros(stages), undrained=np.zeros((stages, 1), np.bool_),
        stiffness=np.ones(stages), spacing=2.44, pile_width=0.76,
        external=np.zeros((stages, nodes - 1, 2)),
        node=np.array([int(np.argmin(abs(z - row))) for row in ROWS], np.int64),
        a_state=np.stack([first, second], axis=1).astype(np.int64),
        a_k=np.full((stages, 2), 8000.0), a_lock=np.tile([400.0, 380.0], (stages, 1)),
        a_cap=np.full((stages, 2), 1e9),
        stage_titles=tuple(f"stage {i + 1}" for i in range(stages)),
        support_names=("row 1", "row 2"), rows=2, per_pile=True, H=LIFTS[-1], anchor_share=(1.0, 1.0),
    )  # fmt: skip
