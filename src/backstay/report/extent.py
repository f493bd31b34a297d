"""How long an equation gets on the page, from its Typst markup: to break it before it is too long.

An estimate, made from the widths of the parts. Measuring in the typesetter gives the same choice
and takes longer than everything else in the report.
"""

from __future__ import annotations

import re

_TOKEN = re.compile(
    r'"[^"]*"|[A-Za-z]+(?:\.[A-Za-z]+)*(?=\()|[A-Za-z]+(?:\.[A-Za-z]+)*|[\d.]+|\\,|[_^]\(|.',
    re.DOTALL,
)
_SMALL = 0.7
"""Size of subscripts and exponents, over that of the line."""
_WIDE = {"dot.op": 7.2, "space.thin": 2.4, "space": 5.0, "thin": 1.7, "=": 13.3, "+": 12.2, "−": 12.2,
         "-": 12.2, "<": 13.3, ">": 13.3, "≤": 13.3, "≥": 13.3, ",": 4.4, "\\,": 4.4, "&": 0.0,
         " ": 0.0, "'": 2.8, "(": 3.9, ")": 3.9, "°": 3.6, "|": 3.0}  # fmt: skip
_LETTER, _DIGIT, _TEXT = 5.6, 4.9, 6.0
_ROOT, _BAR = 9.0, 2.4
_GREEK = 6.0


def extent(markup: str) -> float:
    """Return the length of an equation in points, at 10 points."""
    tokens = [t for t in _TOKEN.findall(markup) if t != "\n"]
    width, _ = _run(tokens, 0, ends=())
    return width


def _run(tokens: list[str], at: int, ends: tuple[str, ...], depth: int = 0) -> tuple[float, int]:
    """Return the length of tokens up to one that ends the run, and where that stands.

    depth: of fractions around it; a fraction within a fraction is set small.
    """
    width = 0.0
    while at < len(tokens) and tokens[at] not in ends:
        part, at = _one(tokens, at, depth)
        width += part
    return width, at


def _one(tokens: list[str], at: int, depth: int) -> tuple[float, int]:
    token = tokens[at]
    if token in ("_(", "^("):
        inner, end = _run(tokens, at + 1, (")",), depth)
        return _SMALL * inner, end + 1
    if token[0] == '"':
        return _TEXT * (len(token) - 2), at + 1
    opens = at + 1 < len(tokens) and tokens[at + 1] == "("
    if token == "frac" and opens:
        top, comma = _run(tokens, at + 2, (",",), depth + 1)
        bottom, end = _run(tokens, comma + 1, (")",), depth + 1)
        return max(top, bottom) * (_SMALL if depth else 1.0) + _BAR, end + 1
    if token in ("sqrt", "lr", "abs") and opens:
        inner, end = _run(tokens, at + 2, (")",), depth)
        return inner + {"sqrt": _ROOT, "lr": 2.0, "abs": 6.0}[token], end + 1
    if token == "(":
        inner, end = _run(tokens, at + 1, (")",), depth)
        return inner + 2 * _WIDE["("], end + 1
    if token in _WIDE:
        return _WIDE[token], at + 1
    if token[0].isdigit():
        return _DIGIT * len(token), at + 1
    if len(token) > 1 and token.isalpha():
        is_name = token in ("sin", "cos", "tan", "min", "max", "ln", "arcsin", "arccos", "arctan")
        return (5.0 * len(token) + 2.0 if is_name else _GREEK), at + 1
    return _LETTER, at + 1
