"""The design of a project as it stands, kept up with changes.

Each new text is designed at once without slip surfaces, which takes hundredths of a second, and a moment
later, in a thread of its own, with them. What was begun for a text that has changed since is dropped, and
what nobody looks at when its turn comes waits until somebody does: searches wait for one another.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from threading import Lock
from typing import Literal

from backstay.checks import expand
from backstay.design import Design, design
from backstay.errors import DesignError, Fault, ProjectError
from backstay.model.project import Project
from backstay.model.reading import read_text
from backstay.workbench.listening import Listeners

Course = Literal["done", "searching", "stopped", "refused"]
"""done: with slip surfaces; searching: they are still looked for; stopped: by the user, before they were
found; refused: there is no design, faults or `reason` say why."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What is known of a revision: its project and design, or why there is none.

    where: the part of the project that a design fails in.
    """

    revision: int
    course: Course
    project: Project | None = None
    design: Design | None = None
    faults: tuple[Fault, ...] = ()
    reason: str = ""
    where: str = ""


def quick(text: str, name: str, revision: int) -> Standing:
    """Return the design of a text without slip surfaces, or why there is none."""
    try:
        project = read_text(text, name)
    except ProjectError as error:
        return Standing(revision, "refused", faults=tuple(error.faults))
    return designed(project, revision, "leave out")


def designed(
    project: Project, revision: int, slip_surfaces: Literal["search", "leave out"]
) -> Standing:
    """Return the design of a project, or why there is none."""
    try:
        found = design(project, slip_surfaces=slip_surfaces)
    except DesignError as error:
        reason = expand(error.reason, project.units)
        return Standing(revision, "refused", project, reason=reason, where=error.where)
    except Exception as error:  # a window must be told, whatever thread it happens in
        what = f"{type(error).__name__}: {error}".splitlines()[0]
        reason = f"This is a fault of the program, not of the project: {what}"
        return Standing(revision, "refused", project, reason=reason)
    course: Course = "done" if slip_surfaces == "search" else "searching"
    return Standing(revision, course, project, found)


Listener = Callable[[Standing], object]


class LiveDesign:
    """Designs the texts it is given, the latest one first; tells listeners what it finds."""

    def __init__(self, name: str) -> None:
        """name: of the file, for messages."""
        self.name = name
        self._lock = Lock()
        self._listeners = Listeners[Standing]()
        self._standing: Standing | None = None
        self._search: Future[None] | None = None
        self._put_off: Standing | None = None
        self._last_good: Standing | None = None

    @property
    def standing(self) -> Standing | None:
        """Return what is known of the latest text."""
        return self._standing

    @property
    def last_good(self) -> Standing | None:
        """Return the latest standing that has a design: what is drawn while the text is faulty."""
        return self._last_good

    def listen(self, listener: Listener) -> Callable[[], None]:
        """Tell a listener of every new standing, from whatever thread; return what ends that."""
        end = self._listeners.add(listener)
        with self._lock:
            waiting, self._put_off = self._put_off, None
        if waiting is not None and waiting is self._standing:
            self._begin_search(waiting)
        return end

    def take(self, text: str, revision: int) -> Standing:
        """Design a text without slip surfaces, begin their search, and return what is known at once."""
        first = quick(text, self.name, revision)
        self._set(first)
        if first.course == "searching":
            self._begin_search(first)
        return first

    def stop(self) -> None:
        """End the search of slip surfaces, as the user asks: what it finds is not taken."""
        with self._lock:
            standing = self._standing
            if standing is None or standing.course != "searching":
                return
            stopped = Standing(standing.revision, "stopped", standing.project, standing.design)
        self._set(stopped)

    def search_again(self) -> None:
        """Begin the search of slip surfaces again after it was stopped."""
        standing = self._standing
        if standing is not None and standing.course == "stopped":
            again = Standing(standing.revision, "searching", standing.project, standing.design)
            self._set(again)
            self._begin_search(again)

    def close(self) -> None:
        """Let go of a search that has not begun."""
        if self._search is not None:
            self._search.cancel()

    def _begin_search(self, first: Standing) -> None:
        if self._search is not None:
            self._search.cancel()
        self._search = _searches().submit(self._find, first)

    def _find(self, first: Standing) -> None:
        if self._standing is not first or first.project is None:
            return  # another text has come before this one's turn
        with self._lock:
            if not self._listeners.anybody():
                self._put_off = first
                return
        found = designed(first.project, first.revision, "search")
        with self._lock:
            if self._standing is not first:
                return
        self._set(found)

    def _set(self, standing: Standing) -> None:
        with self._lock:
            self._standing = standing
            if standing.design is not None:
                self._last_good = standing
        self._listeners.tell(standing)


@cache
def _searches() -> ThreadPoolExecutor:
    """Return what searches run in: one at a time, whatever the number of projects.

    A search uses all cores; two side by side would take as long, and leave less to those who draw.
    """
    return ThreadPoolExecutor(1, thread_name_prefix="backstay-slips")
