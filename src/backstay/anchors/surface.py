"""The critical failure surface."""

from __future__ import annotations

from dataclasses import dataclass

from backstay.trace import Step


@dataclass(frozen=True, slots=True)
class CriticalSurface:
    """The critical failure surface in the section.

    points: (x, z) from the bottom of the cut (0, H) up to the ground surface; angle: of its
    first piece above horizontal (rad); method: how it was found, in words.
    """

    points: tuple[tuple[float, float], ...]
    angle: float
    method: str
    steps: tuple[Step, ...]
