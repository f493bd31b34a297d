"""The decision on a contractor's submittal as a fact; one that is recorded is not recorded twice."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from backstay.model.submittal import Submittal as Offered
from backstay.quantity import UnitSystem
from backstay.records.entries import RegisterLine
from backstay.records.facts import Submittal
from backstay.records.refusal import RefusedError
from backstay.records.store import Records
from backstay.stressing.submittal import SubmittalReview


def covered(lines: Iterable[RegisterLine], offered: Offered) -> tuple[str, ...]:
    """Return the anchors of the register that a submittal is about."""
    return tuple(
        line.anchor for line in lines if line.part == offered.part and line.row in offered.rows
    )


def record_submittal(
    records: Records, review: SubmittalReview, anchors: Sequence[str], units: UnitSystem, *,
    by: str, on: datetime | None,
) -> bool:  # fmt: skip
    """Record the decision on a submittal; return False where it is recorded already.

    Raises RefusedError where its number is taken by another, or no anchor of it is registered.
    """
    if not anchors:
        raise RefusedError("the register has no anchor of that part and those rows")
    fact = Submittal(
        number=review.submittal.submittal, anchors=tuple(anchors), decision=review.decision,
        reasons=review.reasons(units), statement=review.statement(units),
    )  # fmt: skip
    for entry in records.anchor(anchors[0]).submittals:
        there = entry.fact
        if there is None or there.number != fact.number:
            continue
        if (there.anchors, there.decision) == (fact.anchors, fact.decision):
            return False
        raise RefusedError(
            f"submittal {fact.number} is recorded already, {there.decision}: give the revised one a "
            "number of its own, or correct that entry"
        )
    records.add(fact, by=by, on=on)
    return True
