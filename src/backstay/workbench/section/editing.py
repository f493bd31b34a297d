"""The section being edited: what a drag, a key or a typed value would do, and doing it.

While something is moved the text of the project stays as it is: each place is designed and drawn as it
would be, in a frame that stands still. What is let go becomes one step that can be undone. A place at
which there would be no project or no design is refused, with the reason.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from math import isfinite
from typing import Any

from nicegui import run

from backstay.checks import Check, Verdict
from backstay.design import Part, SectionDesign
from backstay.drawing.frame import Frame
from backstay.model.changes import Change
from backstay.model.document import Path, spelt
from backstay.model.project import Section
from backstay.model.slope import Slope
from backstay.quantity import QUANTITIES
from backstay.tables import sentence
from backstay.workbench.desk import Desk
from backstay.workbench.live import Standing
from backstay.workbench.section.handles import (
    Handle,
    Place,
    changes_to,
    moved,
    stepped,
    typed,
    value_text,
    values_after,
)
from backstay.workbench.section.picture import Picture, draw, frame_for
from backstay.workbench.section.scene import Scene, View, make_scene
from backstay.workbench.section.slope_grips import Kind
from backstay.workbench.section.spelling import Spelling
from backstay.workbench.section.things import in_words, things_of

Answer = dict[str, Any]


@dataclass(slots=True)
class Editing:
    """One window's section or slope.

    seen: called with the part that a preview shows, None where it ends; slip: returns the slip
    surface that is chosen, as SVG on a picture; room: width and height (mm) there are; held: whether
    something is being moved: until it is let go nothing else is drawn.
    """

    desk: Desk
    seen: Callable[[Part | None], None]
    slip: Callable[[Picture], str] = field(default=lambda _: "")
    room: tuple[float, float] = (230.0, 110.0)
    view: View = field(init=False)
    scene: Scene | None = field(init=False, default=None)
    held: bool = field(init=False, default=False)
    _key: tuple[Any, ...] | None = field(init=False, default=None)
    _frame: Frame | None = field(init=False, default=None)
    _keys: tuple[str, list[float]] | None = field(init=False, default=None)
    _tried: tuple[list[Change], Standing | str] | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        self.view = View(self.desk.units, 0, _diagram_width(self.room[0]))

    @property
    def spelling(self) -> Spelling:
        """Return how values are written back."""
        standing = self.desk.standing
        project = standing.project if standing else None
        if project is None and self.desk.design:
            project = self.desk.design.project
        own = project.units if project else self.desk.units
        return Spelling(self.desk.units, own)

    @property
    def editable(self) -> bool:
        """Say whether anything may be moved: by this person, and in a project that has a design."""
        standing = self.desk.standing
        return self.desk.may_design and standing is not None and standing.course != "refused"

    def settle(self) -> Scene | None:
        """Draw the part as it stands; None where there is none."""
        done, desk = self.desk.part, self.desk
        if self.held:
            return (
                self.scene
            )  # what is dragged is answered in the frame that it was taken hold of in
        self._keys = self._tried = None
        if done is None:
            self.scene = self._key = None
            return None
        diagrams = _diagram_width(self.room[0]) if isinstance(done, SectionDesign) else 0.0
        self.view = replace(self.view, units=desk.units, diagrams=diagrams)
        key = (
            modelled(done), getattr(done, "slips", None), desk.units, self.view.state, self.view.kind,
            self.room, self.editable, desk.part_path,
        )  # fmt: skip
        same = self._key is not None and all(
            a is b or (isinstance(a, int | str | tuple) and a == b)
            for a, b in zip(key, self._key, strict=True)
        )
        if same and self.scene is not None:
            picture = self.scene.picture
            if self.slip(picture) == self.view.slip:
                return self.scene
        else:
            self._frame = frame_for(done, self.room[0] - self.view.diagrams, self.room[1])
            picture = draw(done, self._frame, desk.units)
        self._key = key
        self.view = replace(self.view, slip=self.slip(picture))
        self.scene = make_scene(done, picture, desk.part_path, self.view, grips=self.editable)
        self.view = replace(self.view, spare=self.scene.spare)
        return self.scene

    def look_at(self, state: int) -> None:
        """Look at another state: the design envelope, or a stage of the dig."""
        self.view = replace(self.view, state=state)

    def take_hold_of(self, kind: Kind) -> None:
        """Choose what of a slope is taken hold of."""
        self.view = replace(self.view, kind=kind)

    def handle(self, id: object) -> Handle | None:
        """Return a handle of what is shown by its id."""
        if self.scene is None:
            return None
        return next((h for h in self.scene.handles if h.id == id), None)

    async def drag(self, asked: Answer) -> Answer:
        """Return what a handle at a place would do: value, picture, and what fails or why it cannot be."""
        handle, place = self.handle(asked.get("id")), _place(asked)
        if handle is None or place is None or self.scene is None:
            return self._gone(asked)
        to = self.scene.picture.model(place)
        changes = moved(handle, to, self.spelling, fine=bool(asked.get("fine")))
        return {**await self._previewed(handle, changes, asked), "at": list(place)}

    async def drop(self, asked: Answer) -> Answer:
        """Move a handle to a place for good, as one step."""
        handle, place = self.handle(asked.get("id")), _place(asked)
        if handle is None or place is None or self.scene is None:
            return self._gone(asked)
        to = self.scene.picture.model(place)
        changes = moved(handle, to, self.spelling, fine=bool(asked.get("fine")))
        return await self._kept(handle, changes, asked)

    async def step(self, asked: Answer) -> Answer:
        """Return what steps of the arrow keys would do, one after the other."""
        handle = self.handle(asked.get("id"))
        if handle is None:
            return self._gone(asked)
        values = self._values(handle)
        for one in asked.get("steps") or ():
            values = stepped(
                handle, values, self.spelling, right=_unit(one.get("right")),
                up=_unit(one.get("up")), fine=bool(one.get("fine")),
            )  # fmt: skip
        self._keys = (handle.id, values)
        changes = changes_to(handle, values, self.spelling)
        return await self._previewed(handle, changes, asked)

    async def keep(self, asked: Answer) -> Answer:
        """Keep what the arrow keys have done, as one step."""
        handle = self.handle(asked.get("id"))
        if handle is None:
            return self._gone(asked)
        changes = changes_to(handle, self._values(handle), self.spelling)
        self._keys = None
        return await self._kept(handle, changes, asked)

    async def type(self, asked: Answer) -> Answer:
        """Give a handle what a person typed: one value, or one for each that it carries."""
        handle, text = self.handle(asked.get("id")), str(asked.get("text", ""))
        if handle is None:
            return self._gone(asked)
        differ = len({h.value for h in handle.held}) > 1
        parts = [p.strip() for p in text.split(",")] if differ else [text] * len(handle.held)
        if len(parts) != len(handle.held):
            words = f"Type {len(handle.held)} values with a comma between, such as {asked_for(handle, self.spelling)}."
            return {**_named(handle, asked), "bad": words}
        same = text.strip() == asked_for(handle, self.spelling)
        changes = [] if same else typed(handle, parts, self.spelling)
        return await self._kept(handle, changes, asked)

    def said_of(self, words: str, changes: Sequence[Change]) -> str:
        """Return words about a change without its place in the file, since they stand beside it.

        Other places are named as they are on screen.
        """
        for change in changes:
            # what was read stands there too
            words = re.sub(rf"{re.escape(spelt(change.path))}: (?:'[^'\n]*': )?", "", words)
        part = self.desk.part
        if part is None:
            return words
        return in_words(words, things_of(modelled(part), self.desk.part_path))

    def leave(self) -> None:
        """Forget what was moved and not kept."""
        self._keys = self._tried = None
        self.held = False
        self.seen(None)

    def _gone(self, asked: Answer) -> Answer:
        self.held = False
        return {
            "id": asked.get("id"), "n": asked.get("n"), "changed": False,
            "bad": "This is no longer there: the section was changed meanwhile.",
        }  # fmt: skip

    def _values(self, handle: Handle) -> list[float]:
        if self._keys is not None and self._keys[0] == handle.id:
            return self._keys[1]
        return [held.value for held in handle.held]

    async def _try(self, changes: list[Change]) -> Standing | str:
        """Return the design after changes, once for the same changes."""
        if self._tried is None or self._tried[0] != changes:
            self._tried = (changes, await self.desk.preview(changes))
        return self._tried[1]

    async def _previewed(self, handle: Handle, changes: list[Change], asked: Answer) -> Answer:
        self.held = True
        answer = _named(handle, asked)
        if not changes:
            answer["text"] = value_text(handle, [h.value for h in handle.held], self.spelling)
            if self.scene is not None:
                answer["scene"] = self.scene.sent(self.spelling, self.view)
            self.seen(None)
            return answer
        standing = await self._try(changes)
        bad = self.said_of(why_not(standing), changes)
        if bad or isinstance(standing, str):
            self.seen(None)
            asked_for_this = values_after(handle, changes, self.spelling)
            return {**answer, "text": value_text(handle, asked_for_this, self.spelling), "bad": bad}
        scene = await run.io_bound(self._scene_of, standing)
        if scene is None:
            return {**answer, "bad": "The section is no longer there."}
        moved_one = next((h for h in scene.handles if h.id == handle.id), handle)
        values = [held.value for held in moved_one.held]
        self.seen(scene.done)
        return {
            **answer,
            "text": value_text(moved_one, values, self.spelling),
            "notes": notes(scene.done, handle.thing, self.desk),
            "scene": scene.sent(self.spelling, self.view),
        }

    def _scene_of(self, standing: Standing) -> Scene | None:
        parts = standing.design.parts if standing.design else ()
        if self._frame is None or self.desk.part_index >= len(parts):
            return None
        done = parts[self.desk.part_index]
        # names that must find a place among the rest would jump about, and take longer than the design
        picture = draw(done, self._frame, self.desk.units, lettering="levels")
        view = replace(self.view, slip="")
        return make_scene(done, picture, self.desk.part_path, view, grips=True, read=False)

    async def _kept(self, handle: Handle, changes: list[Change], asked: Answer) -> Answer:
        answer = {**_named(handle, asked), "changed": False}
        self.seen(None)
        if not changes:
            self.held = False
            return answer
        bad = why_not(await self._try(changes))
        if not bad:
            bad = await self.desk.edit(changes, f"Move {handle.label[0].lower()}{handle.label[1:]}")
        answer["bad"] = self.said_of(bad, changes)
        self._tried = None
        self.held = False
        return {**answer, "changed": not bad}


def why_not(standing: Standing | str) -> str:
    """Return why a preview has no design, in words; "" where it has one."""
    if isinstance(standing, str):
        return standing
    if standing.course != "refused":
        return ""
    where = f"{standing.where}: " if standing.where else ""
    return f"{where}{standing.reason}"


def modelled(part: Part) -> Section | Slope:
    """Return what the project file says of a part."""
    return part.section if isinstance(part, SectionDesign) else part.slope


def notes(done: Part, thing: Path, desk: Desk) -> list[str]:
    """Return what a person should see while moving: the load of the row that is moved, what fails."""
    said = []
    if not isinstance(done, SectionDesign):
        for row in done.rows[:1]:
            said.append(
                f"anchor force {desk.text(QUANTITIES['force per length'], done.required.force)}, "
                f"spacing {desk.text(QUANTITIES['length'], row.anchor.spacing)}, "
                f"design load {desk.text(QUANTITIES['force'], row.anchor.design_load)}"
            )
    elif len(thing) == 4 and thing[2] == "anchors" and isinstance(thing[3], int):
        anchor = done.anchors[thing[3]]
        said.append(
            f"needs {desk.text(QUANTITIES['force'], anchor.required_load)}, "
            f"design load {desk.text(QUANTITIES['force'], anchor.design_load)}"
        )
    failing = failing_checks(done)
    if failing:
        more = f", and {len(failing) - 1} more" if len(failing) > 1 else ""
        said.append(f"✗ fails: {sentence(failing[0].name)}{more}")
    return said


def failing_checks(done: Any) -> list[Check]:
    """Return the checks of a part that fail, the worst first."""
    failing = [c for c in done.checks if c.verdict is Verdict.FAIL]
    return sorted(failing, key=lambda c: -c.utilisation)


def fail_words(check: Check, desk: Desk) -> str:
    """Return a check in a line: name, where, and the comparison."""
    where = f" ({check.where})" if check.where else ""
    return f"{sentence(check.name)}{where}: {check.comparison(desk.units)}"


def asked_for(handle: Handle, spelling: Spelling) -> str:
    """Return the values of a handle as they stand, to be typed over."""
    return value_text(handle, [h.value for h in handle.held], spelling)


def _diagram_width(room: float) -> float:
    return min(max(0.32 * room, 66.0), 120.0)


def _named(handle: Handle, asked: Answer) -> Answer:
    return {"id": handle.id, "label": handle.label, "n": asked.get("n")}


def _place(asked: Answer) -> Place | None:
    """Return the place on the picture (mm) that a page sent, or None where it is none."""
    x, y = asked.get("x"), asked.get("y")
    if not isinstance(x, int | float) or not isinstance(y, int | float):
        return None
    return (float(x), float(y)) if isfinite(x) and isfinite(y) else None


def _unit(value: object) -> int:
    return value if isinstance(value, int) and -1 <= value <= 1 else 0
