"""Rules of the service of the wall."""

from __future__ import annotations

from backstay.model.project import Service
from backstay.model.rules.rule import Breach

LONGEST_TEMPORARY = 60.0
"""Months. Common practice calls 18 to 36 months temporary; beyond five years nobody does."""


def service_rules(service: Service) -> list[Breach]:
    """Return what is wrong with the service."""
    if service.life == "temporary" and service.months is None:
        return [
            Breach(
                ("service", "months"), "a temporary wall needs its months of service",
                "a number of months (18 to 36 at most is common practice)",
            )
        ]  # fmt: skip
    if service.life == "permanent" and service.months is not None:
        return [
            Breach(
                ("service", "months"), "a permanent wall has no months of service",
                hint='leave months out, or set life to "temporary"',
            )
        ]  # fmt: skip
    if service.months is not None and service.months > LONGEST_TEMPORARY:
        return [
            Breach(
                ("service", "months"), "a wall that stands this long is permanent",
                f"at most {LONGEST_TEMPORARY:g} months",
                'set life to "permanent": corrosion protection, drained strength and earthquake follow from it',
            )
        ]  # fmt: skip
    return []
