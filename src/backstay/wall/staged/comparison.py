"""The design envelope and the staged analysis side by side, and which of them is carried."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from backstay.wall.staged.result import StagedResult

Carry = Literal["larger", "envelope", "staged"]


@dataclass(frozen=True, slots=True)
class Compared:
    """One action by the design envelope and by the staged analysis (internal units of `quantity`).

    soft, mean, stiff: of the staged analysis with soft, mean and stiff ground, None where the wall
    does not stand; carried: what the structural checks use.
    """

    what: str
    where: str
    quantity: str
    envelope: float
    soft: float | None
    mean: float | None
    stiff: float | None
    carried: float

    @property
    def staged(self) -> float | None:
        """Return the greatest of the staged analyses, None if none stands."""
        found = [v for v in (self.soft, self.mean, self.stiff) if v is not None]
        return max(found) if found else None


def greatest_moment(result: StagedResult) -> float | None:
    """Return the greatest moment of either sign over all stages (kNm), None if it does not stand."""
    if not result.stands or result.envelope is None:
        return None
    return max(result.envelope.M_max.value, -result.envelope.M_min.value, 0.0)


def greatest_shear(result: StagedResult) -> float | None:
    """Return the greatest shear over all stages (kN), None if the wall does not stand."""
    if not result.stands or result.envelope is None:
        return None
    return abs(result.envelope.V_max.value)


def greatest_deflection(result: StagedResult) -> float | None:
    """Return the greatest deflection toward the cut over all stages (m), None likewise."""
    if not result.stands or result.envelope is None:
        return None
    return result.envelope.w_max.value


def greatest_load(result: StagedResult, row: int) -> float | None:
    """Return the greatest load of the anchors of a row (from 1), along the anchor (kN), None likewise.

    Stages of an accident are left out: they are judged for themselves.
    """
    if not result.stands:
        return None
    accidents = {accident.stage for accident in result.accidents}
    return max(
        (s.anchor_loads[row - 1] for s in result.stages if s.number not in accidents), default=0.0
    )


def compared(
    what: str,
    where: str,
    quantity: str,
    envelope: float,
    staged: Sequence[float | None],
    carry: Carry,
) -> Compared:
    """Return the comparison of one action; staged: with soft, mean and stiff ground."""
    soft, mean, stiff = staged
    found = [v for v in staged if v is not None]
    most = max(found) if found else None
    if most is None or carry == "envelope":
        carried = envelope
    elif carry == "staged":
        carried = most
    else:
        carried = max(envelope, most)
    return Compared(what, where, quantity, envelope, soft, mean, stiff, carried)


def greatest(values: Iterable[float | None]) -> float | None:
    """Return the greatest value that is there, None if there is none."""
    found = [v for v in values if v is not None]
    return max(found) if found else None
