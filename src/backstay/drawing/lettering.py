"""The size of text in the shipped font, for placing labels and wrapping notes."""

from __future__ import annotations

from functools import lru_cache

from backstay.fonts import BOLD, REGULAR, font_folder

CAP_HEIGHT = 1456 / 2048
"""Cap height over font size of Roboto Condensed (its OS/2 table); tested against the file."""
ASCENT = 1.12
DESCENT = 0.30
"""Reach of a line of text above and below its baseline, over its cap height: a box of text."""
LEADING = 1.62
"""Distance of baselines over cap height."""


@lru_cache(maxsize=2)
def _advances(name: str) -> tuple[dict[int, float], float]:
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(font_folder() / name, lazy=True) as font:
        em = font["head"].unitsPerEm
        metrics = font["hmtx"].metrics
        table = {code: metrics[glyph][0] / em for code, glyph in font.getBestCmap().items()}
    return table, table[ord("n")]


def text_width(words: str, size: float, *, bold: bool = False) -> float:
    """Return the length (mm) of text with cap height `size` (mm), without kerning."""
    table, other = _advances(BOLD if bold else REGULAR)
    return sum(table.get(ord(c), other) for c in words) * size / CAP_HEIGHT


def wrapped(words: str, size: float, width: float, *, bold: bool = False) -> list[str]:
    """Return the text in lines no longer than `width` (mm); a longer word is divided."""
    lines: list[str] = []
    line = ""
    for word in words.split(" "):
        trial = f"{line} {word}" if line else word
        if text_width(trial, size, bold=bold) <= width:
            line = trial
            continue
        if line:
            lines.append(line)
        while text_width(word, size, bold=bold) > width and len(word) > 1:
            cut = len(word) - 1
            while cut > 1 and text_width(word[:cut], size, bold=bold) > width:
                cut -= 1
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    if line:
        lines.append(line)
    return lines


def shortened(words: str, size: float, width: float, *, bold: bool = False) -> str:
    """Return the text in one line no longer than `width`, cut with an ellipsis if need be."""
    if text_width(words, size, bold=bold) <= width:
        return words
    while words and text_width(words + "…", size, bold=bold) > width:
        words = words[:-1]
    return words.rstrip() + "…"
