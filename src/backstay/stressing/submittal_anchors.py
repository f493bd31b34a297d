"""The anchors as submitted: designed again by the design's own computation, with what is offered.

Design, test and lock-off load stay what the design asks. Tendon, free length, bond, hole, grouting,
protection, draw-in and tail are the contractor's.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from backstay.anchors import AnchorDesign, design_anchors
from backstay.anchors.anchor import load_under_test
from backstay.anchors.bond import part_allowable
from backstay.anchors.load_tests import counts_of
from backstay.anchors.protection import LEVEL
from backstay.checks import Check, Sense, Verdict
from backstay.cite import GEC4, Citation, common_practice
from backstay.design import Design, SectionDesign
from backstay.errors import DesignError
from backstay.model.anchors import AnchorRow
from backstay.model.slope import SlopeAnchors
from backstay.model.submittal import Submittal
from backstay.quantity import QUANTITIES
from backstay.stability.slope_design import SlopeDesign, design_slope
from backstay.stressing.submittal_items import Item
from backstay.trace import Stated, Step, remark, state, trace

Row = TypeVar("Row", AnchorRow, SlopeAnchors)
NOTED = frozenset({"anchor.lock-off-loss"})
"""Checks of the design whose failure is noted: a lift-off proves the lock-off load."""
LEFT_OUT = frozenset({"anchor.design-load", "anchor.headroom"})
"""Checks of the design that nothing in a submittal changes."""
_ASKED = Citation("design", "as the engineer requires it", "given")
_CLAIMED = common_practice(
    "a bond value of the contractor's own is accepted on his account, and proved by every load test"
)
_FACTOR = Citation(GEC4, "section 7.4, test load over design load", "memory")


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """The anchors of one row: as designed, as offered, the test load offered (kN), the checks."""

    designed: AnchorDesign
    anchor: AnchorDesign
    test_load: float
    items: tuple[Item, ...]


def offered_anchors(submittal: Submittal, design: Design) -> tuple[Offered, ...]:
    """Return the anchors of the rows of a submittal.

    Raises DesignError where the project has no such part or row (`where` is then "submittal"), and
    where an anchor cannot be designed with what is offered.
    """
    part = next((p for p in design.parts if _name(p) == submittal.part), None)
    if part is None:
        known = ", ".join(_name(p) for p in design.parts)
        raise DesignError(
            f"no section or slope {submittal.part!r}; there are: {known}", "submittal"
        )
    anchors = _anchors(part)
    for row in submittal.rows:
        if row > len(anchors):
            raise DesignError(
                f"{part.title} has no row {row}: its rows are 1 to {len(anchors)}", "submittal"
            )
    if isinstance(part, SectionDesign):
        made = _of_wall(submittal, part, design)
    else:
        made = _of_slope(submittal, part, design)
    return tuple(
        _offered(submittal, anchors[row - 1], made[row - 1]) for row in sorted(submittal.rows)
    )


def _name(part: SectionDesign | SlopeDesign) -> str:
    return part.section.name if isinstance(part, SectionDesign) else part.slope.name


def _anchors(part: SectionDesign | SlopeDesign) -> tuple[AnchorDesign, ...]:
    if isinstance(part, SectionDesign):
        return part.anchors
    return tuple(row.anchor for row in part.rows)


def _of_wall(submittal: Submittal, part: SectionDesign, design: Design) -> tuple[AnchorDesign, ...]:
    section = part.section
    rows = tuple(
        _as_offered(row, anchor, submittal) if anchor.row in submittal.rows else row
        for row, anchor in zip(section.anchors, part.anchors, strict=True)
    )
    return design_anchors(
        section.model_copy(update={"anchors": rows}), part.ground, part.surface, part.loads,
        design.project.service, design.basis,
    )  # fmt: skip


def _of_slope(submittal: Submittal, part: SlopeDesign, design: Design) -> tuple[AnchorDesign, ...]:
    slope, project = part.slope, design.project
    given = _as_offered(slope.anchors, part.rows[submittal.rows[0] - 1].anchor, submittal)
    made = design_slope(
        slope.model_copy(update={"anchors": given}), project.service, design.basis,
        counts=counts_of(project.tests),
    )  # fmt: skip
    return tuple(row.anchor for row in made.rows)


def _as_offered(row: Row, anchor: AnchorDesign, submittal: Submittal) -> Row:
    """Return a row of the file with what is offered, and with the loads of the design."""
    tendon, bond, head = submittal.tendon, submittal.bond, submittal.head
    return row.model_copy(
        update={
            "tendon": row.tendon.model_copy(
                update={"kind": tendon.kind, "product": tendon.product, "strands": tendon.strands}
            ),
            "bond": row.bond.model_copy(
                update={
                    "length": bond.length, "grouting": bond.grouting,
                    "hole_diameter": bond.hole_diameter,
                }
            ),
            "unbonded_length": submittal.free_length, "protection": submittal.protection,
            "design_load": anchor.design_load,
            "lock_off": anchor.lock_off_load / anchor.design_load,
            "draw_in": row.draw_in if head.draw_in is None else head.draw_in,
            "tail_length": head.tail_length or row.tail_length,
        }
    )  # fmt: skip


def _offered(submittal: Submittal, designed: AnchorDesign, anchor: AnchorDesign) -> Offered:
    failing = {c.id for c in designed.checks if c.verdict is Verdict.FAIL}
    items: list[Item] = []
    for check in anchor.checks:
        if check.id in LEFT_OUT:
            continue
        noted = check.id in NOTED
        items.append(
            Item(check=check, weight="note" if noted else "revise", ours=check.id in failing)
        )
    items = _with_claim(submittal, anchor, items)
    items += _asked(designed, anchor)
    test_load = designed.test_load
    if submittal.test is not None:
        with trace() as t:
            offered_load = load_under_test(submittal.test.factor, designed.design_load)
        test_load = max(test_load, offered_load)
        items.append(Item(check=_test_load(designed, offered_load, t.steps), weight="revise"))
    return Offered(designed=designed, anchor=anchor, test_load=test_load, items=tuple(items))


def _test_load(designed: AnchorDesign, offered: float, steps: tuple[Step, ...]) -> Check:
    return Check(
        "submittal.test-load", "Test load", offered, designed.test_load, QUANTITIES["force"], _FACTOR,
        Sense.AT_LEAST, f"row {designed.row}", steps,
        f"test to {{force:{designed.test_load:.6g}}}"
        if offered < designed.test_load * (1 - 1e-9) else "",
    )  # fmt: skip


def _asked(designed: AnchorDesign, anchor: AnchorDesign) -> list[Item]:
    """Return the checks of what the engineer asks for beyond the rules."""
    where = f"row {designed.row}"
    found = []
    if designed.bond_by == "engineer" and not designed.bond_open:
        found.append(
            Check(
                "submittal.bond-length", "Bond length that the engineer requires", anchor.bond_length,
                designed.bond_length, QUANTITIES["length"], _ASKED, Sense.AT_LEAST, where,
                remedy=f"a bond length of {{length:{designed.bond_length:.6g}}}"
                if anchor.bond_length < designed.bond_length * (1 - 1e-9) else "",
            )
        )  # fmt: skip
    least = next(c.capacity for c in anchor.checks if c.id == "anchor.protection")
    if LEVEL[designed.protection] > least:
        low = LEVEL[anchor.protection] < LEVEL[designed.protection]
        found.append(
            Check(
                "submittal.protection", "Corrosion protection that the design has",
                LEVEL[anchor.protection], LEVEL[designed.protection], QUANTITIES["count"], _ASKED,
                Sense.AT_LEAST, where, remedy=f"{designed.protection}" if low else "",
                note="counted none 0, class II 1, class I 2",
            )
        )  # fmt: skip
    items = [Item(check=check, weight="revise") for check in found]
    share = QUANTITIES["length"]
    if anchor.unbonded_length < designed.unbonded_length * (1 - 1e-9):
        items.append(
            Item(
                check=Check(
                    "submittal.free-length", "Free length of the design", anchor.unbonded_length,
                    designed.unbonded_length, share, _ASKED, Sense.AT_LEAST, where,
                    (Stated("L_u", "Free length offered", anchor.unbonded_length, share, "given"),),
                    "shorter than designed: the anchor is stiffer and loses more by draw-in; the "
                    "engineer agrees to it or not",
                ),
                weight="note",
            )
        )  # fmt: skip
    return items


def _with_claim(submittal: Submittal, anchor: AnchorDesign, items: list[Item]) -> list[Item]:
    """Return the items with the bond as the contractor claims it, where that is what carries it."""
    claimed, source = submittal.bond.transfer, submittal.bond.source
    if claimed is None:
        return items
    safety = max(part.safety for need in anchor.bond_required for part in need.parts)
    with trace() as t:
        state("t", "Ultimate load transfer claimed", claimed, "force per length", method=source)
        allowable = part_allowable(claimed, anchor.bond_length, safety)
        remark("Not a value of the tables nor of the engineer: the contractor answers for it.")
    check = Check(
        "submittal.bond-claimed", "Bond zone at design load, by the contractor's own value",
        anchor.design_load, allowable, QUANTITIES["force"], _CLAIMED, where=f"row {anchor.row}",
        steps=t.steps,
        remedy="a longer bond zone: it does not do even by the value claimed"
        if anchor.design_load > allowable * (1 + 1e-9) else "",
        note=f"claimed {{force per length:{claimed:.6g}}}: {source}",
    )  # fmt: skip
    carried = check.verdict is Verdict.PASS
    presumed = {"anchor.bond-ground", "anchor.bond-test"}
    kept = [
        Item(check=i.check, weight="note", ours=i.ours) if carried and i.check.id in presumed else i
        for i in items
    ]
    return [*kept, Item(check=check, weight="revise")]
