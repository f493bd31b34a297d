"""What the rules ask of strands that were lifted off one by one, and what they allow next.

Each strand is held to the share of its own strength that the tendon is held to. A jack for one
strand lifts no head: the load is set right strand by strand, not by shims.
"""

from __future__ import annotations

from backstay.anchors.tendon import allowable_load
from backstay.checks import Check
from backstay.cite import common_practice
from backstay.quantity import QUANTITIES
from backstay.stressing.next_step import NextStep
from backstay.stressing.record import TestedAnchor
from backstay.stressing.rules import TestRules
from backstay.stressing.strands import StrandLoads
from backstay.trace import state, trace

_RESHARED = common_practice(
    "strands stressed one after the other lose load to each other: all are lifted off again"
)


def strand_check(
    found: StrandLoads, anchor: TestedAnchor, rules: TestRules, strands: int | None = None
) -> Check:
    """Return the check of the strand that carries most, against the share of its strength.

    strands: of the tendon, None where all were read.
    """
    limit, count = rules.lock_off_stress, strands or len(found.loads)
    with trace() as t:
        strength = state(
            "F_1", "Strength of one strand", anchor.strength / count, "force",
            method=f"of the tendon, over {count}",
        )  # fmt: skip
        most = allowable_load(limit.value, strength)
    over = found.greatest > most * (1 + 1e-9)
    return Check(
        "lock-off.strand-stress", "Load left in the fullest strand, against its strength",
        found.greatest, most, QUANTITIES["force"], limit.cite, where=anchor.name,
        steps=(*found.steps, *t.steps),
        remedy=f"let strand {found.fullest} down first" if over else "",
        note=f"strand {found.fullest}, at most {{percent:{limit.value:.9g}}} of its guaranteed strength",
    )  # fmt: skip


def lift_off_all(read: int) -> NextStep:
    """Return that every strand is to be lifted off. read: number that were."""
    return NextStep(
        action="lift off", words=f"{read} strands were read: lift off every strand of the tendon, and "
        "write down all of them", cite=_RESHARED,
    )  # fmt: skip


def let_down_strand(found: StrandLoads, load: float) -> NextStep:
    """Return that the fullest strand is let down. load: to be left in the anchor (kN)."""
    share = load / len(found.loads)
    return NextStep(
        action="let down", words=f"let strand {found.fullest} down from {{force:{found.greatest:.9g}}} to "
        f"its share, {{force:{share:.9g}}}; lift off all strands again", cite=_RESHARED, load=share,
    )  # fmt: skip


def set_strands(found: StrandLoads, load: float, *, down: bool) -> NextStep:
    """Return how the load is set right with a jack for one strand. load: to be left (kN)."""
    share = load / len(found.loads)
    if down:
        words = (
            f"let the strands down one after the other, the fullest (strand {found.fullest}) first"
        )
    else:
        words = (
            f"stress the strands one after the other, the weakest (strand {found.weakest}) first"
        )
    return NextStep(
        action="let down" if down else "re-stress",
        words=f"{words}, to {{force:{share:.9g}}} each, together {{force:{load:.9g}}}; lift off all "
        "strands again: those set first change their load while the others are set", cite=_RESHARED,
        load=share,
    )  # fmt: skip
