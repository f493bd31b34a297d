"""A project file that is open: its text, the steps that led there, and what lies on the disk.

All windows that show one project share one of these. A change says which revision it was made on: one
that was made on what another window has changed since is refused, never written over.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import RLock

from backstay.errors import BackstayError, ProjectError
from backstay.files import atomic_create, atomic_write
from backstay.model.changes import Change, changed
from backstay.model.document import decode
from backstay.model.project import Project
from backstay.model.reading import read_text, text_of_file
from backstay.workbench.draft import Draft, Left
from backstay.workbench.listening import Listeners

MOST_STEPS = 500
"""Steps that can be undone; the oldest are forgotten first."""


class StaleError(BackstayError):
    """A change was made on what is no longer there."""


class UndecidedError(BackstayError):
    """What was left unsaved has been neither taken up nor dropped."""


class OutsideChangeError(BackstayError):
    """The file on the disk has been changed by something else since it was read."""


@dataclass(frozen=True, slots=True)
class Step:
    """A state of the text, and what led to it: in words, by whom."""

    text: str
    what: str
    who: str


@dataclass(frozen=True, slots=True)
class State:
    """What windows are told: revision; whether it differs from the disk; what can be undone and redone.

    trouble: why the unsaved text could not be kept beside the file; left: what was left unsaved before,
    until it is taken up or dropped.
    """

    revision: int
    text: str
    unsaved: bool
    undo: str
    redo: str
    trouble: str = ""
    left: Left | None = None


Listener = Callable[[State], object]


class ProjectFile:
    """One project file. Safe to use from several threads."""

    def __init__(self, path: Path) -> None:
        """Read a file. Raises ProjectError where it cannot be read as text; faults in it are no error."""
        self.path = path
        self._lock = RLock()
        self._listeners = Listeners[State]()
        self._revision = 0
        text = text_of_file(path)
        self._steps = [Step(text, "", "")]
        self._at = 0
        self._saved = text
        self._digest = _digest(text)
        self._draft = Draft(path)
        self._left = self._draft.left(text)

    @property
    def state(self) -> State:
        """Return what windows are told."""
        with self._lock:
            undo = self._steps[self._at].what if self._at else ""
            later = self._steps[self._at + 1 :]
            return State(
                self._revision,
                self.text,
                self.text != self._saved,
                undo,
                later[0].what if later else "",
                self._draft.trouble,
                self._left,
            )

    @property
    def text(self) -> str:
        """Return the text as it stands, saved or not."""
        return self._steps[self._at].text

    @property
    def revision(self) -> int:
        """Return the number of the state; it rises with everything that changes the text."""
        return self._revision

    def project(self) -> Project:
        """Return the project. Raises ProjectError with all faults of the text."""
        return read_text(self.text, self.path.name)

    def listen(self, listener: Listener) -> Callable[[], None]:
        """Tell a listener of every new state; return what ends that."""
        return self._listeners.add(listener)

    def change(
        self, changes: Sequence[Change], what: str, *, on: int, who: str = "", strict: bool = True
    ) -> State:
        """Make changes as one step, all or none.

        what: it is, in words; on: the revision they were made on. strict: refuse what makes the file
        faulty, with ProjectError. Raises StaleError where another window was faster.
        """
        with self._lock:
            self._must_be(on)
            text = changed(self.text, changes)
            return self._step(text, what, who, strict=strict)

    def replace(
        self, text: str, what: str, *, on: int, who: str = "", strict: bool = False
    ) -> State:
        """Take another text as one step, as of `change`; faults in it are no error unless strict."""
        with self._lock:
            self._must_be(on)
            return self._step(text, what, who, strict=strict)

    def preview(self, changes: Sequence[Change]) -> Project:
        """Return the project as it would be after changes. Raises ProjectError with its faults."""
        return read_text(changed(self.text, changes), self.path.name)

    def undo(self, *, on: int) -> State:
        """Go one step back; where there is none, nothing happens."""
        return self._move(-1, on)

    def redo(self, *, on: int) -> State:
        """Go one step forward; where there is none, nothing happens."""
        return self._move(1, on)

    def take_up(self, *, who: str = "") -> State:
        """Take what was left unsaved as one step, so that it can be undone; nothing where there is none."""
        with self._lock:
            left = self._left
            if left is None or left.text is None:
                return self.state
            self._left = None
            return self._step(left.text, "Take up what was left unsaved", who, strict=False)

    def drop_left(self) -> State:
        """Remove what was left unsaved, for good."""
        with self._lock:
            self._left = None
            return self._told()

    def save(self, *, over: bool = False) -> State:
        """Write the text to the disk, whole or not at all.

        over: even over what something else has written there since. Raises OutsideChangeError
        without, OSError where it cannot be written.
        """
        with self._lock:
            if not over and self.outside() is not None:
                raise OutsideChangeError(
                    f"{self.path.name} was changed by something else since it was opened here"
                )
            text = self.text
            atomic_write(self.path, text.encode("utf-8"))
            self._saved, self._digest = text, _digest(text)
            return self._told()

    def save_as(self, path: Path) -> None:
        """Write a copy under a new name. Raises FileExistsError where it is taken."""
        atomic_create(path, self.text.encode("utf-8"))

    def outside(self) -> str | None:
        """Return what something else has written to the file since, or None; "" where it is gone."""
        try:
            raw = self.path.read_bytes()
        except FileNotFoundError:
            return ""
        if hashlib.sha256(raw).digest() == self._digest:
            return None
        try:
            return decode(raw, self.path.name)
        except ProjectError:
            return ""

    def take_outside(self, *, who: str = "") -> State:
        """Take what lies on the disk as one step, so that it can be undone."""
        with self._lock:
            self._must_be_decided()
            text = text_of_file(self.path)
            self._saved, self._digest = text, _digest(text)
            if text == self.text:
                return self._told()
            return self._step(text, "Take the file from the disk", who, strict=False)

    def _must_be_decided(self) -> None:
        if self._left is not None:
            raise UndecidedError(
                "First take up or drop what was left unsaved, as offered at the top of the page."
            )

    def _must_be(self, revision: int) -> None:
        self._must_be_decided()
        if revision != self._revision:
            last = self._steps[self._at]
            by = f" by {last.who}" if last.who else ""
            raise StaleError(
                f"Another window has changed the project meanwhile ({last.what or 'undone'}{by}). "
                "What is shown is brought up to date; make the change again."
            )

    def _step(self, text: str, what: str, who: str, *, strict: bool) -> State:
        if strict:
            read_text(text, self.path.name)
        if text == self.text:
            return self.state
        self._steps = [*self._steps[: self._at + 1], Step(text, what, who)][-MOST_STEPS - 1 :]
        self._at = len(self._steps) - 1
        self._revision += 1
        return self._told()

    def _move(self, by: int, on: int) -> State:
        with self._lock:
            self._must_be(on)
            if not 0 <= self._at + by < len(self._steps):
                return self.state
            self._at += by
            self._revision += 1
            return self._told()

    def _told(self) -> State:
        self._keep_draft()
        state = self.state
        self._listeners.tell(state)
        return state

    def _keep_draft(self) -> None:
        if self._left is not None:
            return
        if self.text == self._saved:
            self._draft.drop()
        else:
            self._draft.keep(self.text)


def _digest(text: str) -> bytes:
    return hashlib.sha256(text.encode("utf-8")).digest()
