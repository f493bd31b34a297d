"""The plot of movement by load: as read, what came back, what stayed, and the limits of free length."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.field.axes import (
    SMALL,
    axes,
    dot,
    legend,
    line_sample,
    marked_sample,
    square,
    triangle,
)
from backstay.report.svg import Box, Canvas, Point, text_box
from backstay.stressing.free_length import free_length_limits
from backstay.stressing.judge import Judgement
from backstay.stressing.movement import elastic_movement_for
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules

WIDTH, HEIGHT = 300.0, 232.0
LEAST, MOST = "6 2.5", "8 2 1.5 2"
_ELASTIC, _RESIDUAL = "", "1.2 1.8"
_BESIDE = (0.0, -6.0, 6.0, 12.0, -12.0)


def load_movement_figure(
    record: TestRecord, judgement: Judgement, rules: TestRules, units: UnitSystem
) -> str:
    """Return the figure. The limits are those of the elastic movement, from the alignment load."""
    force, movement = QUANTITIES["force"], QUANTITIES["small length"]
    procedure, anchor = record.procedure, record.anchor
    found = judgement.evaluation
    lengths = free_length_limits(anchor, rules)
    P_al, P_t = procedure.alignment_load, procedure.test_load
    least, most = (
        elastic_movement_for(L, P_t, P_al, anchor.area, anchor.modulus)
        for L in (lengths.least, lengths.greatest)
    )
    moved = [p.movement for p in found.points]
    highest = max([most, *moved])
    lowest = min([0.0, *moved])
    span = highest - lowest
    canvas = Canvas(WIDTH, HEIGHT)
    field = (31.0, 24.0, WIDTH - 9.0, HEIGHT - 56.0)
    loads = [p.load for p in found.points]
    made = axes(
        canvas, field, (0.0, 1.06 * max([P_t, *loads])),
        (lowest - (0.05 * span if lowest < 0.0 else 0.0), highest + 0.04 * span),
        ("Load", force), ("Movement of the head", movement), units,
    )  # fmt: skip
    for load, words in (
        (P_t, f"test load {force.text(P_t, units)}"), (P_al, "alignment load"),
        (procedure.design_load, "design load"),
    ):  # fmt: skip
        made.upright(load, words)
    made.path([(P_al, 0.0), (P_t, least)], dash=LEAST, width=1.1)
    made.path([(P_al, 0.0), (P_t, most)], dash=MOST, width=1.1)
    made.path([(p.load, p.movement) for p in found.points], width=0.7)
    for stay in found.visited:
        dot(canvas, made.at(stay.last.load, stay.last.movement))
    back = [(c.load, c.elastic, c.residual) for c in found.cycles if c.elastic is not None]
    made.path([(load, elastic) for load, elastic, _ in back if elastic is not None], width=1.3)
    left = [(load, residual) for load, _, residual in back if residual is not None]
    made.path(left, dash=_RESIDUAL, width=1.3)
    for load, elastic, residual in back:
        if elastic is not None and residual is not None:
            triangle(canvas, made.at(load, elastic))
            square(canvas, made.at(load, residual))
    curve = [made.at(p.load, p.movement) for p in found.points]
    for value, words in ((most, "greatest"), (least, "least")):
        x, y = made.at(P_t, value)
        places = [((x - 3 - dx, y - 3 + dy), "end") for dx in (0, 24, 48) for dy in _BESIDE]
        clear = [
            p for p in places if not crosses(curve, text_box(p[0], words, size=SMALL, anchor="end"))
        ]
        canvas.label(clear or places, words, size=SMALL)  # type: ignore[arg-type]
    length = QUANTITIES["length"]
    limits = [
        (line_sample(dash, 1.1), f"{name}: free length {length.text(L, units)}, "
         f"{movement.text(value, units)} at the test load")
        for name, dash, L, value in (
            ("greatest", MOST, lengths.greatest, most), ("least", LEAST, lengths.least, least),
        )
    ]  # fmt: skip
    read = (marked_sample(dot, width=0.7), "total, as read; a dot: last reading of a step")
    legend(canvas, (6.0, HEIGHT - 25.0), [read, *limits], columns=1, width=WIDTH)
    of_cycles = [
        (marked_sample(triangle), "elastic, each cycle"),
        (marked_sample(square, _RESIDUAL, 1.3), "residual, each cycle"),
    ]
    legend(canvas, (214.0, HEIGHT - 25.0), of_cycles, columns=1, width=WIDTH)
    return canvas.document(f"Movement by load, anchor {anchor.name}")


def crosses(line: Sequence[Point], box: Box) -> bool:
    """Say whether a line through points meets a box (left, top, right, bottom)."""
    left, top, right, bottom = box
    for (x0, y0), (x1, y1) in pairwise(line):
        low, high = 0.0, 1.0
        for start, way, least, most in ((x0, x1 - x0, left, right), (y0, y1 - y0, top, bottom)):
            if way == 0.0:
                if not least <= start <= most:
                    high = -1.0
                continue
            ends = sorted(((least - start) / way, (most - start) / way))
            low, high = max(low, ends[0]), min(high, ends[1])
        if low <= high:
            return True
    return False
