"""From the kernel's table of slices to the one that a reviewer reads, turned back if mirrored."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from backstay.stability.slip import arrays as a
from backstay.stability.slip.model import Floats
from backstay.stability.slip.result import Method, SliceTable


@dataclass(frozen=True, slots=True, eq=False)
class Slices:
    """Slices of one surface; residuals: of forces over weight, and of moments over weight times width."""

    table: SliceTable
    residuals: tuple[float, float]
    surface: Floats


def slice_table(S: Floats, n: int, out: Floats, k: Any, to_left: bool, method: Method) -> Slices:
    """Return the slices in order of x, and what is left of equilibrium of the whole mass."""
    g = 1.0 / float(out[k.F])
    way = 1 if to_left else -1
    sign = float(way)

    def slices(row: int) -> Floats:
        return S[row, :n][::way].copy()

    def sides(row: int) -> Floats:
        return S[row, : n + 1][::way].copy()

    load_x = S[a.LOAD_X, :n] + g * S[a.PASSIVE_X, :n]
    load_y = S[a.LOAD_Y, :n] + g * S[a.PASSIVE_Y, :n]
    moment = S[a.LOAD_M, :n] + g * S[a.PASSIVE_M, :n]
    normal, shear, s, c = (S[row, :n] for row in (a.NORMAL, a.SHEAR, a.SIN, a.COS))
    all_x, all_y = load_x - normal * s + shear * c, load_y + normal * c + shear * s
    # moments about the middle of the bases, so that large coordinates do not cancel
    rx = S[a.BASE_X, :n] - S[a.BASE_X, :n].mean()
    ry = S[a.BASE_Y, :n] - S[a.BASE_Y, :n].mean()
    width = float(out[k.RIGHT] - out[k.LEFT])
    weight = float(out[k.WEIGHT])
    force = float(np.hypot(all_x.sum(), all_y.sum())) / weight
    turning = float((moment + rx * all_y - ry * all_x).sum()) / (weight * width)
    pore, standing, length = (S[row, :n] for row in (a.PORE, a.STANDING, a.LENGTH))
    strong = S[a.TAN, :n] > 0.0
    table = SliceTable(
        x=sign * 0.5 * (S[a.EDGE_X, 1 : n + 1] + S[a.EDGE_X, :n])[::way],
        width=np.diff(S[a.EDGE_X, : n + 1])[::way].copy(),
        base_x=sign * slices(a.BASE_X), base_y=slices(a.BASE_Y),
        alpha=np.arctan2(s, c)[::way].copy(), length=slices(a.LENGTH), weight=slices(a.WEIGHT),
        u=slices(a.PORE), standing=slices(a.STANDING),
        layer=slices(a.LAYER).astype(np.int64), c=slices(a.COHESION),
        phi=np.arctan(S[a.TAN, :n])[::way].copy(),
        normal=(normal + standing * length)[::way].copy(),
        effective_normal=(normal - np.where(strong, pore - standing, 0.0) * length)[::way].copy(),
        shear=slices(a.SHEAR), load_x=sign * load_x[::way], load_y=load_y[::way].copy(),
        load_moment=sign * moment[::way], m_alpha=slices(a.M_ALPHA),
        side_x=sign * sides(a.EDGE_X), side_y=sides(a.EDGE_Y), side_top=sides(a.EDGE_TOP),
        E=sides(a.EDGE_E), X=sign * sides(a.EDGE_S),
        thrust_y=sides(a.THRUST) if method in ("spencer", "morgenstern-price") else np.full(n + 1, np.nan),
    )  # fmt: skip
    base = np.column_stack([table.side_x, table.side_y])
    return Slices(table, (force, sign * turning), base)
