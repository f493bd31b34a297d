"""Tables of slip surfaces, as text in a unit system: minima by stage and method, and the searches."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from backstay.quantity import UnitSystem
from backstay.stability.least_surface import METHOD_NAMES
from backstay.stability.overall_comparison import Compared
from backstay.stability.slip.result import METHODS, Method
from backstay.stability.slip.search_result import Kind, Minimum, SearchResult
from backstay.tables import Table, Writer

KIND_WORDS: dict[Kind, str] = {
    "circle": "circle", "composite": "circle cut by rock", "plane": "plane", "wedge": "wedge",
    "block": "block along a layer", "general": "general",
}  # fmt: skip
_HEADS: dict[Method, str] = {
    "spencer": "Spencer", "morgenstern-price": "Morgenstern-Price", "bishop": "Bishop",
    "ordinary": "Ordinary",
}  # fmt: skip


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


def flag_words(flags: Sequence[str]) -> str:
    """Return faults of a solution, or reasons for setting it aside, as printed."""
    return ", ".join(flags).replace("m_alpha", "m\u03b1")


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
