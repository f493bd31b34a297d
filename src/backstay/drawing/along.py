"""Places along the wall: where piles and anchors stand, and where that is on paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backstay.anchors.schedule import anchors_along
from backstay.model.wall import SoldierPiles

if TYPE_CHECKING:
    from backstay.anchors import AnchorDesign
    from backstay.design import Design, SectionDesign

BREAK = 8.0
"""Width (mm) of the gap at a break in the wall."""


@dataclass(frozen=True, slots=True)
class Run:
    """The length of wall as drawn: whole, or with its middle left out.

    length: of the wall; shown: of either drawn end where it is broken (m; nil if whole).
    """

    length: float
    shown: float = 0.0

    @property
    def drawn(self) -> float:
        """Return the drawn length (m), without the gap of the break."""
        return 2 * self.shown if self.shown else self.length

    def place(self, y: float, mm: float) -> float | None:
        """Return where y along the wall stands (mm from the left end), or None if left out."""
        if not self.shown or y <= self.shown + 1e-6:
            return y * mm
        if y < self.length - self.shown - 1e-6:
            return None
        return (y - self.length + 2 * self.shown) * mm + BREAK


def _places(done: SectionDesign, spacing: float) -> list[float]:
    """Return places along the wall (m): one for each spacing begun, centred on its length."""
    length_of_wall = done.section.wall_length
    count = anchors_along(length_of_wall, spacing)
    start = (length_of_wall - spacing * (count - 1)) / 2
    return [start + spacing * i for i in range(count)]


def pile_places(done: SectionDesign) -> list[float]:
    """Return where piles stand along the wall (m), as many as the quantities count."""
    return _places(done, done.wall.spacing)


def anchor_places(done: SectionDesign, anchor: AnchorDesign) -> list[float]:
    """Return where a row's anchors stand along the wall (m), as many as the schedule counts.

    On soldier piles they stand at every pile, or at every second, third and so on.
    """
    if isinstance(done.section.wall, SoldierPiles):
        return pile_places(done)[:: max(1, round(anchor.spacing / done.wall.spacing))]
    return _places(done, anchor.spacing)


def stations(design: Design) -> dict[tuple[str, int, int], float]:
    """Return how far along its wall (m) each anchor stands, by section, row and number."""
    return {
        (done.section.name, anchor.row, number): along
        for done in design.sections
        for anchor in done.anchors
        for number, along in enumerate(anchor_places(done, anchor), start=1)
    }
