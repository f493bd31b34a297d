"""The forces on the slices of one surface, one by one, as a reviewer adds them up.

Nothing is analysed again: what the slices hold is resolved into its parts, and summed.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, sin
from typing import Literal

import numpy as np

from backstay.stability.crossing import crossing
from backstay.stability.slip.model import Floats, SlipModel
from backstay.stability.slip.result import SliceTable, SlipResult

Source = Literal["anchor", "wall", "force", "surcharge"]


@dataclass(frozen=True, slots=True)
class PartOfSlice:
    """One force on a slice: its symbol, what it is, and its components (kN/m, up positive)."""

    symbol: str
    name: str
    x: float
    y: float

    @property
    def size(self) -> float:
        """Return its length (kN/m)."""
        return hypot(self.x, self.y)


@dataclass(frozen=True, slots=True)
class SliceForces:
    """All forces on one slice.

    number: of the slice, from 1; weight: of its ground (kN/m); parts: in the order in which they
    are added; closing: what is left of their sum (x, y), kN/m.
    """

    number: int
    weight: float
    parts: tuple[PartOfSlice, ...]
    closing: tuple[float, float]

    @property
    def net(self) -> tuple[PartOfSlice, ...]:
        """Return the forces with those of the two sides taken together, which nearly cancel."""
        side = {p.symbol: p for p in self.parts}
        both = (
            PartOfSlice("dX", "shear of both sides", 0.0, side["X_l"].y + side["X_r"].y),
            PartOfSlice("dE", "push of both sides", side["E_l"].x + side["E_r"].x, 0.0),
        )
        return (*(p for p in self.parts if p.symbol[:2] not in ("E_", "X_")), *both)

    @property
    def closing_share(self) -> float:
        """Return the closing error over the weight of the slice."""
        return hypot(*self.closing) / self.weight


@dataclass(frozen=True, slots=True)
class Applied:
    """A force from outside on the mass.

    source: kind; name: in words; size: what acts (kN/m), after division by F where it is divided;
    whole: what is set or available at most (kN/m); x, y: its components (kN/m); at: where it enters
    (m), None for a load that is spread; slice: its number from 1, 0 for a spread load; divided:
    whether the force is divided by F like strength.
    """

    source: Source
    name: str
    size: float
    whole: float
    x: float
    y: float
    at: tuple[float, float] | None
    slice: int
    divided: bool


def slice_forces(table: SliceTable, i: int, *, to_left: bool) -> SliceForces:
    """Return the forces on slice i (from 0), and what is left of their sum.

    The pressure of standing water is in equilibrium by itself and left out of all of them but the
    other loads, which hold the buoyancy. U: water in the pores over that; nil where the base is
    undrained, whose N' is the whole normal force.
    """
    way = 1.0 if to_left else -1.0
    s, c = way * sin(table.alpha[i]), cos(table.alpha[i])
    effective = float(table.effective_normal[i])
    water = water_on_base(table, i)
    shear, weight = float(table.shear[i]), float(table.weight[i])
    E, X = table.E, table.X
    parts = (
        PartOfSlice("W", "weight of the ground", 0.0, -weight),
        PartOfSlice("Q", "other loads", float(table.load_x[i]), float(table.load_y[i]) + weight),
        PartOfSlice("S", "shear on the base", way * shear * c, way * shear * s),
        PartOfSlice("U", "water on the base", -water * s, water * c),
        PartOfSlice("N'", "normal force on the base", -effective * s, effective * c),
        PartOfSlice("X_l", "shear on the left side", 0.0, float(X[i])),
        PartOfSlice("X_r", "shear on the right side", 0.0, -float(X[i + 1])),
        PartOfSlice("E_l", "push on the left side", float(E[i]), 0.0),
        PartOfSlice("E_r", "push on the right side", -float(E[i + 1]), 0.0),
    )
    return SliceForces(
        i + 1, weight, parts, (sum(p.x for p in parts), sum(p.y for p in parts))
    )  # fmt: skip


def water_on_base(table: SliceTable, i: int) -> float:
    """Return U of slice i (from 0): pore water on its base over standing water (kN/m)."""
    normal = table.normal[i] - table.standing[i] * table.length[i]
    return float(normal - table.effective_normal[i])


def closing_shares(table: SliceTable, *, to_left: bool) -> list[float]:
    """Return what is left of the forces on each slice, over the largest weight of a slice."""
    sums = [hypot(*slice_forces(table, i, to_left=to_left).closing) for i in range(len(table.x))]
    return [left / float(table.weight.max()) for left in sums]


def heaviest(table: SliceTable) -> int:
    """Return the slice of the largest weight (from 0)."""
    return int(np.argmax(table.weight))


def worst_closing(table: SliceTable, *, to_left: bool) -> float:
    """Return the largest closing error of any slice, over the largest weight of a slice."""
    return max(closing_shares(table, to_left=to_left))


def applied_forces(model: SlipModel, result: SlipResult) -> tuple[Applied, ...]:
    """Return anchors, wall, given forces and surcharges on the mass, with the slices they enter.

    Empty where the surface has no slices.
    """
    table = result.slices
    if table is None:
        return ()
    found = [
        *_anchors(model, result, table), *_walls(model, result, table),
        *_given(model, result, table), *_surcharge(model, result),
    ]  # fmt: skip
    return tuple(found)


def _number(table: SliceTable, x: float) -> int:
    at = int(np.searchsorted(table.side_x, x)) - 1
    return min(max(at, 0), len(table.x) - 1) + 1


def _base(result: SlipResult, x: float) -> float:
    surface: Floats = result.surface
    return float(np.interp(x, surface[:, 0], surface[:, 1]))


def _anchors(model: SlipModel, result: SlipResult, table: SliceTable) -> list[Applied]:
    found = []
    for anchor, used in zip(model.anchors, result.anchors, strict=True):
        divided = anchor.convention == "passive"
        acts = float(used) / (result.F if divided else 1.0)
        s = crossing(anchor, result.surface)
        inside = used > 0.0 and s is not None
        at = (anchor.x, anchor.y)
        if inside and anchor.acts == "base":
            at = (anchor.x + (s or 0.0) * anchor.dx, anchor.y + (s or 0.0) * anchor.dy)
        found.append(
            Applied(
                "anchor", anchor.name or "anchor", acts, anchor.total, acts * anchor.dx,
                acts * anchor.dy, at if inside else None, _number(table, at[0]) if inside else 0,
                divided,
            )
        )  # fmt: skip
    return found


def _walls(model: SlipModel, result: SlipResult, table: SliceTable) -> list[Applied]:
    found = []
    way = 1.0 if model.to_left else -1.0
    for pile in model.piles:
        if not result.left <= pile.x <= result.right:
            continue
        y = _base(result, pile.x)
        if pile.bottom <= y <= pile.top:
            divided = pile.convention == "passive"
            acts = pile.capacity / (result.F if divided else 1.0)
            found.append(
                Applied(
                    "wall", "shear of the wall", acts, pile.capacity, way * acts, 0.0,
                    (pile.x, y), _number(table, pile.x), divided,
                )
            )  # fmt: skip
    return found


def _given(model: SlipModel, result: SlipResult, table: SliceTable) -> list[Applied]:
    found = []
    for x, y, fx, fy in model.forces.tolist():
        if result.left <= x <= result.right and y >= _base(result, x) - 1e-9:
            size = hypot(fx, fy)
            found.append(
                Applied(
                    "force", "given force", size, size, fx, fy, (x, y), _number(table, x), False
                )
            )
    return found


def _surcharge(model: SlipModel, result: SlipResult) -> list[Applied]:
    total = sum(
        float(p) * max(0.0, float(min(x2, result.right) - max(x1, result.left)))
        for x1, x2, p in model.strips
    )
    if total <= 0.0:
        return []
    return [Applied("surcharge", "loads on the surface", total, total, 0.0, -total, None, 0, False)]
