"""What the tests so far mean for the anchors still to come: failures expected, and bond lengths.

How many are expected to fail with the bond as designed, and how long it should be so that no more
than an accepted share does. The share is expected over what is held of the bond; the share that is not exceeded with nine
tenths of belief stands beside it. A length for it never undercuts the least of the basis, nor the
length that the factor of safety asks with the value that may be stated: load tests prove anchors,
they do not take the place of the factor.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backstay.anchors.presumptive import transfer_of_stress
from backstay.basis import Basis, Factor
from backstay.checks import Check
from backstay.cite import STATICS, common_practice
from backstay.quantity import QUANTITIES, BondStress, Force, Length, Ratio, SmallLength
from backstay.stressing.bond_update import BondBelief, bisected
from backstay.stressing.mobilised import mobilised_bond
from backstay.trace import Step, formula, state, trace

if TYPE_CHECKING:
    from backstay.anchors.anchor import AnchorDesign

ACCEPTED = Factor(0.02, common_practice("one anchor in fifty may fail its test and be made good"))
SURE = 0.90
LONGEST = 40.0
"""Bond length (m) beyond which none is looked for."""


@formula("L_b", STATICS)
def bond_length_by_safety(P_d: Force, FS: Ratio, d: SmallLength, tau_u: BondStress) -> Length:
    """Bond length that the factor of safety asks with a value of the bond.

    P_d: design load; FS: factor of safety; d: diameter of the drill hole; tau_u: average ultimate
    bond stress
    """
    return P_d * FS / transfer_of_stress(tau_u, d)


@dataclass(frozen=True, slots=True, kw_only=True)
class BondEffect:
    """What the tests mean for one row of anchors still to come. Lengths m.

    now: bond length designed; share_before, share: of anchors expected to fail at the test load
    with it, before and after the tests; share_at_most: not exceeded with nine tenths of belief;
    expected: number of failures among `remaining`; by_share: least length for the accepted share,
    None where no length up to 40 m does; by_safety: by the factor of safety with the value that may
    be stated; needed: the longest of these and the least of the basis, None likewise.
    """

    row: int
    remaining: int
    now: float
    share_before: float
    share: float
    share_at_most: float
    expected: float
    by_share: float | None
    by_safety: float
    needed: float | None
    check: Check
    steps: tuple[Step, ...]

    @property
    def longer(self) -> float | None:
        """Return by how much longer the bond should be (negative: might be shorter)."""
        return None if self.needed is None else self.needed - self.now


def share_failing(belief: BondBelief, load: float, hole: float, length: float) -> float:
    """Return the share of anchors expected to fail at a load (kN) with a bond length (m)."""
    return belief.share_below(mobilised_bond.function(load, hole, length))


def length_for_share(belief: BondBelief, load: float, hole: float, share: float) -> float | None:
    """Return the least bond length (m) at which no more than a share is expected to fail."""
    if share_failing(belief, load, hole, LONGEST) > share:
        return None
    return bisected(lambda L: share_failing(belief, load, hole, L) <= share, 1e-3, LONGEST)


def effect_on(
    anchor: AnchorDesign,
    before: BondBelief,
    after: BondBelief,
    basis: Basis,
    *,
    remaining: int,
    value: float,
    accepted: Factor = ACCEPTED,
) -> BondEffect:
    """Return what the tests mean for the anchors of a row that are still to be made.

    before, after: what is held of the bond without and with the tests; value: bond stress that may
    be stated (kPa); accepted: share of anchors that may fail their test.
    """
    rock = all(kind == "rock" for kind in anchor.bond_kinds)
    safety = basis.bond_safety_rock if rock else basis.bond_safety_soil
    least = basis.bond_length_least_rock if rock else basis.bond_length_least_soil
    load, hole, now = anchor.test_load, anchor.hole_diameter, anchor.bond_length
    with trace() as t:
        stress = mobilised_bond(load, hole, now)
        share = state(
            "p_f", "Share of anchors expected to fail at the test load", after.share_below(stress),
            "percent", method=f"lognormal bond, mean and scatter by {after.tests} tests, "
            f"{after.failures} of them failures, and by: {after.prior.source}", cite=after.prior.cite,
        )  # fmt: skip
        found = length_for_share(after, load, hole, accepted.value)
        if found is not None:
            state("L_b", "Bond length at which the accepted share is expected to fail", found,
                  "length", method="bisection", cite=accepted.cite)  # fmt: skip
        by_safety = bond_length_by_safety(anchor.design_load, safety.value, hole, value)
    needed = None if found is None else max(found, by_safety, least.value)
    at_most = after.share_below_at_most(stress, SURE)
    return BondEffect(
        row=anchor.row, remaining=remaining, now=now, share_before=before.share_below(stress),
        share=share, share_at_most=at_most, expected=remaining * share, by_share=found,
        by_safety=by_safety, needed=needed,
        check=_check(anchor, share, at_most, accepted, needed, t.steps), steps=t.steps,
    )  # fmt: skip


def _check(
    anchor: AnchorDesign,
    share: float,
    at_most: float,
    accepted: Factor,
    needed: float | None,
    steps: tuple[Step, ...],
) -> Check:
    longer = (
        f"a bond length of {{length:{needed:.6g}}} in place of {{length:{anchor.bond_length:.6g}}}, "
        "pressure grouting, or anchors of less load"
        if needed is not None
        else "no bond length would do: pressure grouting, or more anchors of less load"
    )
    return Check(
        "bond.expected-failures", "Share of the anchors to come that is expected to fail its test",
        share, accepted.value, QUANTITIES["percent"], accepted.cite, where=f"row {anchor.row}",
        steps=steps, remedy=longer if share > accepted.value * (1 + 1e-9) else "",
        note=f"not more than {{percent:{at_most:.6g}}} with {SURE:.0%} of belief",
    )  # fmt: skip
