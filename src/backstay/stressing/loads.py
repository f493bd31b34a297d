"""Loads of a test: of its steps, and the greatest that its tendon may ever carry."""

from __future__ import annotations

from dataclasses import dataclass

from backstay.anchors.tendon import allowable_load
from backstay.cite import STATICS, Citation
from backstay.quantity import Force, Ratio
from backstay.stressing.procedure import TestKind
from backstay.stressing.record import TestedAnchor
from backstay.stressing.rules import TestRules
from backstay.trace import formula


@formula("P", STATICS)
def step_load(s: Ratio, P_d: Force) -> Force:
    """Load of a step.

    s: share of the design load; P_d: design load
    """
    return s * P_d


@dataclass(frozen=True, slots=True)
class TendonLimit:
    """The greatest load under test (kN), the rule that sets it, and what could not be checked."""

    load: float
    clause: Citation
    unchecked: str = ""


def tendon_limit(anchor: TestedAnchor, kind: TestKind, rules: TestRules) -> TendonLimit:
    """Return the greatest load that the tendon of an anchor may carry in a kind of test.

    A share of the guaranteed strength, and by EN of the load at 0.1 % strain as well: where that
    load is not known the limit is without it, and says so.
    """
    other = rules.other_test_stress
    share = rules.test_stress if other is None or kind == "investigation" else other
    strength = allowable_load(share.value, anchor.strength)
    limit = TendonLimit(strength, share.cite)
    yielding = rules.acceptance_proof_stress if kind == "acceptance" else rules.proof_stress
    if yielding is None:
        return limit
    if anchor.proof_load is None:
        part = f"{{percent:{yielding.value:g}}}"
        return TendonLimit(
            limit.load, limit.clause,
            f"the load at 0.1 % strain of the tendon is not known: see that the test stays within "
            f"{part} of it ({yielding.cite})",
        )  # fmt: skip
    proof = allowable_load(yielding.value, anchor.proof_load)
    return limit if strength <= proof else TendonLimit(proof, yielding.cite)
