"""The published shape of checks and quantities: the same of a wall and of a slope."""

from __future__ import annotations

from typing import Literal

from backstay.cite import Provenance
from backstay.results.value import Result, Value


class Source(Result):
    """A citation and how it is known."""

    document: str
    clause: str
    provenance: Provenance


class Line(Result):
    """One line of a derivation."""

    kind: Literal["equation", "condition", "stated", "remark", "heading"]
    symbol: str = ""
    title: str = ""
    equation: str = ""
    numbers: str = ""
    result: str = ""
    source: str = ""


class CheckResult(Result):
    """One check. `limit` is the capacity, or what is required where `sense` is "at least"."""

    id: str
    name: str
    where: str
    verdict: Literal["pass", "fail", "to be shown"]
    sense: Literal["at most", "at least"]
    demand: Value
    limit: Value
    utilisation: float | None
    clause: Source
    remedy: str
    note: str
    derivation: list[Line]


class QuantityResult(Result):
    """One line of the quantities."""

    name: str
    quantity: Value
    note: str
