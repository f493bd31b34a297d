"""The load that an anchor which failed its test may still be given.

It is locked off at a share of the greatest load that it held, and the design counts on no more: or,
where the engineer so decides, on the load that its test has proved, with the same margin as that of
an anchor that passes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from backstay.cite import GEC4, Citation, common_practice
from backstay.errors import DesignError
from backstay.quantity import Force, Ratio
from backstay.stressing.next_step import lower_lock_off
from backstay.stressing.rules import TestRules
from backstay.trace import Step, formula, remark, state, trace

Rating = Literal["rule", "proven"]
"""rule: the share of the load held by which the practice locks such an anchor off; proven: load
held over the test-load factor."""
_PROVEN = Citation(GEC4, "section 7.4, test load over design load", "memory")
_LACKING = Citation("statics", "", "formula")
_NOTHING = common_practice("an anchor that held no load in its test is given none")


@formula("P_r", _PROVEN)
def proven_load(P_h: Force, f_t: Ratio) -> Force:
    """Design load that a test has proved.

    P_h: greatest load held in the test; f_t: test load over design load
    """
    return P_h / f_t


@formula("Delta_P", _LACKING)
def lacking_load(P_w: Force, P_r: Force) -> Force:
    """Load that the wall wants of an anchor and does not get.

    P_w: load that the wall wants of it; P_r: load that it may be given
    """
    return max(P_w - P_r, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class DownRated:
    """The load of an anchor that failed its test (kN).

    held: greatest that it held, None where none; load: that the design may count on; lock_off: at
    most; wanted: by the wall; lacking: of that; share: lacking over wanted; clause: of the rating.
    """

    held: float | None
    load: float
    lock_off: float
    wanted: float
    lacking: float
    clause: Citation
    steps: tuple[Step, ...]

    @property
    def share(self) -> float:
        """Return what is lacking over what the wall wants."""
        return self.lacking / self.wanted if self.wanted > 0.0 else 0.0


def down_rated(
    held: float | None,
    *,
    wanted: float,
    design_load: float,
    test_factor: float,
    rules: TestRules,
    rate: Rating = "rule",
) -> DownRated:
    """Return the load that an anchor may be given which failed its test.

    held: greatest load (kN) at which nothing failed, None where none was held; wanted: by the wall;
    design_load: of the design, which it is never rated above. Raises DesignError for loads that are
    none.
    """
    if wanted <= 0.0 or design_load <= 0.0 or (held is not None and held < 0.0):
        raise DesignError("an anchor that is down-rated has a load that the wall wants of it")
    with trace() as t:
        if not held:
            remark("It held no load: none is counted on.")
            load = lock_off = 0.0
            clause = _NOTHING
        else:
            share = rules.failed_lock_off
            state("P_h", "Greatest load held in the test", held, "force", method="by its readings")
            lock_off = lower_lock_off(share.value, held)
            load, clause = lock_off, share.cite
            if rate == "proven":
                load, clause = proven_load(held, test_factor), _PROVEN
            load = min(load, design_load)
            lock_off = min(lock_off, load)
        lacking = lacking_load(wanted, load)
    return DownRated(
        held=held, load=load, lock_off=lock_off, wanted=wanted, lacking=lacking, clause=clause,
        steps=t.steps,
    )  # fmt: skip
