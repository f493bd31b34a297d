"""Who may use the workbench, and what may reach it.

The workbench listens on this machine alone unless it is told otherwise, and serves others only
when somebody has an account (`exposure`). Accounts lie in one file that only its owner can read,
outside of the projects, with hashed passwords (`people`, `passwords`). A sign-in gives a session
that ends by itself (`sessions`); guessing is slowed (`tries`). The `guard` stands in front of the
whole application, pages, interfaces and web sockets alike: it refuses foreign hosts and origins,
bodies that are too large and changes without the session's token, sends people without a session
to the sign-in page, and says on each request who is asking. `safe_path` keeps every path inside
the folder of the projects. This face imports no web framework; `guard` does.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from backstay.workbench.access.exposure import Exposure, RefusedToServeError
    from backstay.workbench.access.paths import UnsafePathError, safe_path
    from backstay.workbench.access.people import (
        AccountsError,
        NotAllowedError,
        People,
        Person,
        Role,
        require,
    )
    from backstay.workbench.access.sessions import Session, Sessions

__all__ = [
    "AccountsError",
    "Exposure",
    "NotAllowedError",
    "People",
    "Person",
    "RefusedToServeError",
    "Role",
    "Session",
    "Sessions",
    "UnsafePathError",
    "require",
    "safe_path",
]

_HOMES = {
    "exposure": ("Exposure", "RefusedToServeError"),
    "paths": ("UnsafePathError", "safe_path"),
    "people": ("AccountsError", "NotAllowedError", "People", "Person", "Role", "require"),
    "sessions": ("Session", "Sessions"),
}


def __getattr__(name: str) -> Any:
    """Import a name when it is asked for: the command line passes through here each time."""
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{home}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
