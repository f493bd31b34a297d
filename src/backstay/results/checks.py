"""Checks and quantities as data."""

from __future__ import annotations

from typing import Literal

from backstay.anchors.quantities import Quantities
from backstay.checks import Check, expand
from backstay.cite import Citation
from backstay.expression import written
from backstay.notation import PlainText
from backstay.quantity import UnitSystem
from backstay.results.check_shape import CheckResult, Line, QuantityResult, Source
from backstay.results.value import finite, valued
from backstay.trace import Computed, Remark, Step


def check_result(check: Check, units: UnitSystem) -> CheckResult:
    """Return a check as data, with its derivation line by line."""
    used = check.utilisation
    return CheckResult(
        id=check.id,
        name=check.name,
        where=check.where,
        verdict=check.verdict.value,
        sense=check.sense.value,
        demand=valued(check.demand, check.quantity, units),
        limit=valued(check.capacity, check.quantity, units),
        utilisation=finite(used),
        clause=_source(check.clause),
        remedy=expand(check.remedy, units),
        note=expand(check.open_choice or check.note, units),
        derivation=[line for step in check.steps for line in _lines(step, units)],
    )


def _source(citation: Citation) -> Source:
    return Source(
        document=citation.document, clause=citation.clause, provenance=citation.provenance
    )


def _lines(step: Step, units: UnitSystem) -> list[Line]:
    if isinstance(step, Remark):
        kind: Literal["heading", "remark"] = "heading" if step.heading else "remark"
        return [Line(kind=kind, title=expand(step.text, units))]
    if not isinstance(step, Computed):
        return [
            Line(
                kind="stated", symbol=PlainText().symbol(step.symbol), title=expand(step.title, units),
                numbers=expand(step.method, units), result=step.quantity.text(step.value, units),
                source=str(step.cite or ""),
            )
        ]  # fmt: skip
    lines = []
    for line in written(step, PlainText(), units):
        if line.condition:
            lines.append(
                Line(
                    kind="condition",
                    equation=line.condition,
                    numbers=line.substituted,
                    result=line.result,
                )
            )
        else:
            lines.append(
                Line(
                    kind="equation", symbol=line.symbol, title=step.formula.title, equation=line.equation,
                    numbers=line.substituted, result=line.result, source=str(step.formula.cite),
                )
            )  # fmt: skip
    return lines


def quantity_results(quantities: Quantities, units: UnitSystem) -> list[QuantityResult]:
    """Return quantities as data."""
    return [
        QuantityResult(
            name=i.name, quantity=valued(i.value, i.quantity, units), note=expand(i.note, units)
        )
        for i in quantities.items
    ]
