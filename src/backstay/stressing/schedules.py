"""The procedure of any test of an anchor, by the rules that the project tests by."""

from __future__ import annotations

from dataclasses import replace

from backstay.basis import Factor
from backstay.errors import DesignError
from backstay.model.testing import TestKind
from backstay.stressing.procedure import Procedure
from backstay.stressing.record import TestedAnchor
from backstay.stressing.rules import TestRules, Times, UsLoading
from backstay.stressing.schedules_en import (
    acceptance_test,
    bond_ground,
    investigation_test,
    suitability_test,
)
from backstay.stressing.schedules_us import extended_creep_test, performance_test, proof_test

_EN = {
    "investigation": investigation_test, "suitability": suitability_test,
    "acceptance": acceptance_test,
}  # fmt: skip


def procedure_of(
    kind: TestKind,
    anchor: TestedAnchor,
    factor: float,
    rules: TestRules,
    *,
    residual: bool = True,
) -> Procedure:
    """Return the procedure of a kind of test of one anchor.

    factor: test load over design load; residual: whether a proof test ends at the alignment load.
    An anchor that was re-grouted is held from the outset as long as its limit of creep asks.
    Raises DesignError for a kind that the practice does not have, and for loads that its rules do
    not allow.
    """
    if anchor.regrouted:
        rules = _after_regrouting(rules)
    try:
        if kind == "performance":
            return performance_test(anchor.design_load, factor, rules)
        if kind == "proof":
            return proof_test(anchor.design_load, factor, rules, residual=residual)
        if kind == "extended creep":
            return extended_creep_test(anchor.design_load, factor, rules)
        return _EN[kind](
            anchor.design_load, factor, rules, ground=bond_ground(anchor.ground),
            lock_off_load=anchor.lock_off_load,
        )  # fmt: skip
    except DesignError as error:
        raise DesignError(error.reason, f"anchor {anchor.name}") from None


def _after_regrouting(rules: TestRules) -> TestRules:
    """Return the rules with the hold of an anchor that was re-grouted (US)."""
    limit, loading = rules.creep_regrouted, rules.loading
    if limit is None or not isinstance(loading, UsLoading):
        return rules
    times = dict.fromkeys((*loading.readings.minutes, *loading.readings_extended.minutes))
    hold = Factor(max(limit.end, loading.hold.value), limit.cite)
    longer = Factor(max(hold.value, loading.hold_extended.value), loading.hold_extended.cite)
    held = replace(
        loading, hold=hold, hold_extended=longer,
        readings=Times(tuple(sorted(times)), loading.readings_extended.cite),
    )  # fmt: skip
    return replace(rules, loading=held)
