"""Lift-offs from readings: the load at which the head came off, found when the book is entered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from backstay.checks import expand
from backstay.errors import DesignError, Fault, ProjectError
from backstay.fieldbook.book_reading import BookText
from backstay.model.document import Path
from backstay.records.facts import LiftedOff
from backstay.records.refusal import RefusedError
from backstay.records.store import Records
from backstay.stressing.lift_off import LiftOffJudgement, again, judge_lift_off, lift_off_of
from backstay.stressing.lock_off import Head, LiftOff
from backstay.stressing.record import TestedAnchor
from backstay.stressing.rules import TestRules

_NO_RULES = "a lift-off is found from readings by the rules of the project, which are not at hand"


def loads_by_readings(
    text: BookText, names: Mapping[Path, str], records: Records, rules: TestRules | None
) -> dict[int, float]:
    """Return the load (kN) of each lift-off of a book that gives readings, by its place.

    rules: of the project, None where they are not at hand: then such a lift-off is refused. Raises
    ProjectError with every fault, where readings show no lift-off of this anchor.
    """
    found: dict[int, float] = {}
    faults: list[Fault] = []
    for i, one in enumerate(text.book.lifted_off):
        if not one.loads:
            continue
        at: Path = ("lifted_off", i, "loads")
        try:
            if rules is None:
                raise DesignError(_NO_RULES, "")
            anchor = records.test_record(names["lifted_off", i, "anchor"]).anchor
            pairs = tuple(zip(one.loads, one.movements, strict=True))
            found[i] = lift_off_of(pairs, anchor, rules).load
        except DesignError as error:
            faults.append(text.fault(at, expand(error.reason, text.book.units)))
        except RefusedError as error:
            faults.append(text.fault(at, str(error)))
    if faults:
        raise ProjectError(faults, text.name)
    return found


def judged_lift_off(
    lifted: LiftOff, fact: LiftedOff, anchor: TestedAnchor, rules: TestRules, *, head: Head,
    draw_in: float | None, restressed: int, strands: int | None,
) -> LiftOffJudgement:  # fmt: skip
    """Return a lift-off judged, by its readings where it has any.

    Readings that show no lift-off any more, because the anchor was corrected since, tell nothing.
    """
    why = ""
    if fact.loads:
        pairs = tuple(zip(fact.loads, fact.movements, strict=True))
        try:
            lifted = lift_off_of(pairs, anchor, rules, on=lifted.on, by=lifted.by)
        except DesignError as error:
            why = error.reason
    made = judge_lift_off(
        lifted, anchor, rules, head=head, draw_in=draw_in, restressed=restressed, strands=strands
    )
    if not why:
        return made
    reason = f"cannot be told: {why}"
    return replace(made, standing="cannot be told", reason=reason, next=(again(rules),))
