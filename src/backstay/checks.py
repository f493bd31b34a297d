"""A check: one way the wall could fail, the demand on it, and what resists.

Every result that an engineer judges takes this one form, whatever room it comes from, so that
the terminal, the report, the page and a program all read the same thing.

- A strength check compares a `demand` with a `capacity`; utilisation = demand / capacity.
- A safety check compares a factor of safety with the least that is required;
  utilisation = required / available.
- A limit check compares a length, an angle or a ratio with a least or greatest value.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import inf, isnan

from backstay.cite import Citation
from backstay.quantity import QUANTITIES, Quantity, UnitSystem
from backstay.trace import Step


class Verdict(StrEnum):
    """What a check concludes."""

    PASS = "pass"
    FAIL = "fail"
    SHOW = "to be shown"
    """The design leaves the choice open: the contractor must show that `demand` is met."""


class Sense(StrEnum):
    """Which way the comparison goes."""

    AT_MOST = "at most"
    """demand <= capacity passes."""
    AT_LEAST = "at least"
    """demand (what is provided) >= capacity (what is required) passes."""


@dataclass(frozen=True, slots=True)
class Check:
    """One check.

    id: stable identifier, e.g. ``anchor.tendon-stress``; name: in trade words;
    where: which row, pile, stage or stratum ("" when there is one only);
    demand, capacity: internal units of `quantity`; for Sense.AT_LEAST `demand` is what is
    provided and `capacity` what is required; clause: the rule; steps: the derivation;
    remedy: what would help, in a person's words, when it fails.
    """

    id: str
    name: str
    demand: float
    capacity: float
    quantity: Quantity
    clause: Citation
    sense: Sense = Sense.AT_MOST
    where: str = ""
    steps: tuple[Step, ...] = ()
    remedy: str = ""
    note: str = ""
    open_choice: str = ""
    """Non-empty where the contractor decides: what he must show. Verdict is then SHOW."""

    def __post_init__(self) -> None:
        if isnan(self.demand) or isnan(self.capacity):
            raise ValueError(f"check {self.id}: demand {self.demand}, capacity {self.capacity}")

    @property
    def utilisation(self) -> float:
        """Return demand over capacity, or required over provided: more than 1 fails."""
        top, bottom = (
            (self.demand, self.capacity)
            if self.sense is Sense.AT_MOST
            else (self.capacity, self.demand)
        )
        if bottom <= 0.0:
            return 0.0 if top <= 0.0 else inf
        if bottom == inf:
            return 0.0
        return max(top, 0.0) / bottom

    @property
    def verdict(self) -> Verdict:
        """Return the verdict; equality to within rounding (1e-9) passes."""
        if self.open_choice:
            return Verdict.SHOW
        return Verdict.PASS if self.utilisation <= 1.0 + 1e-9 else Verdict.FAIL

    def comparison(self, system: UnitSystem) -> str:
        """Return the comparison in words: ``310 kN, at most 361 kN``."""
        demand = self.quantity.text(self.demand, system)
        capacity = self.quantity.text(self.capacity, system)
        return f"{demand}, {self.sense.value} {capacity}"


def safety_check(
    id: str,
    name: str,
    available: float,
    required: float,
    clause: Citation,
    *,
    where: str = "",
    steps: tuple[Step, ...] = (),
    remedy: str = "",
    note: str = "",
) -> Check:
    """Return the check that a factor of safety is at least what is required."""
    return Check(
        id, name, available, required, QUANTITIES["ratio"], clause, Sense.AT_LEAST,
        where, steps, remedy, note,
    )  # fmt: skip


def worst_first(checks: Iterable[Check]) -> list[Check]:
    """Return the checks by falling utilisation; open choices come last."""
    return sorted(checks, key=lambda c: (c.verdict is Verdict.SHOW, -c.utilisation, c.id, c.where))


_PLACEHOLDER = re.compile(r"\{([a-z ]+):([-+0-9.e]+|inf)\}")


def expand(text: str, system: UnitSystem) -> str:
    """Return text with each ``{quantity:value}`` placeholder written in a unit system.

    ``"needs {length:3.9}"`` becomes ``"needs 3.900 m"`` or ``"needs 12.80 ft"``. Braces that hold
    no quantity, or no number, stay as they are: a person may have typed them.
    """

    def written(found: re.Match[str]) -> str:
        known = QUANTITIES.get(found[1])
        try:
            return found[0] if known is None else known.text(float(found[2]), system)
        except ValueError:  # as in {length:1e}
            return found[0]

    return _PLACEHOLDER.sub(written, text)
