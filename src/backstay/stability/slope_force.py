"""The anchor force that a slip surface needs, and the inclination that asks least of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import cos, degrees, inf, isfinite, radians, sin

import numpy as np

from backstay.errors import DesignError
from backstay.stability.slip.model import AnchorForce, Convention, SlipModel
from backstay.stability.slip.result import Method
from backstay.stability.slope import Surface, analysed, safety

GREATEST_FORCE = 1e5
"""Greatest anchor force that is tried (kN/m)."""
STEPS = 6
"""Inclinations of the first look, from the least to the greatest."""
CLOSE = 1e-7
"""Difference in F to which a force is found."""
LEFT = 1e-4
"""Difference in F that a force may be off, where the analyses beside it have no solution."""
Heads = Sequence[tuple[float, float]]
"""Heads (x, y) of rows."""


@dataclass(frozen=True, slots=True)
class RequiredForce:
    """Anchor force (kN/m) for a target, at an inclination (rad), with the residual in F.

    Infinite where no force at that inclination gives the target.
    """

    force: float
    inclination: float
    target: float
    residual: float
    tried: int


def towards(model: SlipModel, inclination: float) -> tuple[float, float]:
    """Return the direction from a head into the ground, at an inclination below horizontal (rad)."""
    return (1.0 if model.to_left else -1.0) * cos(inclination), -sin(inclination)


def anchored(
    model: SlipModel, heads: Heads, inclination: float, force: float,
    convention: Convention = "active",
) -> SlipModel:  # fmt: skip
    """Return the model with a force (kN/m) added, shared evenly by rows that reach beyond any surface."""
    dx, dy = towards(model, inclination)
    rows = tuple(
        AnchorForce(
            x=x, y=y, dx=dx, dy=dy, total=force / len(heads), convention=convention, name=f"row {i}"
        )
        for i, (x, y) in enumerate(heads, start=1)
    )
    return replace(model, anchors=(*model.anchors, *rows))


def required_force(
    model: SlipModel,
    surface: Surface,
    heads: Heads,
    inclination: float,
    target: float,
    *,
    method: Method = "spencer",
    convention: Convention = "active",
    guess: float = 0.0,
    now: float | None = None,
) -> RequiredForce:
    """Return the force per metre, shared evenly by rows with heads (x, y), that gives the target.

    It is added to the anchors that the model has. Nil where the target is reached without; guess:
    where to begin (kN/m); now: the safety without, where it is known. Raises DesignError where no force within reach gives the target.
    """
    tried = 0

    def at(T: float) -> float:
        nonlocal tried
        tried += 1
        result = analysed(anchored(model, heads, inclination, T, convention), surface, method)
        if result.status == "does not drive":
            return inf
        return result.F - target if result.converged else -inf

    bare = safety(model, surface, method).F if now is None else now
    off = bare - target
    if off >= 0.0:
        return RequiredForce(0.0, inclination, target, 0.0, 1)
    low, high = 0.0, guess if guess > 0.0 else 10.0
    f_low, f_high = off, at(high)
    while f_high < 0.0:
        low, f_low, high = high, f_high, 2.0 * high
        if high > GREATEST_FORCE:
            raise DesignError("no anchor force within reach gives the target", "anchors")
        f_high = at(high)
    force, residual = rising_root(at, low, f_low, high, f_high)
    if not residual <= LEFT:
        raise DesignError(
            "no anchor force gives just the target: no solution lies there", "anchors"
        )
    return RequiredForce(force, inclination, target, residual, tried)


def rising_root(
    f: Callable[[float], float], low: float, f_low: float, high: float, f_high: float
) -> tuple[float, float]:
    """Return where a rising function is nil within a bracket, not below it, and what is left there.

    False position with the retained end's value halved (Illinois); bisection while an end is
    infinite. The upper end of the bracket is returned once it is close enough.
    """
    side, left, a, b = 0, f_high, f_low, f_high
    for _ in range(200):
        if left <= CLOSE or high - low <= 1e-12 * high:
            break
        if isfinite(a) and isfinite(b):
            x = min(max(high - b * (high - low) / (b - a) + 1e-10 * high, low), high)
        else:
            x = 0.5 * (low + high)
        value = f(x)
        if value >= 0.0:
            high, b, left = x, value, value
            a = 0.5 * a if side > 0 else a
            side = 1
        else:
            low, a = x, value
            b = 0.5 * b if side < 0 else b
            side = -1
    return high, left


def force_by_inclination(
    required: Callable[[float, float], RequiredForce], *, least: float, greatest: float
) -> tuple[RequiredForce, ...]:
    """Return the force over a range of inclinations (rad), by rising inclination.

    required(inclination, guess): the force at one inclination; infinite where no force does. A
    first look at even steps is followed, beside the lowest, at the whole degrees between its
    neighbours, halving the way to them: holes are set out to whole degrees.
    """
    found: dict[float, RequiredForce] = {}

    def at(i: float) -> float:
        if i not in found:
            near = min(found, key=lambda k: abs(k - i), default=None)
            guess = found[near].force if near is not None else 0.0
            try:
                found[i] = required(i, guess if isfinite(guess) else 0.0)
            except DesignError:  # no force at this inclination: it is not the best
                found[i] = RequiredForce(inf, i, 0.0, inf, 1)
        return found[i].force

    for i in np.linspace(least, max(least, greatest), STEPS):
        at(_whole(float(i), least, greatest))
    while True:
        order = sorted(found)
        k = min(range(len(order)), key=lambda j: found[order[j]].force)
        beside = {
            _whole(0.5 * (order[k] + order[j]), least, greatest)
            for j in (k - 1, k + 1)
            if 0 <= j < len(order)
        } - set(order)
        if not beside or found[order[k]].force == 0.0:
            return tuple(found[i] for i in order)
        for i in beside:
            at(i)


def _whole(angle: float, least: float, greatest: float) -> float:
    """Return the nearest whole degree within limits, or the limit."""
    return min(max(radians(round(degrees(angle))), least), max(least, greatest))


def least_of(forces: Sequence[RequiredForce]) -> RequiredForce:
    """Return the least force of a range. Raises DesignError where none gives the target."""
    found = min(forces, key=lambda r: r.force)
    if found.force == inf:
        raise DesignError("no anchor force at any inclination gives the target", "anchors")
    return found
