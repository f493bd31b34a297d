"""The known slip surface as a thin weak layer in the ground.

A smaller slip may start on the old surface and break out higher up the face. So that a search can
find it, the ground is parted along the surface: the strata above it, a seam with the strength
carried, and the same strata below.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from backstay.stability.slip.model import Bools, Floats, SlipModel

THICK = 0.004
"""Thickness of the seam, as a share of the height of the slope: searches slide 0.001 above a floor."""
_STEP = 1e-3
"""Width (m) over which the seam begins and ends."""


def with_seam(model: SlipModel, line: Floats, c: float, phi: float) -> SlipModel:
    """Return the ground with a seam of strength c (kPa), phi (rad) along a surface (m, 2).

    Ground that surfaces do not enter stays below it; the model is returned as it is where such
    ground lies over ground that they do enter.
    """
    hard = _hard(model)
    soils = int(np.count_nonzero(~hard))
    if soils == 0 or hard[:soils].any():
        return model
    thick = THICK * float(model.surface[:, 1].max() - model.surface[:, 1].min())
    x, top, foot = _seam(model, simpler(line, 0.3 * thick), thick)
    lines = (model.surface, *model.tops)
    levels = np.array([np.interp(x, one[:, 0], one[:, 1]) for one in lines])
    levels = np.minimum.accumulate(levels, axis=0)
    upper = np.array(
        [*(np.maximum(y, top) for y in levels[:soils]), top, *np.minimum(levels, foot)]
    )
    order = np.array([*range(soils), -1, *range(model.layers)])
    within = int(np.searchsorted(x, 0.5 * (line[0, 0] + line[-1, 0])))
    stratum = int((levels[1:soils, within] > top[within] + 1e-9).sum())
    lower = np.vstack((upper[1:], np.full((1, len(x)), -np.inf)))
    kept = (upper - lower > 1e-9).any(axis=1)
    kept[soils] = True
    upper, order = upper[kept], order[kept]
    seam = order == -1
    order[seam] = stratum

    def stacked(values: Floats | None) -> Floats | None:
        return None if values is None else np.asarray(values, dtype=float)[order].copy()

    su = stacked(model.su)
    return replace(
        model, tops=tuple(np.column_stack((x, y)) for y in upper[1:]), gamma=model.gamma[order],
        phi=np.where(seam, phi, model.phi[order]), c=np.where(seam, c, model.c[order]),
        gamma_sat=stacked(model.gamma_sat), su=None if su is None else np.where(seam, 0.0, su),
        su_gradient=stacked(model.su_gradient), su_datum=stacked(model.su_datum),
        ru=stacked(model.ru), impenetrable=hard[order],
        anisotropy=None if model.anisotropy is None else model.anisotropy[order],
    )  # fmt: skip


def simpler(line: Floats, off: float) -> Floats:
    """Return a line with only the points it needs to stay within a distance (m) of what it was.

    The point farthest from the chord is kept, and both halves looked at in turn (Ramer 1972;
    Douglas and Peucker 1973).
    """
    keep = {0, len(line) - 1}
    open_runs = [(0, len(line) - 1)]
    while open_runs:
        a, b = open_runs.pop()
        if b - a < 2:
            continue
        dx, dy = line[b] - line[a]
        away = abs(dx * (line[a:b, 1] - line[a, 1]) - dy * (line[a:b, 0] - line[a, 0]))
        far = int(np.argmax(away))
        if away[far] > off * float(np.hypot(dx, dy)):
            keep.add(a + far)
            open_runs += [(a, a + far), (a + far, b)]
    return line[sorted(keep)]


def _hard(model: SlipModel) -> Bools:
    if model.impenetrable is None:
        return np.zeros(model.layers, dtype=bool)
    return np.asarray(model.impenetrable, dtype=bool)


def _seam(model: SlipModel, line: Floats, thick: float) -> tuple[Floats, Floats, Floats]:
    """Return x with the top and the foot of the seam there; outside the surface it has no thickness."""
    left, right = float(line[0, 0]), float(line[-1, 0])
    edges = np.array([left - _STEP, left, left + _STEP, right - _STEP, right, right + _STEP])
    x = np.unique(
        np.concatenate([edges, line[:, 0], *(one[:, 0] for one in (model.surface, *model.tops))])
    )
    x = x[(x >= model.surface[0, 0]) & (x <= model.surface[-1, 0])]
    foot = line - np.array([0.0, thick])
    x = _with_crossings(x, (line, foot, model.surface, *model.tops))
    ground = np.interp(x, model.surface[:, 0], model.surface[:, 1])
    inside = (x >= left) & (x <= right)
    top = np.where(inside, np.interp(x, line[:, 0], line[:, 1]), ground)
    deep = (x > left + 0.5 * _STEP) & (x < right - 0.5 * _STEP)
    return x, top, np.where(deep, top - thick, top)


def _with_crossings(x: Floats, lines: Sequence[Floats]) -> Floats:
    """Return x with the places added where lines cross: the surface, the ground, the tops of strata."""
    found = [x]
    for one, other in combinations([np.interp(x, line[:, 0], line[:, 1]) for line in lines], 2):
        gap = one - other
        at = np.flatnonzero(gap[:-1] * gap[1:] < 0.0)
        found.append(x[at] + (x[at + 1] - x[at]) * gap[at] / (gap[at] - gap[at + 1]))
    return np.unique(np.concatenate(found))
