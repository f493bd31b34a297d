"""The published shape of an anchor: the same in a wall and on a slope."""

from __future__ import annotations

from typing import Literal

from backstay.results.value import Result, Value


class AnchorResult(Result):
    """The anchors of one row; loads per anchor, lengths along it."""

    row: int
    inclination: Value
    spacing: Value
    required_load: Value
    design_load: Value
    test_load: Value
    lock_off_load: Value
    tendon: str
    tendon_area: Value
    tendon_strength: Value
    unbonded_length: Value
    unbonded_governing: str
    bond_length: Value | None
    bond_by: Literal["contractor", "engineer"]
    total_length: Value
    hole_diameter: Value
    protection: str
    elongation: Value
    lock_off_loss: Value
    number: int
    tests: str
