"""The plots of a test as data: axes with their ticks, lines and marks, and the limits with words.

The tablet draws what stands here; nothing is left to it but the place on its screen. Time stands as
its logarithm already.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import log10

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.field.creep_plot import judged_hold, limits_drawn
from backstay.report.panels import ticks
from backstay.stressing.free_length import free_length_limits
from backstay.stressing.judge import Judgement
from backstay.stressing.judged_steps import top_step
from backstay.stressing.movement import elastic_movement_for
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules
from backstay.workbench.jack.shown import Json, text

_MOVED, _FORCE = "small length", "force"
MINUTES = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000)
Pairs = Sequence[tuple[float, float]]


def load_movement(
    record: TestRecord, judgement: Judgement, rules: TestRules, units: UnitSystem
) -> Json:
    """Return movement of the head by load, with the limits of the apparent free length."""
    procedure, anchor, found = record.procedure, record.anchor, judgement.evaluation
    P_al, P_t = procedure.alignment_load, procedure.test_load
    lengths = free_length_limits(anchor, rules)
    least, most = (
        elastic_movement_for(L, P_t, P_al, anchor.area, anchor.modulus)
        for L in (lengths.least, lengths.greatest)
    )
    read = [(p.load, p.movement) for p in found.points]
    lines = [
        _line("greatest", "limit", [(P_al, 0.0), (P_t, most)], _FORCE, units,
              f"greatest: {text(most, _MOVED, units)} at the test load"),
        _line("least", "limit", [(P_al, 0.0), (P_t, least)], _FORCE, units,
              f"least: {text(least, _MOVED, units)} at the test load"),
        _line("read", "read", read, _FORCE, units, "as read"),
    ]  # fmt: skip
    back = [(c.load, c.residual) for c in found.cycles if c.residual is not None]
    if back:
        lines.append(_line("residual", "marks", back, _FORCE, units, "residual, each cycle"))
    high = 1.06 * max([most, *(s for _, s in read)])
    low = min([0.0, *(s for _, s in read)])
    far = 1.06 * max([P_t, *(p for p, _ in read)])
    return {
        "title": "Movement by load", "x": _axis("Load", _FORCE, 0.0, far, units),
        "y": _axis("Movement of the head", _MOVED, low, high, units), "lines": lines,
    }  # fmt: skip


def creep(record: TestRecord, judgement: Judgement, rules: TestRules, units: UnitSystem) -> Json:
    """Return creep of the judged hold against the logarithm of time, with its limits and its fit."""
    main = judged_hold(record, judgement)
    limits, rate = limits_drawn(record, judgement, rules)
    step = record.procedure.steps[top_step(record.procedure)]
    read = [] if main is None else [(t, s - main.points[0][1]) for t, s in main.points]
    first = min([1.0, *(t for t, _ in read)])
    last = 1.12 * max([10.0, step.hold, *(t for t, _ in read), *(x.end for x in limits)])
    lines: list[Json] = []
    if read:
        lines.append(_timed("read", "read", read, units, "as read"))
    if main is not None and main.fit is not None:
        fit, start = main.fit, main.points[0][1]
        ends = [(t, fit.at(log10(t)) - start) for t in (read[0][0], read[-1][0])]
        said = f"fit: {text(fit.slope, _MOVED, units)} per tenfold time"
        lines.append(_timed("fit", "fit", ends, units, said))
    for limit in limits:
        near = [s for t, s in read if t >= limit.start * (1.0 - 1e-6)]
        base = near[0] if near else 0.0
        ends = [(limit.start, base), (limit.end, base + limit.movement)]
        said = f"limit: {text(limit.movement, _MOVED, units)} from {limit.start:g} to {limit.end:g} min"
        lines.append(_timed("limit", "limit", ends, units, said))
    if rate is not None:
        start = read[0][0] if read else first
        ends = [(start, 0.0), (last, rate.value * log10(last / start))]
        said = f"limit: {text(rate.value, _MOVED, units)} per tenfold time"
        lines.append(_timed("limit", "limit", ends, units, said))
    moved = [p[1] for line in lines for p in line["points"]]
    in_unit = QUANTITIES[_MOVED]
    high = 1.08 * in_unit.internal(max(moved, default=0.0), units)
    low = in_unit.internal(min([0.0, *moved]), units)
    minutes = [t for t in MINUTES if first <= t <= last]
    return {
        "title": "Creep at the test load" if main else "Creep: the hold has not been read yet",
        "x": {
            "words": "Minutes of the hold, log scale", "low": log10(first), "high": log10(last),
            "ticks": [{"at": log10(t), "text": str(t)} for t in minutes],
        },
        "y": _axis("Movement", _MOVED, low, max(high, 1e-4), units), "lines": lines,
    }  # fmt: skip


def _axis(words: str, quantity: str, low: float, high: float, units: UnitSystem) -> Json:
    shown = QUANTITIES[quantity]
    a, b = shown.shown(low, units), shown.shown(high, units)
    below = [-t for t in ticks(0.0, -a, 2) if t] if a < -0.05 * b else []
    places = [*reversed(below), *ticks(0.0, b, 5)]
    return {
        "words": f"{words} ({shown.unit(units).label})", "low": a, "high": b,
        "ticks": [{"at": t, "text": f"{t:g}"} for t in places if a - 1e-9 <= t <= b + 1e-9],
    }  # fmt: skip


def _line(name: str, style: str, points: Pairs, x: str, units: UnitSystem, said: str) -> Json:
    across, up = QUANTITIES[x], QUANTITIES[_MOVED]
    pairs = [[across.shown(a, units), up.shown(b, units)] for a, b in points]
    return {"name": name, "style": style, "points": pairs, "words": said}


def _timed(name: str, style: str, points: Pairs, units: UnitSystem, said: str) -> Json:
    up = QUANTITIES[_MOVED]
    pairs = [[log10(t), up.shown(s, units)] for t, s in _positive(points)]
    return {"name": name, "style": style, "points": pairs, "words": said}


def _positive(points: Pairs) -> Iterator[tuple[float, float]]:
    return ((t, s) for t, s in points if t > 0.0)
