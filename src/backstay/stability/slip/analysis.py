"""Safety of given slip surfaces: one circle, one polyline, or many of either."""

from __future__ import annotations

from typing import Any, get_args

import numpy as np
from numpy.typing import ArrayLike

from backstay.cores import over_cores
from backstay.errors import DesignError
from backstay.stability.slip.arrays import Ground
from backstay.stability.slip.build import kernel
from backstay.stability.slip.columns import ground_arrays
from backstay.stability.slip.model import Circle, Floats, SlipModel
from backstay.stability.slip.result import (
    FLAGS,
    METHODS,
    STATUS,
    BatchResult,
    Cut,
    Flag,
    Method,
    SideForce,
    SlipResult,
)
from backstay.stability.slip.table import slice_table
from backstay.stability.slip.terrain import mirrored

SLICES = 50
"""Slices unless told otherwise."""
LEAST_PART = 32
"""Surfaces that are worth a thread of their own."""
_SIDE_FORCES = {"constant": 0, "half-sine": 1}


def analyse_circle(
    model: SlipModel,
    circle: Circle | ArrayLike,
    method: Method = "spencer",
    slices: int = SLICES,
    *,
    side_force: SideForce | ArrayLike = "half-sine",
    cut: Cut = "at kinks",
) -> SlipResult:
    """Analyse one circle (x, y of the centre, radius).

    side_force: of Morgenstern-Price alone; a name, or a table (m, 2) of share of the width from left
    to right, from nil to one, and value. cut: "at kinks" ends slices also where ground, layers and water
    have corners or meet the base, which takes a few slices more and a hundred times the error away; "equal
    widths" is for comparison.
    """
    row = [circle.x, circle.y, circle.radius] if isinstance(circle, Circle) else circle
    given = _circles(model, np.atleast_2d(np.asarray(row, np.float64)))
    return _one(model, given, np.empty((1, 2, 0)), method, slices, side_force, cut)


def analyse_surface(
    model: SlipModel,
    points: ArrayLike,
    method: Method = "spencer",
    slices: int = SLICES,
    *,
    side_force: SideForce | ArrayLike = "half-sine",
    cut: Cut = "at kinks",
) -> SlipResult:
    """Analyse one polyline (m, 2), x rising; slices end at its corners.

    An upper end below the ground is a crack up to it. Ends above the ground are cut off.
    """
    given = _polylines(model, np.asarray(points, np.float64)[None])
    return _one(model, np.zeros((1, 3)), given, method, slices, side_force, cut)


def analyse_batch(
    model: SlipModel,
    circles: ArrayLike,
    method: Method = "spencer",
    slices: int = SLICES,
    *,
    side_force: SideForce | ArrayLike = "half-sine",
    cut: Cut = "at kinks",
) -> BatchResult:
    """Analyse r circles (r, 3), in parallel over the cores."""
    given = _circles(model, circles)
    return _many(model, given, np.empty((len(given), 2, 0)), method, slices, side_force, cut)


def analyse_surfaces(
    model: SlipModel,
    points: ArrayLike,
    method: Method = "spencer",
    slices: int = SLICES,
    *,
    side_force: SideForce | ArrayLike = "half-sine",
    cut: Cut = "at kinks",
) -> BatchResult:
    """Analyse r polylines of m points each (r, m, 2), in parallel over the cores."""
    given = _polylines(model, np.asarray(points, np.float64))
    return _many(model, np.zeros((len(given), 3)), given, method, slices, side_force, cut)


def _circles(model: SlipModel, circles: ArrayLike) -> Floats:
    given = np.array(circles, np.float64)
    if given.ndim != 2 or given.shape[1] != 3:
        raise DesignError("circles take rows of x, y and radius")
    if not np.isfinite(given).all() or (given[:, 2] <= 0).any():
        raise DesignError("the radius of a slip circle must be more than nil")
    if not model.to_left:
        given[:, 0] *= -1.0
    return given


def _polylines(model: SlipModel, points: Floats) -> Floats:
    """Return polylines (r, m, 2) as the kernel takes them (r, 2, m)."""
    if points.ndim != 3 or points.shape[1] < 2 or points.shape[2] != 2:
        raise DesignError("a slip surface needs two points or more of x and y")
    if not np.isfinite(points).all() or (np.diff(points[:, :, 0], axis=1) <= 0).any():
        raise DesignError("the points of a slip surface must follow each other from left to right")
    toward_left = points if model.to_left else mirrored(points)
    return np.ascontiguousarray(toward_left.transpose(0, 2, 1))


def _settings(
    model: SlipModel, method: Method, slices: int, side_force: SideForce | ArrayLike
) -> tuple[int, int, Floats]:
    """Return the kernel's codes of method and side-force function, and its table."""
    if method not in METHODS:
        raise DesignError(f"no method {method!r}; there are: {', '.join(METHODS)}")
    if not 2 <= slices <= 100_000:
        raise DesignError("the number of slices must lie between 2 and 100000")
    code = min(METHODS.index(method), 2)
    none = np.array([[0.0, 1.0], [1.0, 1.0]])
    if method != "morgenstern-price":
        return code, 0, none
    if isinstance(side_force, str):
        if side_force not in _SIDE_FORCES:
            names = ", ".join(_SIDE_FORCES)
            raise DesignError(
                f"no side-force function {side_force!r}; there are: {names}, or a table"
            )
        return code, _SIDE_FORCES[side_force], none
    table = np.ascontiguousarray(side_force, np.float64)
    fits = (
        table.ndim == 2
        and table.shape[0] > 1
        and table.shape[1] == 2
        and bool(np.isfinite(table).all())
    )
    if not fits or table[0, 0] != 0.0 or table[-1, 0] != 1.0 or (np.diff(table[:, 0]) < 0).any():
        raise DesignError("a table of side forces runs from share 0 to 1 of the width")
    if not model.to_left:
        table = np.ascontiguousarray(table[::-1] * np.array([-1.0, 1.0]) + np.array([1.0, 0.0]))
    return code, 2, table


def _one(
    model: SlipModel,
    circle: Floats,
    line: Floats,
    method: Method,
    slices: int,
    side_force: SideForce | ArrayLike,
    cut: Cut,
) -> SlipResult:
    at_kinks = _at_kinks(cut)
    code, kind, table = _settings(model, method, slices, side_force)
    ground: Ground = ground_arrays(model)
    k = kernel()
    S, x, used = k.workspace(line.shape[2], ground, at_kinks, slices)
    rows = np.empty((1, k.RESULTS))
    k.analyse(circle, line, ground, code, kind, table, slices, at_kinks, S, x, used, rows)
    out = rows[0]
    status = STATUS[int(out[k.STATUS])]
    left, right = float(out[k.LEFT]), float(out[k.RIGHT])
    if not model.to_left:
        left, right = -right, -left
    done = status == "converged"
    slice_of = slice_table(S, int(out[k.SLICES]), out, k, model.to_left, method) if done else None
    force, moment = np.nan, np.nan
    if slice_of is not None:
        force, moment = slice_of.residuals
    return SlipResult(
        F=float(out[k.F]), method=method, status=status, lambda_=float(out[k.LAMBDA]),
        residual_force=force, residual_moment=moment, iterations=int(out[k.PASSES]),
        flags=_flags(int(out[k.FLAGS])), tension=float(out[k.TENSION]), left=left, right=right,
        weight=float(out[k.WEIGHT]), crack=float(out[k.CRACK]),
        slices=None if slice_of is None else slice_of.table, anchors=used,
        surface=np.empty((0, 2)) if slice_of is None else slice_of.surface,
    )  # fmt: skip


def _at_kinks(cut: Cut) -> bool:
    if cut not in get_args(Cut):
        raise DesignError(f"no cut {cut!r}; there are: {', '.join(get_args(Cut))}")
    return cut == "at kinks"


def _flags(code: int) -> tuple[Flag, ...]:
    return tuple(flag for bit, flag in enumerate(FLAGS) if code >> bit & 1)


def _many(
    model: SlipModel,
    circles: Floats,
    lines: Floats,
    method: Method,
    slices: int,
    side_force: SideForce | ArrayLike,
    cut: Cut,
) -> BatchResult:
    at_kinks = _at_kinks(cut)
    code, kind, table = _settings(model, method, slices, side_force)
    ground = ground_arrays(model)
    k: Any = kernel()
    out = np.empty((len(circles), k.RESULTS))

    def some(first: int, end: int) -> None:
        k.analyse(
            circles[first:end], lines[first:end], ground, code, kind, table, slices, at_kinks,
            *k.workspace(lines.shape[2], ground, at_kinks, slices), out[first:end],
        )  # fmt: skip

    over_cores(len(circles), LEAST_PART, some)
    left, right = out[:, k.LEFT].copy(), out[:, k.RIGHT].copy()
    if not model.to_left:
        left, right = -right, -left
    return BatchResult(
        F=out[:, k.F].copy(), lambda_=out[:, k.LAMBDA].copy(),
        status=out[:, k.STATUS].astype(np.int64), flags=out[:, k.FLAGS].astype(np.int64),
        tension=out[:, k.TENSION].copy(), left=left, right=right, weight=out[:, k.WEIGHT].copy(),
        sheared=out[:, k.SHEARED].copy(),
    )  # fmt: skip
