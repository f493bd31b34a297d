"""The least unbonded length, by every rule that applies."""

from __future__ import annotations

from dataclasses import dataclass

from backstay.cite import Citation


@dataclass(frozen=True, slots=True)
class UnbondedRule:
    """One rule: what it is for, the length it asks for along the anchor (m), and its clause."""

    name: str
    length: float
    cite: Citation
