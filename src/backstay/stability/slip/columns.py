"""From the model to the kernel's arrays: columns between all kinks, mirrored to slide to the left."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import NamedTuple
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import ArrayLike, NDArray

from backstay.errors import DesignError
from backstay.stability.slip.arrays import FAR, Ground
from backstay.stability.slip.model import AnchorForce, Floats, ShearForce, SlipModel
from backstay.stability.slip.terrain import mirrored

_KNOWN: WeakKeyDictionary[SlipModel, Ground] = WeakKeyDictionary()
_NEAR = 1e-9


def ground_arrays(model: SlipModel) -> Ground:
    """Return the kernel's arrays of a model; refuses one that cannot be analysed, with the reason."""
    known = _KNOWN.get(model)
    if known is None:
        known = _KNOWN[model] = _arrays(model)
    return known


def _arrays(model: SlipModel) -> Ground:
    k, right = model.layers, not model.to_left
    numbers = (model.kh, model.kv, model.crack, model.crack_water, model.gamma_w)
    if not np.isfinite(numbers).all() or model.crack < 0 or not 0 <= model.crack_water <= 1:
        raise DesignError(
            "kh, kv and the depth of the crack must be numbers, its water a share of it"
        )
    columns = _columns(
        _Lines(
            model.surface, model.tops, model.water, model.strips, right,
            model.flow == "along the table",
        )
    )  # fmt: skip
    gx, gy, gu = _grid(model, right)
    impenetrable = (
        np.zeros(k, bool) if model.impenetrable is None else np.asarray(model.impenetrable)
    )
    return Ground(
        x=columns.x, surface=columns.surface, tops=columns.tops, water=columns.water,
        load=columns.load, flow=columns.flow,
        rock=int(impenetrable.argmax()) if impenetrable.any() else k,
        grid_x=gx, grid_y=gy, grid_u=gu, standing=columns.standing,
        gamma_w=float(model.gamma_w), kh=float(model.kh), kv=float(model.kv),
        crack=float(model.crack), crack_water=float(model.crack_water),
        forces=_forces(model, right),
        anchors=np.array([_anchor(a, right) for a in model.anchors]).reshape(-1, 11),
        piles=np.array([_pile(p, right) for p in model.piles]).reshape(-1, 5),
        **_layers(model, k),
    )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class _Lines:
    """What the columns follow from: the very same arrays make the same columns.

    Models that differ in strength, anchors or shaking alone, as roots of these are found by, share
    them.
    """

    surface: Floats
    tops: tuple[Floats, ...]
    water: Floats | None
    strips: Floats
    right: bool
    along: bool

    @property
    def _key(self) -> tuple[int | bool, ...]:
        arrays = (self.surface, *self.tops, self.water, self.strips)
        return (*map(id, arrays), self.right, self.along)

    def __hash__(self) -> int:
        return hash(self._key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Lines) and self._key == other._key


class _Columns(NamedTuple):
    """The part of `Ground` that lines and loads alone decide."""

    x: Floats
    surface: Floats
    tops: Floats
    water: Floats
    load: Floats
    flow: Floats
    standing: float


@lru_cache(maxsize=16)
def _columns(given: _Lines) -> _Columns:
    k = len(given.tops) + 1
    surface = _line(given.surface, "surface", given.right)
    tops = [_line(top, f"top of layer {i + 2}", given.right) for i, top in enumerate(given.tops)]
    water = None if given.water is None else _line(given.water, "water table", given.right)
    left, end = surface[0, 0], surface[-1, 0]
    lines = [surface, *tops, *([] if water is None else [water])]
    for line, name in zip(
        lines, ["surface", *["top of a layer"] * (k - 1), "water table"], strict=False
    ):
        if line[0, 0] > left + 1e-6 or line[-1, 0] < end - 1e-6:
            raise DesignError(f"the {name} does not reach over the whole width of the surface")
    strips = _table(given.strips, 3, "strips")
    if given.right:
        strips = strips[:, [1, 0, 2]] * np.array([-1.0, -1.0, 1.0])
    if (strips[:, 1] < strips[:, 0]).any():
        raise DesignError("a strip load ends before it begins")
    x = np.concatenate([*(line[:, 0] for line in lines), strips[:, 0], strips[:, 1]])
    x = _distinct(x[(x >= left) & (x <= end)])
    standing = -FAR
    if water is not None:
        x = _with_crossings(x, [surface, water])
        depth = _ends(water, x) - _ends(surface, x)
        wet = depth > 1e-6
        if wet.any():
            standing = float(_ends(water, x)[wet].min())
            x = _with_crossings(x, [surface, np.array([[left, standing], [end, standing]])])
    x = _with_crossings(x, [surface, *tops])
    levels = np.empty((len(x) - 1, k, 2))
    levels[:, 0] = _ends(surface, x)
    for i, top in enumerate(tops):
        levels[:, i + 1] = np.minimum(levels[:, i], _ends(top, x))
    table = np.full((len(x) - 1, 2), -FAR) if water is None else _ends(water, x)
    flow = np.ones(len(x) - 1)
    if water is not None and given.along:
        slope = (table[:, 1] - table[:, 0]) / np.diff(x)
        under = table.mean(axis=1) <= levels[:, 0].mean(axis=1) + _NEAR
        flow = np.where(under, 1.0 / (1.0 + slope**2), 1.0)
    middle = 0.5 * (x[1:] + x[:-1])
    load = np.zeros(len(x) - 1)
    for x1, x2, q in strips:
        load += np.where((middle > x1) & (middle < x2), q, 0.0)
    return _Columns(x, np.ascontiguousarray(levels[:, 0]), levels, table, load, flow, standing)


def _layers(model: SlipModel, k: int) -> dict[str, Floats]:
    gamma = _values(model.gamma, k, "gamma", 0.0)
    phi, c = _values(model.phi, k, "phi", 0.0), _values(model.c, k, "c", 0.0)
    su = _values(model.su, k, "su", 0.0)
    if (phi < 0).any() or (phi >= 0.5 * np.pi).any():
        raise DesignError("phi must lie between nil and 90 degrees (in radians)")
    for name, value in (("gamma", gamma), ("c", c), ("su", su)):
        if (value < 0).any():
            raise DesignError(f"{name} must not be negative")
    gradient, datum = (
        _values(model.su_gradient, k, "su_gradient", 0.0),
        _values(model.su_datum, k, "su_datum", 0.0),
    )
    anisotropy = np.ones((k, 3))
    if model.anisotropy is not None:
        anisotropy = np.ascontiguousarray(model.anisotropy, np.float64)
        if anisotropy.shape != (k, 3) or not (anisotropy > 0).all():
            raise DesignError("anisotropy takes three factors above nil for each layer")
    saturated = gamma if model.gamma_sat is None else _values(model.gamma_sat, k, "gamma_sat", 0.0)
    return {
        "gamma": gamma,
        "gamma_sat": saturated,
        "strength": np.column_stack([c, np.tan(phi), su, gradient, datum]),
        "anisotropy": anisotropy,
        "ru": _values(model.ru, k, "ru", 0.0),
    }


def _values(given: ArrayLike | None, k: int, name: str, default: float) -> Floats:
    if given is None:
        return np.full(k, default)
    values = np.ascontiguousarray(given, np.float64)
    if values.shape != (k,) or not np.isfinite(values).all():
        raise DesignError(f"{name} takes one number for each of the {k} layers")
    return values


def _table(given: ArrayLike, columns: int, name: str) -> Floats:
    values = np.asarray(given, np.float64)
    if values.ndim != 2 or values.shape[1] != columns or not np.isfinite(values).all():
        raise DesignError(f"{name} takes rows of {columns} numbers")
    return values


def _line(given: ArrayLike, name: str, right: bool) -> Floats:
    line = _table(given, 2, name)
    if len(line) < 2 or (np.diff(line[:, 0]) < 0).any() or line[-1, 0] <= line[0, 0]:
        raise DesignError(f"the {name} needs two points or more, from left to right")
    return mirrored(line) if right else line


def _forces(model: SlipModel, right: bool) -> Floats:
    forces = _table(model.forces, 4, "forces")
    sign = -1.0 if right else 1.0
    found: Floats = np.ascontiguousarray(forces * np.array([sign, 1.0, sign, 1.0]))
    return found


def _anchor(a: AnchorForce, right: bool) -> list[float]:
    numbers = (a.x, a.y, a.dx, a.dy, a.total)
    if not np.isfinite(numbers).all() or abs(np.hypot(a.dx, a.dy) - 1.0) > 1e-6:
        raise DesignError("an anchor needs a head, a direction of length one and a force", a.name)
    if min(a.total, a.free, a.bond, a.pullout, a.plate) < 0:
        raise DesignError("forces and lengths of an anchor must not be negative", a.name)
    sign = -1.0 if right else 1.0
    free, bond, pullout, plate = (min(v, FAR) for v in (a.free, a.bond, a.pullout, a.plate))
    passive = float(a.convention == "passive")
    head = float(a.acts == "head")
    return [sign * a.x, a.y, sign * a.dx, a.dy, a.total, free, bond, pullout, plate, passive, head]


def _pile(p: ShearForce, right: bool) -> list[float]:
    if p.capacity < 0 or p.bottom > p.top:
        raise DesignError("a row of piles needs a capacity, and its top above its bottom")
    return [-p.x if right else p.x, p.top, p.bottom, p.capacity, float(p.convention == "passive")]


def _grid(model: SlipModel, right: bool) -> tuple[Floats, Floats, Floats]:
    if model.grid is None:
        return np.empty(0), np.empty(0), np.empty((0, 0))
    x, y, u = (
        np.ascontiguousarray(v, np.float64) for v in (model.grid.x, model.grid.y, model.grid.u)
    )
    rising = len(x) > 1 and len(y) > 1 and (np.diff(x) > 0).all() and (np.diff(y) > 0).all()
    if not rising or u.shape != (len(y), len(x)) or not np.isfinite(u).all():
        raise DesignError(
            "a grid of pore pressure needs rising x and y, and one value at each crossing"
        )
    if right:
        return np.ascontiguousarray(-x[::-1]), y, np.ascontiguousarray(u[:, ::-1])
    return x, y, u


def _distinct(x: Floats) -> Floats:
    x = np.unique(x)
    apart: Floats = x[np.concatenate([[True], np.diff(x) > _NEAR])]
    return apart


def _ends(line: Floats, x: Floats) -> Floats:
    """Return the levels of a line at both sides of each column (m, 2); it may have vertical steps."""
    px, py = line[:, 0], line[:, 1]
    out = np.empty((len(x) - 1, 2))
    for side, at in ((0, x[:-1]), (1, x[1:])):
        if side == 0:
            i = np.clip(np.searchsorted(px, at + _NEAR, "right") - 1, 0, len(px) - 2)
        else:
            i = np.clip(np.searchsorted(px, at - _NEAR, "left") - 1, 0, len(px) - 2)
        width = px[i + 1] - px[i]
        share = np.where(width > 0, (at - px[i]) / np.where(width > 0, width, 1.0), 0.0)
        share = np.clip(share, 0.0, 1.0)
        out[:, side] = py[i] + share * (py[i + 1] - py[i])
    return out


def _with_crossings(x: Floats, lines: list[Floats]) -> Floats:
    """Return x with the places added where two of the lines cross between."""
    levels: list[NDArray[np.float64]] = [_ends(line, x) for line in lines]
    found = [x]
    for a, b in combinations(levels, 2):
        d = a - b
        inside = d[:, 0] * d[:, 1] < 0
        share = d[inside, 0] / (d[inside, 0] - d[inside, 1])
        found.append(x[:-1][inside] + share * np.diff(x)[inside])
    return _distinct(np.concatenate(found))
