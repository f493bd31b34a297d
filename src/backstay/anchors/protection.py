"""Corrosion protection: the class that ground and service ask for, and the class that is given.

Class I: two barriers (encapsulated tendon). Class II: one barrier (grout-protected tendon).
The ground is aggressive where pH is below 4.5, resistivity below 2000 ohm cm, sulphides or stray
currents are present, or buried concrete nearby has been attacked.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from backstay.checks import Check, Sense
from backstay.cite import GEC4, Citation
from backstay.data import protection_rules
from backstay.errors import DesignError
from backstay.model.anchors import AnchorRow
from backstay.model.project import Service
from backstay.quantity import QUANTITIES
from backstay.trace import state, trace

ProtectionClass = Literal["none", "class II", "class I"]

CLAUSE = Citation(GEC4, "section 6.3, decision tree for corrosion protection", "memory")
LEVEL: dict[ProtectionClass, int] = {"none": 0, "class II": 1, "class I": 2}
USUAL_TEMPORARY_MONTHS = 24.0
"""Service up to which anchors are usually held to be temporary (common practice: 18 to 36)."""


@dataclass(frozen=True, slots=True)
class Protection:
    """The class used, the class required, why, and the check of one against the other."""

    used: ProtectionClass
    required: ProtectionClass
    reason: str
    check: Check


def required_class(
    aggressive: Literal["yes", "no", "unknown"], service: Service
) -> tuple[ProtectionClass, str]:
    """Return the least class of protection by the decision tree, and its branches in words.

    The tree asks last whether class I would cost little more; it is taken not to, and said.
    """
    answers = {
        "aggressive": "no" if service.life == "temporary" and aggressive != "yes" else aggressive,
        "failure_serious": "yes" if service.failure == "serious" else "no",
        "small_cost": "no",
    }
    for rule in protection_rules():
        asked = {name: getattr(rule, name) for name in answers}
        if rule.service == service.life and all(
            not want or want == answers[name] for name, want in asked.items()
        ):
            return rule.protection, _reason(aggressive, service, asked)
    raise DesignError("the table of corrosion protection has no line for this service")


def _reason(aggressive: str, service: Service, asked: dict[str, str]) -> str:
    ground = {
        "yes": "aggressive ground",
        "no": "ground that is not aggressive",
        "unknown": "ground that has not been tested",
    }[aggressive]
    words = f"{service.life} service in {ground}"
    if aggressive == "unknown" and service.life == "permanent":
        words += ", which counts as aggressive"
    if aggressive == "unknown" and service.life == "temporary":
        words += (
            ": confirm pH, resistivity, sulphides and stray currents, for aggressive ground asks "
            "for class II"
        )
    if asked["failure_serious"]:
        words += ", failure serious" if service.failure == "serious" else ", failure not serious"
    if asked["small_cost"]:
        words += "; class I is still preferred where it costs little more"
    months = service.months
    if service.life == "temporary" and months is not None and months > USUAL_TEMPORARY_MONTHS:
        words += (
            f"; {{duration:{months:g}}} is longer than anchors are usually held to be temporary: "
            "consider the classes of permanent service"
        )
    return words


def protection(row: AnchorRow, service: Service, where: str) -> Protection:
    """Return the protection of one row: the class given, or the least that is required."""
    with trace() as t:
        required, reason = required_class(row.ground_aggressive, service)
        used: ProtectionClass = required if row.protection == "auto" else row.protection
        state(
            "class_required", f"Least class of corrosion protection: {required}", LEVEL[required],
            "count", method=reason, cite=CLAUSE,
        )  # fmt: skip
    check = Check(
        "anchor.protection", "Corrosion protection class", LEVEL[used], LEVEL[required],
        QUANTITIES["count"], CLAUSE, Sense.AT_LEAST, where, t.steps,
        remedy="" if LEVEL[used] >= LEVEL[required] else f"use {required}: {reason}",
        note=f"{used} used, {required} required: {reason}. Counted none 0, class II 1, class I 2",
    )  # fmt: skip
    return Protection(used, required, reason, check)
