"""The contractor's submittal, checked before drilling against what the design needs.

The anchors are designed again with what the contractor offers in place of what the design assumed,
by the design's own computation: bond, tendon, free length, hole, neighbours, obstacles. Tendon
certificate, grout, jack, gauge, test set-up and sequence are held against the rules of the tests.
What fails is either to be revised, or is noted and may be accepted; what is missing is asked for
by when it is needed. The result is one page; the engineer decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from backstay.checks import Check, Verdict, expand
from backstay.design import Design, Part, SectionDesign
from backstay.errors import DesignError
from backstay.model.submittal import Submittal
from backstay.quantity import UnitSystem
from backstay.stressing.plan import PlannedAnchor, plan_slope_tests, plan_tests
from backstay.stressing.rules import TestRules
from backstay.stressing.submittal_anchors import Offered, offered_anchors
from backstay.stressing.submittal_equipment import equipment_items
from backstay.stressing.submittal_items import Item, Missing
from backstay.stressing.submittal_materials import material_items

__all__ = [
    "Decision",
    "Item",
    "Missing",
    "SubmittalReview",
    "anchors_covered",
    "review_submittal",
    "to_revise",
]

Decision = Literal["accept", "accept as noted", "revise"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SubmittalReview:
    """A submittal judged.

    items: every check, with what follows where it fails; missing: what is still to be submitted, and
    by when; offered: the anchors as they would be, empty where they cannot be designed; refusal: why
    they cannot.
    """

    submittal: Submittal
    items: tuple[Item, ...]
    missing: tuple[Missing, ...]
    offered: tuple[Offered, ...]
    refusal: str = ""

    @property
    def decision(self) -> Decision:
        """Return what is to be done with it."""
        failed = [item for item in self.items if item.failed]
        if self.refusal or any(item.weight == "revise" for item in failed):
            return "revise"
        if failed or self.missing or any(item.check.open_choice for item in self.items):
            return "accept as noted"
        return "accept"

    @property
    def checks(self) -> tuple[Check, ...]:
        """Return every check."""
        return tuple(item.check for item in self.items)

    def reasons(self, system: UnitSystem) -> tuple[str, ...]:
        """Return why it is not simply accepted, what is to be revised first."""
        found = [expand(self.refusal, system)] if self.refusal else []
        order = sorted(
            (item for item in self.items if item.failed), key=lambda i: i.weight != "revise"
        )
        found += [item.words(system) for item in order]
        found += [expand(one.words, system) for one in self.missing]
        return tuple(found)

    def statement(self, system: UnitSystem) -> tuple[tuple[str, str, str], ...]:
        """Return the lines that were judged: what, offered, needed, in words."""
        return tuple(
            (
                check.name + (f", {check.where}" if check.where else ""),
                check.quantity.text(check.demand, system),
                f"{check.sense.value} {check.quantity.text(check.capacity, system)}",
            )
            for check in self.checks
        )


def review_submittal(
    submittal: Submittal, design: Design, rules: TestRules, *, on: date | None = None
) -> SubmittalReview:
    """Return the review of a submittal.

    on: day on which testing begins, where the submittal does not say it. Raises DesignError where
    the project has no such section, slope or row.
    """
    items: list[Item] = []
    missing: list[Missing] = []
    refusal = ""
    offered: tuple[Offered, ...] = ()
    try:
        offered = offered_anchors(submittal, design)
    except DesignError as error:
        if error.where == "submittal":
            raise
        refusal = f"{error.where}: {error.reason}" if error.where else error.reason
    for one in offered:
        items += one.items
    service = design.project.service
    for more, asked in (
        material_items(submittal, offered, service.life),
        equipment_items(submittal, offered, rules, service, on),
    ):
        items += more
        missing += asked
    return SubmittalReview(
        submittal=submittal, items=tuple(items), missing=tuple(missing), offered=offered,
        refusal=refusal,
    )  # fmt: skip


def anchors_covered(submittal: Submittal, design: Design, rules: TestRules) -> tuple[str, ...]:
    """Return the names of the anchors that a submittal is for, trial anchors among them."""
    return tuple(
        one.identity.name
        for part in design.parts
        for one in _plan(part, rules)
        if one.identity.part == submittal.part and one.identity.row in submittal.rows
    )


def _plan(part: Part, rules: TestRules) -> tuple[PlannedAnchor, ...]:
    if isinstance(part, SectionDesign):
        return plan_tests(part.section, part.anchors, rules).anchors
    return plan_slope_tests(part.slope, [row.anchor for row in part.rows], rules).anchors


def to_revise(review: SubmittalReview) -> Sequence[Check]:
    """Return the checks that the contractor has to mend."""
    return [
        item.check
        for item in review.items
        if item.weight == "revise" and item.check.verdict is Verdict.FAIL
    ]
