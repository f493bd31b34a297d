"""Tables of one slip surface for the report: its slices with all their forces, and what acts on it."""

from __future__ import annotations

from collections.abc import Sequence

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.slip_tables import counts_table, minima_table
from backstay.stability.slip.result import SlipResult
from backstay.stability.slip_forces import Applied
from backstay.tables import Table, Writer

__all__ = ["applied_table", "counts_table", "minima_table", "slices_table"]


THRUST_COUNTS = 0.1
"""Share of the greatest push below which the level of a push says nothing, and is not told."""


def slices_table(result: SlipResult, units: UnitSystem, *, datum: float = 0.0) -> Table:
    """Return every slice with its forces, and the sum of the weights.

    datum: elevation of the model's y = 0 (m). Raises ValueError where the surface has no slices.
    """
    s = result.slices
    if s is None:
        raise ValueError(f"the surface has no slices: {result.status}")
    w = Writer(units)
    places = 1 if units is UnitSystem.SI else 2
    stress = 1 if units is UnitSystem.SI else 0

    def force(value: float) -> str:
        return _signed(w.fixed(float(value), "force per length", places))

    def length(value: float) -> str:
        return _signed(w.fixed(float(value), "length", 2))

    push = THRUST_COUNTS * float(s.E.max())
    rows: list[tuple[str, ...]] = []
    for i in range(len(s.x)):
        level = float(s.thrust_y[i + 1])
        told = level == level and float(s.E[i + 1]) > push
        rows.append(
            (
                str(i + 1), length(s.x[i]), length(s.width[i]), force(s.weight[i]),
                force(s.load_x[i]), force(s.load_y[i] + s.weight[i]),
                _signed(w.fixed(float(s.alpha[i]), "angle", 1)), length(s.length[i]),
                w.fixed(float(s.u[i]), "stress", stress), w.fixed(float(s.c[i]), "stress", stress),
                w.fixed(float(s.phi[i]), "angle", 1), force(s.effective_normal[i]),
                force(s.shear[i]), force(s.E[i]), force(s.E[i + 1]), force(s.X[i]),
                force(s.X[i + 1]), length(level + datum) if told else "–",
            )
        )  # fmt: skip
    rows.append(("sum", "", length(s.width.sum()), force(s.weight.sum()), force(s.load_x.sum()),
                 force((s.load_y + s.weight).sum()), *[""] * 12))  # fmt: skip
    load, per = "force per length", QUANTITIES["force per length"].unit(units).label
    head = (
        "No.", w.head("x", "length"), w.head("b", "length"), w.head("W", load),
        f"Qx ({per})", f"Qy ({per})", w.head("α", "angle"), w.head("l", "length"),
        w.head("u", "stress"), w.head("c", "stress"), w.head("φ", "angle"), w.head("N′", load),
        w.head("S", load), w.head("E left", load), w.head("E right", load),
        w.head("X left", load), w.head("X right", load), w.head("Thrust right", "length"),
    )  # fmt: skip
    return Table("Slices", head, tuple(rows), "r" * 18)


SLICES_WORDS = (
    "x, b: middle and width of the slice; W: weight of its ground; Qx, Qy: other loads, to the right "
    "and upward (load and water on the surface, standing water's buoyancy, anchors, wall, "
    "earthquake); α, l: inclination and length of the base, rising away from the movement; u: pore pressure; c, "
    "φ: strength of the base (undrained: c is su); N′: normal force on it less that of pore water "
    "(undrained: the whole normal force); S: shear on it; E, X: push and shear between slices, X on the "
    "left side of a slice upward; thrust: elevation of E on the right side, where it is more than a tenth "
    "of the greatest. "
    "The pressure of standing water is in equilibrium by itself and taken out of N′, E and Q."
)
"""What the columns of the slices mean."""


def applied_table(
    applied: Sequence[Applied], units: UnitSystem, *, datum: float = 0.0
) -> Table:  # fmt: skip
    """Return the forces from outside on the mass: anchors, wall, loads, and the slices they enter."""
    w = Writer(units)
    load = "force per length"
    rows = tuple(
        (
            a.name, w.cell(a.whole, load, 4), w.cell(a.size, load, 4),
            _signed(w.cell(a.x, load, 4)), _signed(w.cell(a.y, load, 4)),
            str(a.slice) if a.slice else "–",
            "–" if a.at is None else
            f"{_signed(w.fixed(a.at[0], 'length', 2))}; {w.fixed(a.at[1] + datum, 'length', 2)}",
            _note(a),
        )
        for a in applied
    )  # fmt: skip
    head = (
        "Force", w.head("At most", load), w.head("Acts", load), w.head("To the right", load),
        w.head("Upward", load), "Slice", w.head("Enters at x; elev.", "length"), "How it counts",
    )  # fmt: skip
    return Table("Forces on the mass", head, rows, "lrrrrrrl", (1.8, 1, 1, 1.1, 1, 0.7, 1.8, 3.2))


def _note(applied: Applied) -> str:
    how = "divided by F, like strength" if applied.divided else "as it is, on the driving side"
    if applied.source == "surcharge":
        return "on the slices below it"
    if applied.source == "anchor":
        if applied.size <= 0.0:
            return "the surface leaves it nothing"
        if applied.size < applied.whole * (1 - 1e-9) and not applied.divided:
            return f"{how}; what the bond behind the surface holds"
    return how


def _signed(words: str) -> str:
    """Return a number with a proper minus sign, none before nil."""
    if words.startswith("-"):
        return words[1:] if not words.strip("-0.") else f"−{words[1:]}"
    return words
