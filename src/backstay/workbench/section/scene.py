"""What the page is sent of a section: the picture, the diagrams, and the handles on top of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from backstay.design import Part, SectionDesign
from backstay.model.document import Path
from backstay.quantity import UnitSystem
from backstay.stability.slope_design import SlopeDesign
from backstay.tables import sentence
from backstay.workbench.section.grips import section_handles
from backstay.workbench.section.handles import Handle, value_text
from backstay.workbench.section.picture import Picture
from backstay.workbench.section.profile import HEAD, Profile
from backstay.workbench.section.slope_grips import KINDS, Kind, Seen, slope_handles
from backstay.workbench.section.spelling import Spelling
from backstay.workbench.section.stages import diagrams, shown_states, stage_overlay

_MARGIN = 2.5
"""Height (mm) that is left over what stands highest."""


@dataclass(frozen=True, slots=True)
class View:
    """What is looked at: the units, the state (see `stages`), width of the diagrams (mm), slip as SVG.

    kind: of what is taken hold of in a slope; spare: height (mm) at the top that is not shown.
    """

    units: UnitSystem
    state: int
    diagrams: float
    slip: str = ""
    kind: Kind = KINDS[0]
    spare: float = 0.0


@dataclass(frozen=True, slots=True)
class Scene:
    """A section or a slope as the page shows it, with what stands behind it; profile: None of a slope."""

    done: Part
    picture: Picture
    profile: Profile | None
    overlay: str
    row_words: Sequence[str]
    handles: tuple[Handle, ...]

    def sent(self, spelling: Spelling, view: View) -> dict[str, Any]:
        """Return what is sent."""
        drawing, beside = self.picture.drawing, self.profile
        wall = self.picture.at(0, 0)[0]
        return {
            "width": round(drawing.width + (beside.width if beside else 0.0), 3),
            "height": round(drawing.height, 3),
            "above": round((beside.above if beside else 0.0) - view.spare, 3),
            "split": round(drawing.width, 3),
            "wall": round(wall, 3),
            "base": self.picture.svg() + self.overlay + view.slip + (beside.svg if beside else ""),
            "label": f"{sentence(self.done.title)}, to scale, with handles to drag",
            "handles": [self._handle(handle, spelling) for handle in self.handles],
            "readings": [
                [round(r.y, 2), r.level, *r.lines] for r in (beside.readings if beside else ())
            ],
        }

    @property
    def spare(self) -> float:
        """Return the height (mm) at the top that shows nothing, but for a margin."""
        free = self.picture.clear
        if self.profile is not None:
            free = min(free, self.picture.at(0.0, 0.0)[1] - HEAD)
        return max(0.0, free - _MARGIN)

    def _handle(self, handle: Handle, spelling: Spelling) -> dict[str, Any]:
        x, y = self.picture.at(*handle.at)
        values = [held.value for held in handle.held]
        first = handle.held[0]
        return {
            "id": handle.id,
            "label": handle.label,
            "way": handle.way.value,
            "x": round(x, 3),
            "y": round(y, 3),
            "text": value_text(handle, values, spelling),
            "now": spelling.number(first.quantity, first.value),
            "note": handle.note,
        }


def make_scene(
    done: Part,
    picture: Picture,
    where: Path,
    view: View,
    *,
    grips: bool,
    read: bool = True,
) -> Scene:
    """Return the scene of a section or a slope in a picture.

    grips: whether there is anything to drag; read: whether the diagrams can be read at depths.
    """
    if not isinstance(done, SectionDesign):
        return Scene(
            done, picture, None, "", (), _of_slope(done, picture, where, view) if grips else ()
        )
    states = shown_states(done, view.units)
    shown = states[min(view.state, len(states) - 1)]
    overlay, words = stage_overlay(done, shown, picture, view.units)
    handles: tuple[Handle, ...] = ()
    if grips:
        handles = section_handles(done, where, left=picture.left, right=picture.right)
    made = diagrams(done, shown, picture, view.diagrams, view.units, read=read)
    return Scene(done, picture, made, overlay, words, handles)


def _of_slope(done: SlopeDesign, picture: Picture, where: Path, view: View) -> tuple[Handle, ...]:
    frame = picture.frame
    left = (frame.window[0][0] - frame.view.origin[0]) / frame.view.mm
    return slope_handles(done, where, Seen(left, picture.right, frame.view.top), view.kind)
