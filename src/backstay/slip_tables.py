"""Tables of slip surfaces, as text in a unit system: minima, searches, and the slices of one surface."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.stability.least_surface import METHOD_NAMES, flag_words
from backstay.stability.overall_comparison import Compared
from backstay.stability.slip.model import SlipModel
from backstay.stability.slip.result import METHODS, Method, SliceTable, SlipResult
from backstay.stability.slip.search_result import Kind, Minimum, SearchResult
from backstay.stability.slip_forces import (
    Applied,
    SliceForces,
    closing_shares,
    water_on_base,
    worst_closing,
)
from backstay.tables import Table, Writer

KIND_WORDS: dict[Kind, str] = {
    "circle": "circle", "composite": "circle cut by rock", "plane": "plane", "wedge": "wedge",
    "block": "block along a layer", "general": "general",
}  # fmt: skip
_HEADS: dict[Method, str] = {
    "spencer": "Spencer", "morgenstern-price": "Morgenstern-Price", "bishop": "Bishop",
    "ordinary": "Ordinary",
}  # fmt: skip


FORCE_WORDS = {
    "dE": "ΔE", "dX": "ΔX", "E_l": "E left", "E_r": "E right", "X_l": "X left", "X_r": "X right", "N'": "N′",
}  # fmt: skip
"""Symbols of the forces on a slice, as shown."""
THRUST_COUNTS = 0.1
"""Share of the greatest push below which the level of a push says nothing, and is not told."""


def safety_words(F: float | None) -> str:
    """Return a factor of safety as tables print it."""
    return "–" if F is None or not isfinite(F) else f"{F:.3f}"


def lettered(F: float) -> str:
    """Return a factor of safety as pictures letter it: two decimals, never more than there is."""
    if not isfinite(F):
        return "–"
    hundredths = round(F * 100)
    return f"{(hundredths - (hundredths / 100 > F)) / 100:.2f}"


def admissible_words(minimum: Minimum, searched: Method) -> str:
    """Say why a surface counts: admissible, or by what stands in for that."""
    result = minimum.result
    if result.method != searched:
        return f"no solution by {METHOD_NAMES[searched]}: {METHOD_NAMES[result.method]} stands in"
    if result.flags:
        return f"by moments; {flag_words(result.flags)}"
    return "yes"


def minima_table(
    first: str, lines: Sequence[tuple[str, Compared]], units: UnitSystem, *, searched: Method,
    datum: float = 0.0,
) -> Table:  # fmt: skip
    """Return surfaces by every method that suits them, the governing factor of safety first.

    first: head of the first column, whose words come with each line; searched: the method of the
    search; datum: elevation of the model's y = 0 (m).
    """
    w = Writer(units)

    def place(at: tuple[float, float]) -> str:
        x = w.fixed(at[0], "length", 1).replace("-0.0", "0.0").replace("-", "−")
        return f"{x}; {w.fixed(at[1] + datum, 'length', 1)}"

    others = [m for m in ("spencer", "morgenstern-price", "bishop", "ordinary") if m in METHODS]
    rows = [
        (
            words, KIND_WORDS[c.minimum.kind], place(c.minimum.out), place(c.minimum.start),
            w.fixed(c.minimum.thickness, "length", 1), safety_words(c.minimum.F),
            *(safety_words(c.safety(m)) for m in others),
            admissible_words(c.minimum, searched) + ("; at a limit of the search" * c.minimum.at_edge),
        )
        for words, c in lines
    ]  # fmt: skip
    head = (
        first, "Surface", w.head("Comes out, x; elev.", "length"),
        w.head("Starts, x; elev.", "length"), w.head("Thick", "length"), "F",
        *(_HEADS[m] for m in others), "Admissible",
    )  # fmt: skip
    return Table(
        "Minima", head, tuple(rows), "llrrrrrrrrl",
        (1.5, 1.2, 1.6, 1.6, 0.8, 0.9, 1.1, 1.75, 1.0, 1.2, 2.3),
    )  # fmt: skip


def counts_table(searches: Sequence[tuple[str, SearchResult]]) -> Table:
    """Return what each search looked at, and what it set aside for which reason."""
    reasons: list[str] = []
    for _, found in searches:
        reasons += [r for r, n in found.set_aside.items() if n and r not in reasons]
    rows = [
        ("looked at", *(str(found.analysed) for _, found in searches)),
        *(
            (f"set aside: {flag_words([reason])}", *(str(found.set_aside.get(reason, 0)) for _, found in searches))
            for reason in reasons
        ),
        (
            "least F among those set aside",
            *(safety_words(found.lowest_aside) for _, found in searches),
        ),
    ]  # fmt: skip
    head = ("Surfaces", *(title for title, _ in searches))
    count = len(searches)
    return Table("Searches", head, tuple(rows), "l" + "r" * count, (3.2, *[1.0] * count))


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
                force(water_on_base(s, i)), force(s.shear[i]), force(s.E[i]), force(s.E[i + 1]), force(s.X[i]),
                force(s.X[i + 1]), length(level + datum) if told else "–",
            )
        )  # fmt: skip
    rows.append(("sum", "", length(s.width.sum()), force(s.weight.sum()), force(s.load_x.sum()),
                 force((s.load_y + s.weight).sum()), *[""] * 13))  # fmt: skip
    load, per = "force per length", QUANTITIES["force per length"].unit(units).label
    head = (
        "No.", w.head("x", "length"), w.head("b", "length"), w.head("W", load),
        f"Qx ({per})", f"Qy ({per})", w.head("α", "angle"), w.head("l", "length"),
        w.head("u", "stress"), w.head("c", "stress"), w.head("φ", "angle"), w.head("N′", load),
        w.head("U", load), w.head("S", load), w.head("E left", load), w.head("E right", load),
        w.head("X left", load), w.head("X right", load), w.head("Thrust right", "length"),
    )  # fmt: skip
    return Table("Slices", head, tuple(rows), "r" * 19)


SLICES_WORDS = (
    "x, b: middle and width of the slice; W: weight of its ground; Qx, Qy: other loads, to the right "
    "and upward (load and water on the surface, standing water's buoyancy, anchors, wall, "
    "earthquake); α, l: inclination and length of the base, rising away from the movement; u: pore pressure; c, "
    "φ: strength of the base (undrained: c is su); N′: normal force on it less that of pore water "
    "(undrained: the whole normal force); U: that of pore water (undrained: nil); S: shear on it; E, X: push and shear between slices, X on the "
    "left side of a slice upward; thrust: elevation of E on the right side, where it is more than a tenth "
    "of the greatest. "
    "The pressure of standing water is in equilibrium by itself and taken out of U (undrained: of N′), E and Q."
)
"""What the columns of the slices mean."""


def equilibrium_words(result: SlipResult, model: SlipModel, units: UnitSystem) -> str:
    """Say how well the critical surface is in equilibrium, and what its solution is worth."""
    table = result.slices
    weight = QUANTITIES["force per length"].text(result.weight, units)
    words = (
        f"Weight of the mass {weight}. Left of the equilibrium of the whole mass: force "
        f"{result.residual_force:.0e} of its weight, moment {abs(result.residual_moment):.0e} "
        f"of weight times width; {result.iterations} passes over the slices"
    )
    if table is not None:
        closing = worst_closing(table, to_left=model.to_left)
        words += f"; largest closing error of any slice {closing:.0e} of the heaviest"
    if result.method in ("spencer", "morgenstern-price"):
        words += f"; scale of the side forces λ = {result.lambda_:.4f}"
    else:
        words += (
            f". {METHOD_NAMES[result.method].capitalize()} satisfies only a part of equilibrium: what "
            "is left is not rounding"
        )
    flags = flag_words(result.flags) or "none"
    return f"{words}. Faults of the solution: {flags}."


def closing_table(table: Table, result: SlipResult, *, to_left: bool) -> Table:
    """Return a table of slices with a last column: what is left of the forces on each."""
    s = result.slices
    if s is None:
        raise ValueError(f"the surface has no slices: {result.status}")
    left = [*(f"{share:.0e}" if share else "0" for share in closing_shares(s, to_left=to_left)), ""]
    rows = tuple((*row, cell) for row, cell in zip(table.rows, left, strict=True))
    return Table(table.title, (*table.head, "Left over"), rows, f"{table.align}r")


def one_slice_table(forces: SliceForces, units: UnitSystem) -> Table:
    """Return the forces on one slice with their components, and what is left of their sum."""
    w = Writer(units)

    def cell(value: float) -> str:
        return _signed(w.fixed(value, "force per length", 2 if units is UnitSystem.SI else 3))

    rows = (
        *(
            (FORCE_WORDS.get(p.symbol, p.symbol), p.name, cell(p.x), cell(p.y))
            for p in forces.parts
        ),
        ("Sum", "", *(cell(v) for v in forces.closing)),
    )
    load = "force per length"
    head = ("Force", "", w.head("To the right", load), w.head("Upward", load))
    return Table(f"Forces on slice {forces.number}", head, rows, "llrr")


def strength_words(table: SliceTable, i: int, F: float, units: UnitSystem) -> str:
    """Return the shear on the base of slice i (from 0) from its strength, with the numbers put in."""
    w = Writer(units)
    c, phi = w.cell(float(table.c[i]), "stress", 4), w.cell(float(table.phi[i]), "angle", 4)
    length = w.fixed(float(table.length[i]), "length", 3)
    load = QUANTITIES["force per length"]
    places = 2 if units is UnitSystem.SI else 3
    normal, shear = (
        _signed(w.fixed(float(v), "force per length", places))
        for v in (table.effective_normal[i], table.shear[i])
    )
    cohesion = f"{c} × {length}" if units is UnitSystem.SI else f"{c} × {length} / 1000"
    return (
        f"S = (c l + N′ tan φ) / F = ({cohesion} + {normal} × tan {phi}°) / {F:.4f} = "
        f"{shear} {load.unit(units).label}"
    )


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
