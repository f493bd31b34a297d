"""Findings: what is wrong with a record of a load test, and what follows from it.

A fault of a record is never passed over in silence and never mended by guessing. It is named, with
the readings it concerns, and either the test is refused (no verdict until it is put right) or it
is judged with the consequence said. Where a finding withholds acceptance, a test may still fail.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from backstay.cite import Citation

FindingCode = Literal[
    "order", "clock", "duplicate reading", "unknown step", "unknown anchor", "duplicate anchor",
    "no zero", "not a number", "no load", "no dial", "dials changed", "dials apart", "dial reset", "stray reading",
    "load drop", "off target", "gauges differ", "beyond calibration", "below calibration",
    "certificate expired", "not yet calibrated", "poor calibration", "no test day", "jack capacity", "stroke",
    "overstress", "skipped hold", "short hold", "missing minute", "pressure unit", "load unit",
    "movement unit", "long hold", "hidden creep", "held anew", "extra cycle", "no return", "no national limit",
    "slow loading",
]  # fmt: skip

Consequence = Literal["refused", "judged"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One fault, or one thing to know, of a record.

    code: what kind, stable; words: what was found, with ``{quantity:value}`` placeholders;
    readings: numbers of the readings concerned; consequence: whether there is a verdict at all;
    effect: what the verdict then rests on, or what has to be put right; withholds: the anchor is
    not accepted while the finding stands; stop: a matter of safety, loading stops now.
    """

    code: FindingCode
    words: str
    effect: str
    consequence: Consequence = "judged"
    readings: tuple[int, ...] = ()
    withholds: bool = False
    stop: bool = False
    cite: Citation | None = None

    @property
    def text(self) -> str:
        """Return the finding as one sentence, consequence included."""
        which = _numbers(self.readings)
        place = f" ({which})" if which else ""
        return f"{self.code}{place}: {self.words}: {self.consequence}, {self.effect}"


def _numbers(readings: tuple[int, ...]) -> str:
    """Return ``reading 7`` or ``readings 7, 8 and 5 more``."""
    if not readings:
        return ""
    if len(readings) == 1:
        return f"reading {readings[0]}"
    shown, rest = readings[:6], len(readings) - 6
    numbers = ", ".join(str(n) for n in shown)
    return f"readings {numbers}" + (f" and {rest} more" if rest > 0 else "")


def refused(
    code: FindingCode,
    words: str,
    effect: str,
    *readings: int,
    cite: Citation | None = None,
    stop: bool = False,
) -> Finding:
    """Return a finding that leaves no verdict until it is put right."""
    return Finding(
        code=code, words=words, effect=effect, consequence="refused", readings=readings,
        withholds=True, stop=stop, cite=cite,
    )  # fmt: skip
