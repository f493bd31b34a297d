"""Bond as load tests show it: load per length and stress, as bounds.

A test that did not fail shows a lower bound: the bond is at least what was held. A test that
failed in the bond shows both: it held the load before and did not hold the one after. So every
test is an interval, open above where the anchor did not fail.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from backstay.stressing.judge import Judgement
from backstay.stressing.mobilised import mobilised_bond, mobilised_transfer
from backstay.stressing.record import TestRecord

NOT_OF_THE_BOND = frozenset({"test.free-length-least"})
"""Criteria whose failure says nothing against the bond: load is lost ahead of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BondTest:
    """What one test shows of the bond.

    ground: kinds along the bond; held: greatest load that it held (kN); failed: load that it did
    not hold, None where it did not fail. Equal where it failed at that very load.
    """

    anchor: str
    ground: tuple[str, ...]
    grouting: str
    hole: float
    bond_length: float
    held: float
    failed: float | None = None

    @property
    def stress(self) -> tuple[float, float]:
        """Return between which average bond stresses (kPa) the bond fails; inf where unknown."""
        low = mobilised_bond.function(self.held, self.hole, self.bond_length)
        if self.failed is None:
            return low, inf
        return low, mobilised_bond.function(self.failed, self.hole, self.bond_length)

    @property
    def transfer(self) -> tuple[float, float]:
        """Return the same as load per length (kN/m)."""
        low = mobilised_transfer.function(self.held, self.bond_length)
        if self.failed is None:
            return low, inf
        return low, mobilised_transfer.function(self.failed, self.bond_length)


def bond_test(record: TestRecord, judgement: Judgement) -> BondTest | None:
    """Return what a judged test shows of the bond, None where it shows nothing.

    A record that cannot be judged because it is wrong shows nothing; one that is merely incomplete
    shows what was held until then.
    """
    if any(f.consequence == "refused" for f in judgement.findings):
        return None
    found = judgement.evaluation
    anchor = record.anchor
    gave = judgement.decision == "not accepted" and any(
        c.utilisation > 1 + 1e-9 and c.id not in NOT_OF_THE_BOND for c in judgement.checks
    )
    if found.held_load is None and not gave:
        return None
    held, failed = found.held_load or 0.0, None
    if gave:
        beyond = [p.load for p in found.points if p.load > held * (1 + 1e-9)]
        failed = max(beyond) if beyond else held
    return BondTest(
        anchor=anchor.name, ground=anchor.ground, grouting=anchor.grouting,
        hole=anchor.hole_diameter, bond_length=anchor.bond_length, held=held, failed=failed,
    )  # fmt: skip


def by_ground_and_grouting(
    tests: Sequence[BondTest],
) -> dict[tuple[tuple[str, ...], str], tuple[BondTest, ...]]:
    """Return the tests by kinds of ground along the bond (in any order) and grouting."""
    groups: dict[tuple[tuple[str, ...], str], list[BondTest]] = {}
    for test in tests:
        groups.setdefault((tuple(sorted(test.ground)), test.grouting), []).append(test)
    return {key: tuple(members) for key, members in groups.items()}
