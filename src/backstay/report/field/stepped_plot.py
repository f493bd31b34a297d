"""The plot of the stepped-load method: creep rate of every step by its load, and where it breaks."""

from __future__ import annotations

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.field.axes import axes, dot, legend, line_sample, marked_sample
from backstay.report.svg import Canvas
from backstay.stressing.judge import Judgement
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules

WIDTH, HEIGHT = 240.0, 190.0
_LINE, _LIMIT = "5 2", "1.5 1.5"


def stepped_figure(
    record: TestRecord, judgement: Judgement, rules: TestRules, units: UnitSystem
) -> str:
    """Return creep rate by load with the two lines, the critical creep load and the limit."""
    force, movement = QUANTITIES["force"], QUANTITIES["small length"]
    found = judgement.evaluation
    rates, critical = found.rates, found.critical
    canvas = Canvas(WIDTH, HEIGHT)
    field = (31.0, 24.0, WIDTH - 9.0, HEIGHT - 46.0)
    limit = rules.stepped_creep
    high = max([1e-4, *(r.rate for r in rates), *([limit.value] if limit else [])])
    low = min([0.0, *(r.rate for r in rates)])
    made = axes(
        canvas, field, (0.0, 1.06 * record.procedure.test_load), (1.15 * low, 1.1 * high),
        ("Load", force), ("Creep rate α, per tenfold time", movement), units,
    )  # fmt: skip
    made.upright(record.anchor.lock_off_load, "lock-off load")
    if critical is not None and critical.load is not None and critical.meet is not None:
        made.upright(critical.load, f"critical {force.text(critical.load, units)}", dash="4 2")
        for line, ends in (
            (critical.first, (0.0, critical.meet)),
            (critical.second, (critical.meet, record.procedure.test_load)),
        ):
            if line is not None:
                made.path([(x, line.at(x)) for x in ends], dash=_LINE, width=1.1)
    made.path([(r.load, r.rate) for r in rates], width=0.6)
    for r in rates:
        dot(canvas, made.at(r.load, r.rate))
    entries = [(marked_sample(dot), "rate of each step")]
    if critical is not None and critical.load is not None:
        entries.append((line_sample(_LINE, 1.1), "lines that fit best"))
    if limit is not None:
        made.path(
            [(0.0, limit.value), (1.06 * record.procedure.test_load, limit.value)],
            dash=_LIMIT, width=1.2,
        )  # fmt: skip
        entries.append((line_sample(_LIMIT, 1.2), f"limit {movement.text(limit.value, units)}"))
    legend(canvas, (6.0, HEIGHT - 14.0), entries, columns=3, width=WIDTH - 4)
    return canvas.document(f"Creep rate by load, anchor {record.anchor.name}")
