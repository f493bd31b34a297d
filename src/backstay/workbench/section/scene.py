"""What the page is sent of a section: the picture, the diagrams, and the handles on top of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from backstay.design import SectionDesign
from backstay.model.document import Path
from backstay.quantity import UnitSystem
from backstay.workbench.section.grips import section_handles
from backstay.workbench.section.handles import Handle, value_text
from backstay.workbench.section.picture import Picture
from backstay.workbench.section.profile import Profile
from backstay.workbench.section.spelling import Spelling
from backstay.workbench.section.stages import diagrams, shown_states, stage_overlay


@dataclass(frozen=True, slots=True)
class View:
    """What is looked at: the units, the state (see `stages`), width of the diagrams (mm), slip as SVG."""

    units: UnitSystem
    state: int
    diagrams: float
    slip: str = ""


@dataclass(frozen=True, slots=True)
class Scene:
    """A section as the page shows it, with what stands behind it."""

    done: SectionDesign
    picture: Picture
    profile: Profile
    overlay: str
    row_words: Sequence[str]
    handles: tuple[Handle, ...]

    def sent(self, spelling: Spelling, view: View) -> dict[str, Any]:
        """Return what is sent."""
        drawing = self.picture.drawing
        wall = self.picture.at(0, 0)[0]
        return {
            "width": round(drawing.width + self.profile.width, 3),
            "height": round(drawing.height, 3),
            "above": round(self.profile.above, 3),
            "split": round(drawing.width, 3),
            "wall": round(wall, 3),
            "base": self.picture.svg() + self.overlay + view.slip + self.profile.svg,
            "label": f"Section {self.done.section.name}, to scale, with handles to drag",
            "handles": [self._handle(handle, spelling) for handle in self.handles],
            "readings": [[round(r.y, 2), r.level, *r.lines] for r in self.profile.readings],
        }

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
    done: SectionDesign,
    picture: Picture,
    where: Path,
    view: View,
    *,
    grips: bool,
    read: bool = True,
) -> Scene:
    """Return the scene of a section in a picture.

    grips: whether there is anything to drag; read: whether the diagrams can be read at depths.
    """
    states = shown_states(done, view.units)
    shown = states[min(view.state, len(states) - 1)]
    overlay, words = stage_overlay(done, shown, picture, view.units)
    handles: tuple[Handle, ...] = ()
    if grips:
        handles = section_handles(done, where, left=picture.left, right=picture.right)
    made = diagrams(done, shown, picture, view.diagrams, view.units, read=read)
    return Scene(done, picture, made, overlay, words, handles)
