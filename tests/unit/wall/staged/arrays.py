"""A wall in arrays, from keywords: what the compiled kernel of the staged analysis is called with.

The kernel takes flat arrays; a test says `Layer`, `Row` and `Stage` and gets an `Outcome`. Nothing
here computes a pressure or a force.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from types import ModuleType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from backstay.wall.staged import kernel as KERNEL

Floats = NDArray[np.float64]

DRY = 1e9
"""Depth of water that is never met."""
ABSENT, STRESSING, HOLDING = 0, 1, 2
CONVERGED, MECHANISM, NOT_CONVERGED = 0, 1, 2
EVER = 1e9


@dataclass(frozen=True)
class Layer:
    """A stratum from depth `top` (m): kN/m3, kPa, kN/m3 of subgrade modulus."""

    top: float = 0.0
    gamma: float = 18.0
    gamma_sat: float = 20.0
    Ka: float = 1 / 3
    Kp: float = 3.0
    c: float = 0.0
    su: float = 0.0
    su_gradient: float = 0.0
    K0: float = 0.5
    kh: float = 20000.0
    kh_gradient: float = 0.0
    arching: float = 1.0


@dataclass(frozen=True)
class Row:
    """A support: depth (m), stiffness (kN/m), lock-off load and greatest load (kN)."""

    depth: float
    k: float = 5000.0
    lock: float = 0.0
    cap: float = EVER


@dataclass(frozen=True)
class Stage:
    """One stage; `rows` the state of each support, `lock` their loads where they change."""

    dig: float = 0.0
    water_r: float = DRY
    water_c: float = DRY
    load: float = 0.0
    seepage: float = 0.0
    rows: tuple[int, ...] = ()
    lock: tuple[float, ...] | None = None
    undrained: bool = False
    stiffness: float = 1.0
    pressure: tuple[float, float, float] = (0.0, 0.0, 0.0)
    """A load on the wall: from depth, to depth, kN/m."""


@dataclass(frozen=True)
class Wall:
    """A wall with its ground and its stages; `mesh` the greatest element (m)."""

    length: float
    stages: tuple[Stage, ...]
    layers: tuple[Layer, ...] = (Layer(),)
    rows: tuple[Row, ...] = ()
    EI: float = 50000.0
    EI_below: tuple[float, float] | None = None
    """Depth below which another EI holds, and that EI."""
    spacing: float = 1.0
    pile_width: float = 1.0
    mesh: float = 0.1
    marks: tuple[float, ...] = ()
    tolerance: float = 1e-10
    bound: float = 2.0

    def depths(self) -> list[float]:
        """Return the depths where something changes, from head to toe."""
        places = {0.0, self.length, *self.marks}
        places |= {lay.top for lay in self.layers} | {row.depth for row in self.rows}
        for stage in self.stages:
            places |= {stage.dig, *stage.pressure[:2]}
        if self.EI_below:
            places.add(self.EI_below[0])
        return sorted(p for p in places if 0.0 <= p <= self.length)


@dataclass(frozen=True)
class Outcome:
    """What the kernel says of a wall; stage first."""

    wall: Wall
    z: Floats
    h: Floats
    completed: int
    status: int
    w: Floats
    theta: Floats
    V: Floats
    M: Floats
    p_r: Floats
    p_c: Floats
    low_r: Floats
    high_r: Floats
    low_c: Floats
    high_c: Floats
    T: Floats
    residual: Floats
    solves: int
    arguments: Mapping[str, Any] = field(repr=False)

    @property
    def stands(self) -> bool:
        return self.status == CONVERGED

    def at(self, depth: float) -> int:
        """Return the node at a depth."""
        i = int(np.argmin(abs(self.z - depth)))
        assert abs(self.z[i] - depth) < 1e-9, f"no node at {depth}"
        return i

    @property
    def gauss(self) -> Floats:
        """Depths of the points (element, 2) at which pressure is taken."""
        x = 0.5 + 0.5 / np.sqrt(3) * np.array([-1.0, 1.0])
        return np.asarray(self.z[:-1, None] + self.h[:, None] * x)

    def widths(self, stage: int) -> tuple[Floats, Floats]:
        """Widths over which the pressures behind and in front act, per element."""
        dug = self.z[:-1] < self.wall.stages[stage].dig - 1e-9
        wet = self.gauss[:, 1] > self.wall.stages[stage].water_c
        open_water = np.where(wet, self.wall.spacing, 0.0)
        behind = np.where(dug, self.wall.spacing, self.wall.pile_width)
        return behind, np.where(dug, open_water, self.wall.pile_width)


def nodes(wall: Wall) -> Floats:
    """Return depths of nodes: every place on a node, elements no longer than `mesh`."""
    parts = [np.array([0.0])]
    places = wall.depths()
    for a, b in pairwise(places):
        parts.append(np.linspace(a, b, max(1, int(np.ceil((b - a) / wall.mesh - 1e-9))) + 1)[1:])
    return np.concatenate(parts)


def arguments(wall: Wall) -> dict[str, Any]:
    """Return the arguments of `kernel.run`, in its order, without the outputs."""
    z = nodes(wall)
    h = np.diff(z)
    middle = z[:-1] + h / 2
    tops = np.array([lay.top for lay in wall.layers])
    layer = np.searchsorted(tops, middle, side="right") - 1
    EI = np.full(len(h), wall.EI)
    if wall.EI_below:
        EI[middle > wall.EI_below[0]] = wall.EI_below[1]
    S, A = len(wall.stages), len(wall.rows)

    def strata(name: str) -> Floats:
        return np.array([getattr(lay, name) for lay in wall.layers], float)

    def stages(name: str) -> Floats:
        return np.array([getattr(stage, name) for stage in wall.stages], float)

    def rows(values: Sequence[float]) -> Floats:
        return np.tile(np.array(values, float), (S, 1)).reshape(S, A)

    external = np.zeros((S, len(h), 2))
    for s, stage in enumerate(wall.stages):
        a, b, p = stage.pressure
        external[s, (middle > a) & (middle < b), :] = p
    lock = rows([row.lock for row in wall.rows])
    for s, stage in enumerate(wall.stages):
        if stage.lock is not None:
            lock[s] = stage.lock
    state = np.zeros((S, A), np.int64)
    for s, stage in enumerate(wall.stages):
        state[s, : len(stage.rows)] = stage.rows
    node = np.array([int(np.argmin(abs(z - row.depth))) for row in wall.rows], np.int64)
    undrained = np.array([[stage.undrained] * len(tops) for stage in wall.stages], np.bool_)
    return {
        "z": z, "h": h, "layer": layer.astype(np.int64), "EI": EI,
        "gamma": strata("gamma"), "gamma_sat": strata("gamma_sat"),
        "Ka": strata("Ka"), "Kp": strata("Kp"), "c": strata("c"),
        "su": strata("su"), "su_gradient": strata("su_gradient"), "K0": strata("K0"),
        "kh": strata("kh"), "kh_gradient": strata("kh_gradient"), "layer_top": tops,
        "dig": stages("dig"), "water_r": stages("water_r"), "water_c": stages("water_c"),
        "load": stages("load"), "seepage": stages("seepage"), "undrained": undrained,
        "stiffness": stages("stiffness"), "spacing": wall.spacing, "pile_width": wall.pile_width,
        "arching": strata("arching"), "external": external, "node": node, "a_state": state,
        "a_k": rows([row.k for row in wall.rows]), "a_lock": lock,
        "a_cap": rows([row.cap for row in wall.rows]),
        "tolerance": wall.tolerance, "bound": wall.bound,
    }  # fmt: skip


def run(wall: Wall, *, kernel: ModuleType = KERNEL, **changed: Any) -> Outcome:
    """Carry a wall through its stages; `changed` replaces arguments of the kernel by name."""
    given = arguments(wall) | changed
    S, n, A = len(wall.stages), len(given["z"]), len(wall.rows)
    w, V, M = np.zeros((S, n, 2)), np.zeros((S, n, 2)), np.zeros((S, n))
    pressures = [np.zeros((S, 2 * (n - 1))) for _ in range(6)]
    T, residual, count = np.zeros((S, A)), np.zeros(S), np.zeros(2, np.int64)
    completed, status = kernel.run(
        *given.values(),
        w, V, M, *pressures, T, residual, count,
    )  # fmt: skip
    p_r, p_c, low_r, high_r, low_c, high_c = (p.reshape(S, n - 1, 2) for p in pressures)
    return Outcome(
        wall, given["z"], given["h"], int(completed), int(status), w[..., 0], w[..., 1], V,
        M, p_r, p_c, low_r, high_r, low_c, high_c, T, residual, int(count[0]), given,
    )  # fmt: skip


def finer(wall: Wall) -> Wall:
    """Return the wall with every element halved."""
    z = nodes(wall)
    return replace(wall, marks=tuple(z) + tuple((z[1:] + z[:-1]) / 2))
