"""Why a wall does not stand in a stage, where, and what would make it stand.

Past the collapse load deflections grow in the direction of the mechanism, so that the last
iterate shows it: a foot that kicks out, a head that falls forward, an anchor that pulls the wall
into the ground behind. The nearest remedy is found by trial, with all else unchanged.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import floor
from typing import TYPE_CHECKING

import numpy as np

from backstay.wall.staged.result import FailedStage, Floats, StagedInput

if TYPE_CHECKING:
    from backstay.wall.staged.analysis import Run

AT_LIMIT = 1e-6
"""Relative nearness at which a pressure counts as at its limit."""
DEEPEST = 3.0
"""Greatest depth tried below the dig, over the depth of the dig."""
CLOSE = 0.02
"""Length (m), or share of a load, to which a remedy is found."""
ABSENT, STRESSING, HOLDING = 0, 1, 2


@dataclass(frozen=True, slots=True)
class _Mechanism:
    """A mechanism in words, its depth (m), the resistance used up, and the kind of remedy."""

    words: str
    depth: float
    exhausted: tuple[float, float] | None
    remedy: str
    support: int = -1


def explain(given: StagedInput, ran: Run) -> FailedStage:
    """Return the failed stage of a run, with its mechanism and the nearest remedy by trial."""
    s = ran.done
    title = given.stage_titles[s]
    if ran.status == 2:
        return FailedStage(
            s + 1, title,
            f"the search for equilibrium ended {ran.residual[s]:.0e} of the load away from it",
            float(given.dig[s]), None,
            "the wall is at the edge of standing; a deeper toe or stronger anchors would tell",
        )  # fmt: skip
    found = _mechanism(given, ran, s)
    remedies: dict[str, Callable[[StagedInput, int, int], str]] = {
        "deeper": _deeper, "less load": _less_load, "stronger": _stronger,
    }  # fmt: skip
    return FailedStage(
        s + 1, title, found.words, found.depth, found.exhausted,
        remedies[found.remedy](given, s, found.support),
    )  # fmt: skip


def _mechanism(given: StagedInput, ran: Run, s: int) -> _Mechanism:
    w = ran.w[s, :, 0]
    i = int(np.abs(w).argmax())
    depth = float(given.z[i])
    dig = float(given.dig[s])
    state = given.a_state[s]
    if w[i] < 0.0:
        behind = _at_limit(given, ran.p_r[s], ran.high_r[s], 0.0)
        pulling = [a for a in range(len(state)) if state[a] != ABSENT and ran.T[s, a] > 0.0]
        if pulling:
            worst = max(pulling, key=lambda a: float(-w[given.node[a]]))
            at = float(given.z[given.node[worst]])
            return _Mechanism(
                f"no equilibrium: {given.support_names[worst]} pulls the wall into the ground behind, "
                "whose passive resistance is used up", at, behind, "less load", worst,
            )  # fmt: skip
        return _Mechanism(
            "no equilibrium: the wall is pressed into the ground behind, whose passive resistance "
            "is used up", depth, behind, "deeper",
        )  # fmt: skip
    front = _at_limit(given, ran.p_c[s], ran.high_c[s], dig)
    yielding = [
        a for a in range(len(state))
        if state[a] == HOLDING and ran.T[s, a] >= given.a_cap[s, a] * (1 - AT_LIMIT)
    ]  # fmt: skip
    if yielding:
        worst = max(yielding, key=lambda a: float(w[given.node[a]]))
        return _Mechanism(
            f"no equilibrium: {given.support_names[worst]} is at its strength and yields",
            float(given.z[given.node[worst]]), front, "stronger", worst,
        )  # fmt: skip
    if not (state != ABSENT).any():
        return _Mechanism(
            "no equilibrium: the wall, a cantilever in this stage, falls forward; the passive "
            "resistance in front of it is used up", dig, front, "deeper",
        )  # fmt: skip
    if depth >= dig - 1e-9:
        return _Mechanism(
            "no equilibrium: the foot of the wall moves into the cut; the passive resistance in front "
            "of it is used up", depth, front, "deeper",
        )  # fmt: skip
    return _Mechanism(
        "no equilibrium: the wall moves into the cut without bound", depth, front, "deeper"
    )


def _at_limit(
    given: StagedInput, p: Floats, high: Floats, start: float
) -> tuple[float, float] | None:
    """Return the depths of the first and the last element below `start` that is at its limit."""
    full = (p >= high * (1 - AT_LIMIT)).all(axis=1) & (high > 0.0).all(axis=1)
    at = np.flatnonzero(full & (given.z[:-1] >= start - 1e-9))
    if not len(at):
        return None
    return float(given.z[at[0]]), float(given.z[at[-1] + 1])


def stands(given: StagedInput, stages: int) -> bool:
    """Say whether a wall stands through its first stages."""
    from backstay.wall.staged.analysis import first_stages, run

    return run(first_stages(given, stages)).done >= stages


def deepened(given: StagedInput, extra: float) -> StagedInput:
    """Return the same wall with its toe deeper by `extra` (m), in the ground that is there."""
    toe = float(given.z[-1])
    size = float(given.h[-6:].mean())
    below = [float(top) for top in given.layer_top if toe + 1e-6 < top < toe + extra - 1e-6]
    z = [toe]
    for a, b in zip([toe, *below], [*below, toe + extra], strict=True):
        n = max(1, round((b - a) / size))
        z += [a + (b - a) * i / n for i in range(1, n + 1)]
    new = np.array(z)
    middle = 0.5 * (new[1:] + new[:-1])
    layer = np.searchsorted(given.layer_top, middle, side="right") - 1
    added = len(middle)
    external = np.repeat(given.external[:, -1:, 1:], added, axis=1).repeat(2, axis=2)
    return replace(
        given,
        z=np.concatenate([given.z, new[1:]]),
        h=np.concatenate([given.h, np.diff(new)]),
        layer=np.concatenate([given.layer, np.maximum(layer, 0)]).astype(np.int64),
        EI=np.concatenate([given.EI, np.full(added, given.EI[-1])]),
        external=np.concatenate([given.external, external], axis=1),
    )


def _least(works: Callable[[float], bool], low: float, high: float, close: float) -> float | None:
    """Return the least value in low..high that works, by bisection, or None if the highest fails."""
    if not works(high):
        return None
    while high - low > close:
        middle = 0.5 * (low + high)
        if works(middle):
            high = middle
        else:
            low = middle
    return high


def _deeper(given: StagedInput, s: int, _support: int) -> str:
    dig, toe = float(given.dig[s]), float(given.z[-1])
    most = max(DEEPEST * dig, dig + 10.0, toe + 10.0) - toe
    extra = _least(lambda x: stands(deepened(given, x), s + 1), 0.0, most, CLOSE)
    level = _dig_that_stands(given, s)
    less = (
        "support it higher or sooner"
        if level is None
        else f"dig no deeper than {{length:{level:.4f}}} below the top of wall in this stage"
    )
    if extra is None:
        return (
            f"no embedment down to {{length:{toe + most:.4f}}} below the top of wall would make it "
            f"stand: {less}, or improve the ground in front"
        )
    return (
        f"a toe {{length:{extra:.4f}}} deeper, that is {{length:{toe + extra - dig:.4f}}} below the "
        f"dig of this stage (found by trial, all else unchanged); or {less}"
    )


def _dig_that_stands(given: StagedInput, s: int) -> float | None:
    """Return the deepest dig of a stage, at a node, with which the wall stands, or None."""
    before = float(given.dig[s - 1]) if s else 0.0
    levels = [float(z) for z in given.z if before + 1e-6 < z < given.dig[s] - 1e-6]

    def works(i: int) -> bool:
        dig = given.dig.copy()
        dig[s] = levels[i]
        return stands(replace(given, dig=dig), s + 1)

    low, high = -1, len(levels)
    while high - low > 1:
        middle = (low + high) // 2
        if works(middle):
            low = middle
        else:
            high = middle
    return levels[low] if low >= 0 else None


def _less_load(given: StagedInput, s: int, support: int) -> str:
    name = given.support_names[support]

    def works(less: float) -> bool:
        lock = given.a_lock.copy()
        lock[:, support] *= 1.0 - less
        return stands(replace(given, a_lock=lock), s + 1)

    less = _least(works, 0.0, 1.0, CLOSE)
    if less is None:
        return f"no lock-off load of {name} would do: the ground behind holds too little; lower the row"
    share = floor(100 * (1.0 - less)) / 100
    load = float(given.a_lock[s, support]) * given.anchor_share[support] * share
    return (
        f"lock {name} off at {{percent:{share:.4f}}} of the load foreseen, {{force:{load:.5g}}} per "
        "anchor (found by trial, all else unchanged); or a lower row, or anchors closer together"
    )


def _stronger(given: StagedInput, s: int, support: int) -> str:
    name = given.support_names[support]

    def works(factor: float) -> bool:
        cap = given.a_cap.copy()
        cap[:, support] *= factor
        return stands(replace(given, a_cap=cap), s + 1)

    factor = _least(works, 1.0, 5.0, CLOSE)
    if factor is None:
        return f"no stronger tendon of {name} would do by itself: add a row, or a deeper toe"
    load = float(given.a_cap[s, support]) * given.anchor_share[support] * factor
    return (
        f"a tendon of {name} with a strength of {{force:{load:.5g}}} per anchor (found by trial, all "
        "else unchanged); or anchors closer together, or another row"
    )
