"""The load lost after lock-off against the logarithm of time, as data, with the limits by time."""

from __future__ import annotations

from math import log10

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.panels import ticks
from backstay.stressing.judge import Judgement
from backstay.stressing.load_loss import load_loss as share_lost
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules
from backstay.workbench.jack.plots import MINUTES, Pairs
from backstay.workbench.jack.shown import Json, text

_SHARE = "percent"


def load_loss(
    record: TestRecord, judgement: Judgement, rules: TestRules, units: UnitSystem
) -> Json:
    """Return the share of the load that is lost with time, by method 2, and what may be lost."""
    loss, shown = judgement.evaluation.load_loss, QUANTITIES[_SHARE]
    hold = max((step.hold for step in record.procedure.steps), default=0.0)
    lost = [] if loss is None else [
        (t, share_lost(loss.initial, load)) for t, load in loss.points if t > 0.0
    ]  # fmt: skip
    last = 1.12 * max([10.0, hold, *(t for t, _ in lost)])
    within = [
        (t, share) for t, share in (rules.load_loss.limits if rules.load_loss else ()) if t <= last
    ]
    lines: list[Json] = []
    if loss is not None and lost:
        initial = text(loss.initial, "force", units)
        lines.append(_timed("read", "read", lost, units, f"lost of {initial}, as read"))
        if loss.fit is not None and loss.rate is not None:
            ends = [
                (t, share_lost(loss.initial, loss.fit.at(log10(t))))
                for t in (lost[0][0], lost[-1][0])
            ]
            said = f"fit: {text(loss.rate, _SHARE, units)} per tenfold time"
            lines.append(_timed("fit", "fit", ends, units, said))
    if within:
        at = ", ".join(f"{text(share, _SHARE, units)} at {t:g} min" for t, share in within)
        lines.append(_timed("limit", "limit", within, units, f"limit: {at}"))
    if rules.load_loss_rate is not None:
        rate = rules.load_loss_rate.value
        start = lost[0] if lost else (1.0, 0.0)
        ends = [start, (last, start[1] + rate * log10(last / start[0]))]
        said = f"limit: {text(rate, _SHARE, units)} per tenfold time"
        lines.append(_timed("limit", "limit", ends, units, said))
    shares = [p[1] for line in lines for p in line["points"]]
    high, low = 1.08 * max([1e-3, *shares]), min([0.0, *shares])
    return {
        "title": "Load after lock-off" if lost else "Load after lock-off: not read yet",
        "x": {
            "words": "Minutes after lock-off, log scale", "low": 0.0, "high": log10(last),
            "ticks": [{"at": log10(t), "text": str(t)} for t in MINUTES if t <= last],
        },
        "y": {
            "words": f"Load lost ({shown.unit(units).label})", "low": low, "high": high,
            "ticks": [{"at": t, "text": f"{t:g}"} for t in ticks(0.0, high, 5) if t <= high],
        },
        "lines": lines,
    }  # fmt: skip


def _timed(name: str, style: str, points: Pairs, units: UnitSystem, said: str) -> Json:
    shown = QUANTITIES[_SHARE]
    pairs = [[log10(t), shown.shown(share, units)] for t, share in points]
    return {"name": name, "style": style, "points": pairs, "words": said}
