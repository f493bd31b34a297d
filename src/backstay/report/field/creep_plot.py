"""Plots against the logarithm of time: creep while a load is held, load lost after lock-off."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from math import log10

from backstay.basis import Factor
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.field.axes import SMALL, Axes, axes, dot, legend, line_sample, marked_sample
from backstay.report.svg import Canvas, Point
from backstay.stressing.creep import HoldCreep
from backstay.stressing.judge import Judgement
from backstay.stressing.judged_steps import top_step
from backstay.stressing.load_loss import LoadLoss, load_loss
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import CreepLimit, TestRules

WIDTH, HEIGHT = 196.0, 232.0
_FIELD = (31.0, 24.0, WIDTH - 9.0, HEIGHT - 56.0)
_FIT, _LIMIT = "5 2", "1.5 1.5"
Entry = tuple[Callable[[Canvas, Point], None], str]


def judged_hold(record: TestRecord, judgement: Judgement) -> HoldCreep | None:
    """Return the creep of the hold that is judged, None before it has two timed readings."""
    top = top_step(record.procedure)
    held = [c for c in judgement.evaluation.creep if c.index == top and c.points]
    first = [c for c in held if c.cycle <= record.procedure.cycles]
    found = first or held
    return found[-1] if found else None


def limits_drawn(
    record: TestRecord, judgement: Judgement, rules: TestRules
) -> tuple[tuple[CreepLimit, ...], Factor | None]:
    """Return the limits that the hold is judged by: by minutes, and per tenfold time.

    Where the test was not judged yet, those that will judge it first.
    """
    ids = {c.id for c in judgement.checks} | {o.id for o in judgement.waiting}
    known = [x for x in (rules.creep_first, rules.creep_extended, rules.creep_regrouted) if x]
    used = tuple(x for x in known if f"test.creep-{x.start:g}-{x.end:g}" in ids)
    rate = rules.creep_rate if "test.creep-rate" in ids else None
    if "test.stepped-creep" in ids:
        rate = rules.stepped_creep
    if used and used[0] is not known[0] and rules.creep_first and not record.anchor.regrouted:
        used = (rules.creep_first, *used)
    return used, rate


def creep_figure(
    record: TestRecord, judgement: Judgement, rules: TestRules, units: UnitSystem
) -> str:
    """Return creep against log time: the judged hold with its fit and limits, other holds thin."""
    movement = QUANTITIES["small length"]
    main = judged_hold(record, judgement)
    limits, rate = limits_drawn(record, judgement, rules)
    others = [
        c for c in judgement.evaluation.creep if c is not main and len(c.points) > 2 and c.share > 0
    ]
    canvas = Canvas(WIDTH, HEIGHT)
    shown = [c for c in (main, *others) if c is not None]
    first, last = _minutes(shown, limits, record)
    moved = [s - c.points[0][1] for c in shown for _, s in c.points]
    tops = [limit.movement for limit in limits]
    if rate is not None:
        tops.append(rate.value * log10(last / first))
    high = 1.08 * max([1e-4, *moved, *tops])
    low = min([0.0, *moved])
    made = axes(
        canvas, _FIELD, (first, last), (1.15 * low, high), ("Minutes of the hold, log scale", None),
        ("Movement since the first minute read", movement), units,
    )  # fmt: skip
    if not shown:
        _nothing(canvas, "no hold has been read yet")
    for hold in others:
        _hold(made, hold, 0.5)
    for hold in others:
        minute, s = hold.points[-1]
        x, y = made.at(minute, s - hold.points[0][1])
        canvas.label(
            [((x - 2, y - 2), "end"), ((x - 2, y + 7), "end")], f"{hold.share:.3g}", size=5.6
        )
    entries = list(_main(made, main, units)) if main is not None else []
    entries += _limits(made, main, limits, rate, (first, last), units)
    if others:
        entries.append((line_sample(width=0.5), "other holds, with their share of the design load"))
    legend(canvas, (6.0, HEIGHT - 27.0), entries, columns=1, width=WIDTH, pitch=8.2)
    return canvas.document(f"Creep, anchor {record.anchor.name}")


def _minutes(
    shown: Sequence[HoldCreep],
    limits: Sequence[CreepLimit],
    record: TestRecord,
) -> tuple[float, float]:
    """Return the first and the last minute of the axis."""
    read = [minute for c in shown for minute, _ in c.points]
    step = record.procedure.steps[top_step(record.procedure)]
    first = min([1.0, *read])
    last = max([step.hold, 10.0, *read, *(x.end for x in limits)])
    return first, 1.12 * last


def _hold(made: Axes, hold: HoldCreep, width: float) -> None:
    start = hold.points[0][1]
    made.path([(minute, s - start) for minute, s in hold.points], width=width)


def _main(made: Axes, hold: HoldCreep, units: UnitSystem) -> Iterator[Entry]:
    """Draw the judged hold and its fit."""
    movement = QUANTITIES["small length"]
    start = hold.points[0][1]
    _hold(made, hold, 0.8)
    for minute, s in hold.points:
        dot(made.canvas, made.at(minute, s - start))
    yield marked_sample(dot), f"held at {QUANTITIES['force'].text(hold.load, units)}, as read"
    if hold.fit is None:
        return
    ends = (hold.points[0][0], hold.points[-1][0])
    made.path([(t, hold.fit.at(log10(t)) - start) for t in ends], dash=_FIT, width=1.2)
    low, high = hold.fit.interval()
    said = f"fit: {movement.text(hold.fit.slope, units)} per tenfold time"
    if hold.fit.freedom > 0:
        said += f" (95 %: {movement.number(low, units)} to {movement.number(high, units)})"
    yield line_sample(_FIT, 1.2), said


def _limits(
    made: Axes,
    hold: HoldCreep | None,
    limits: Sequence[CreepLimit],
    rate: Factor | None,
    minutes: tuple[float, float],
    units: UnitSystem,
) -> Iterator[Entry]:
    """Draw the limits: what the movement may be at the end of each span, as a bar across it."""
    movement = QUANTITIES["small length"]
    words = []
    for limit in limits:
        base = 0.0
        if hold is not None:
            near = [s for t, s in hold.points if t >= limit.start * (1 - 1e-6)]
            base = (near[0] if near else hold.points[0][1]) - hold.points[0][1]
        top = base + limit.movement
        made.path([(limit.start, base), (limit.end, top)], dash=_LIMIT, width=1.2)
        x, y = made.at(limit.end, top)
        made.canvas.line([(x - 5, y), (x + 5, y)], width=2.0)
        words.append(
            f"{movement.text(limit.movement, units)} from {limit.start:g} to {limit.end:g} min"
        )
    if rate is not None:
        first, last = minutes
        start = max(first, hold.points[0][0]) if hold is not None else first
        top = rate.value * log10(last / start)
        made.path([(start, 0.0), (last, top)], dash=_LIMIT, width=1.2)
        words.append(f"{movement.text(rate.value, units)} per tenfold time")
    if words:
        yield line_sample(_LIMIT, 1.2), f"limit: {'; '.join(words)}"


def _nothing(canvas: Canvas, words: str) -> None:
    left, top, right, bottom = _FIELD
    canvas.text(
        ((left + right) / 2, (top + bottom) / 2), words, size=SMALL + 1, anchor="middle", halo=True
    )


def load_loss_figure(
    record: TestRecord, judgement: Judgement, rules: TestRules, units: UnitSystem
) -> str:
    """Return the load lost after lock-off against log time, with the limits by time."""
    percent = QUANTITIES["percent"]
    loss = judgement.evaluation.load_loss
    canvas = Canvas(WIDTH, HEIGHT)
    table = rules.load_loss.limits if rules.load_loss else ()
    lost = [] if loss is None else _lost(loss)
    last = max([10.0, *(t for t, _ in lost)])
    within = [(t, share) for t, share in table if t <= last * 3.2]
    last = max([last, *(t for t, _ in within)])
    high = 1.15 * max([0.01, *(v for _, v in lost), *(v for _, v in within)])
    low = min([0.0, *(v for _, v in lost)])
    made = axes(
        canvas, _FIELD, (1.0, 1.12 * last), (1.15 * low, high),
        ("Minutes after lock-off, log scale", None), ("Load lost, of that at lock-off", percent), units,
    )  # fmt: skip
    entries: list[Entry] = []
    if within:
        made.path(within, dash=_LIMIT, width=1.2)
        for minute, share in within:
            x, y = made.at(minute, share)
            canvas.line([(x - 5, y), (x + 5, y)], width=2.0)
        entries.append((line_sample(_LIMIT, 1.2), "limit by time"))
    if loss is None or not lost:
        _nothing(canvas, "the load after lock-off has not been read yet")
    else:
        made.path(lost, width=0.8)
        for minute, share in lost:
            dot(canvas, made.at(minute, share))
        entries.insert(0, (
            marked_sample(dot), f"load lost of {QUANTITIES['force'].text(loss.initial, units)}, as read"
        ))  # fmt: skip
        if loss.fit is not None and loss.rate is not None:
            ends = [t for t in (lost[0][0], lost[-1][0]) if t > 0.0]
            fit = [(t, load_loss(loss.initial, loss.fit.at(log10(t)))) for t in ends]
            made.path(fit, dash=_FIT, width=1.2)
            said = f"fit: {percent.text(loss.rate, units)} per tenfold time"
            if rules.load_loss_rate is not None:
                said += f", limit {percent.text(rules.load_loss_rate.value, units)}"
            entries.append((line_sample(_FIT, 1.2), said))
    legend(canvas, (6.0, HEIGHT - 27.0), entries, columns=1, width=WIDTH, pitch=8.2)
    return canvas.document(f"Load after lock-off, anchor {record.anchor.name}")


def _lost(loss: LoadLoss) -> list[Point]:
    return [(t, load_loss(loss.initial, load)) for t, load in loss.points if t > 0.0]
