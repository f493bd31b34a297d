"""How to read the calculation: said once, before its first number."""

from __future__ import annotations

from backstay.design import Design

_EVERY = (
    "Every line of a derivation has a number in brackets. A result that was derived before is "
    "not derived again: the line says which number it is from, and each check ends with the "
    "numbers of all lines that lead to it.",
    "An equation is shown in symbols, then with the numbers put in, then its result. Symbols are "
    "explained in the chapter Symbols, with the line on which each meaning is used first. "
    "Numbers are shown rounded and carried unrounded, so a last digit may differ by hand.",
    "A line with a number but no equation was given by the engineer, read from a table, or found "
    "by a search or an integration; the line says how, and how well the search closed.",
    "“Since” and “not the case” give the condition that chose between the branches of a rule, "
    "with its numbers.",
    "A check compares a demand with a limit: “at most” where the first must not exceed the second, "
    "“at least” where what is provided must reach what is required. Utilisation is the share of the "
    "limit that is used: above 1.00 the check fails.",
    "PASS: met. FAIL: not met, and the check says what would help. TO BE SHOWN: the design leaves "
    "the choice to the contractor, who must show that it is met.",
    "The source stands at the right of its line. † marks a source quoted from memory: confirm it "
    "in the document named before relying on it. “Common practice” marks a rule of the trade for "
    "which no published source is named.",
)
_WALLS = (
    "Depths are below the top of wall, elevations as in the project. Pressures, shears and moments "
    "of the wall are per length of wall unless they are said to be per pile. Loads toward the cut, "
    "and moments that stretch the face toward the cut, are positive."
)
_SLOPES = (
    "Of slopes, x and elevations are as in the project, and forces per unit length along the face "
    "unless they are said to be per anchor. The factor of safety of a slip surface "
    "divides c, tan φ and su alike."
)


def how_to_read(design: Design) -> tuple[str, ...]:
    """Return what to say, each in a sentence or two; of walls and slopes where there are any."""
    walls = (_WALLS,) if design.sections else ()
    slopes = (_SLOPES,) if design.slopes else ()
    return (*_EVERY, *walls, *slopes)
