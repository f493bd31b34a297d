"""Sessions: who is signed in, until when.

They live in memory: a server that starts again asks everybody to sign in again. The cookie holds
a random key; here only its hash is kept, so that looking a key up tells nothing by its time.
"""

from __future__ import annotations

import hashlib
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass

from backstay.workbench.access.people import Person

IDLE = 4 * 3600.0
"""Seconds without an action after which a session ends. Readings of the longest hold of a load test
are half an hour apart and a break takes an hour, so that a tablet beside the jack is not signed
out in the middle of a test; one that is left behind is, before the day is over."""
LONGEST = 14 * 3600.0
"""Seconds after which a session ends in any case: one long shift, never the next day."""
_MOST = 1000


@dataclass(frozen=True, slots=True)
class Session:
    """One person signed in at one browser.

    id: hash of the cookie's key; token: what changes must carry (`X-Backstay-Token`); stamp: of
    the account when the session began; began: by the clock of `Sessions`.
    """

    id: str
    token: str
    person: Person
    stamp: str
    began: float


@dataclass(frozen=True, slots=True)
class Begun:
    """A new session and the key for its cookie; the key is kept nowhere else."""

    session: Session
    key: str


class Sessions:
    """The sessions of one server.

    stamp: gives the present stamp of an account by name, None if it is gone; a session whose
    stamp differs has ended (the password or the role changed, or the account was removed).
    clock: seconds; it must go on while the machine sleeps, as `time.time` does.
    """

    def __init__(
        self,
        stamp: Callable[[str], str | None],
        *,
        idle: float = IDLE,
        longest: float = LONGEST,
        clock: Callable[[], float] = time.time,
    ) -> None:
        self._stamp = stamp
        self.idle = idle
        self.longest = longest
        self._clock = clock
        self._sessions: dict[str, Session] = {}
        self._last: dict[str, float] = {}
        self._listeners: list[Callable[[Session], None]] = []

    def begin(self, person: Person, stamp: str) -> Begun:
        """Begin a session with a new key; none that a browser brings along is ever taken over."""
        self.sweep()
        while len(self._sessions) >= _MOST:
            self.end(self._sessions[min(self._last, key=lambda known: self._last[known])])
        key = secrets.token_urlsafe(32)
        now = self._clock()
        session = Session(_id(key), secrets.token_urlsafe(32), person, stamp, now)
        self._sessions[session.id] = session
        self._last[session.id] = now
        return Begun(session, key)

    def find(self, key: str) -> Session | None:
        """Give the session of a key, if it has not ended; this is no action of the person."""
        session = self._sessions.get(_id(key))
        return session if session is not None and self.alive(session) else None

    def alive(self, session: Session) -> bool:
        """Tell whether a session has not ended; one found to be over is ended now."""
        if session.id not in self._sessions:
            return False
        now = self._clock()
        over = (
            now - self._last[session.id] >= self.idle
            or now - session.began >= self.longest
            or self._stamp(session.person.name) != session.stamp
        )
        if over:
            self.end(session)
        return not over

    def touch(self, session: Session) -> None:
        """Note that the person has done something."""
        if session.id in self._sessions:
            self._last[session.id] = self._clock()

    def end(self, session: Session) -> None:
        """End a session, and tell the listeners."""
        if self._sessions.pop(session.id, None) is None:
            return
        self._last.pop(session.id, None)
        for listener in self._listeners:
            listener(session)

    def end_all(self, name: str) -> None:
        """End every session of a person."""
        for session in list(self._sessions.values()):
            if session.person.name == name:
                self.end(session)

    def sweep(self) -> None:
        """End what is over; what nobody asks for would stay for ever."""
        for session in list(self._sessions.values()):
            self.alive(session)

    def on_end(self, listener: Callable[[Session], None]) -> None:
        """Call the listener with each session that ends."""
        self._listeners.append(listener)

    def __len__(self) -> int:
        return len(self._sessions)


def _id(key: str) -> str:
    return hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()
