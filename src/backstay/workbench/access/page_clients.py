"""Forget the open pages of a session that has ended.

The server keeps the state of a page for a while after its connection is gone, so that a short
break of the network does no harm. On a tablet that several people use, the next person must not be
able to take up a page that was opened with more rights.
"""

from __future__ import annotations

from backstay.workbench.access.sessions import Session, Sessions


def forget_pages_with(sessions: Sessions) -> None:
    """Delete the pages of each session when it ends; call once, when the server starts."""
    sessions.on_end(_forget)


def _forget(session: Session) -> None:
    from nicegui import Client

    for client in list(Client.instances.values()):
        try:
            state = client.request.scope.get("state", {})
        except RuntimeError:  # a page that no request has made
            continue
        if state.get("session") == session:
            client.delete()
