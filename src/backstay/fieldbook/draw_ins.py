"""Draw-in as the crew measured it at the heads that are locked off: what the next head will take."""

from __future__ import annotations

from collections.abc import Iterable

from backstay.anchors.tendon import strands_of
from backstay.records.entries import RegisterLine
from backstay.records.facts import LockedOff
from backstay.stressing.lock_off import DrawIn, Head
from backstay.stressing.seating import draw_in_of


def measured_draw_in(heads: Iterable[LockedOff], line: RegisterLine) -> DrawIn | None:
    """Return the draw-in that was measured at heads such as that of an anchor, None where at none.

    heads: of the job, as they were locked off. Strands sit in wedges, bars on nuts; on shims nothing draws in that would tell of either.
    """
    tendon = line.design.tendon
    head: Head
    if strands_of(tendon) is not None:
        head = "wedges"
    elif " bar" in tendon:
        head = "nut"
    else:
        return None
    return draw_in_of(fact.seating for fact in heads if fact.head == head)
