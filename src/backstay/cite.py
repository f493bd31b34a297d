"""Citations as data: which document, edition and clause a number or an equation rests on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Provenance = Literal["published", "formula", "memory", "common practice", "given"]


@dataclass(frozen=True, slots=True)
class Citation:
    """A source.

    document: short name with edition; clause: section, equation, table or page;
    provenance: whether the source was read, or is recalled ("memory"), or is a rule of the
    trade without a source ("common practice"), or a value that the project itself gives ("given").
    """

    document: str
    clause: str = ""
    provenance: Provenance = "memory"

    def __str__(self) -> str:
        where = f"{self.document}, {self.clause}" if self.clause else self.document
        return f"{where} (from memory)" if self.provenance == "memory" else where


def common_practice(what: str = "") -> Citation:
    """Return the citation of a rule of the trade that has no published source."""
    return Citation("common practice, no source", what, "common practice")


STATICS = Citation("statics", "", "formula")
GEOMETRY = Citation("geometry", "", "formula")
GEC4 = "FHWA-IF-99-015 (1999)"
AASHTO = "AASHTO LRFD Bridge Design Specifications"
AISC360 = "ANSI/AISC 360-10"
