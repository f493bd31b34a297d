"""Close a web socket when the session it was opened with ends."""

from __future__ import annotations

from starlette.types import Message, Receive, Send

from backstay.workbench.access.people import AccountsError
from backstay.workbench.access.sessions import Session, Sessions

ENDED = 4401
"""Close code of a socket whose session has ended."""
_EVENT = '42["event"'


def is_action(data: bytes | str) -> bool:
    """Tell whether a message of socket.io is something a person did.

    Heartbeats, acknowledgements and the like come by themselves; if they counted, no session with
    an open page would ever be idle.
    """
    return _EVENT.encode() in data if isinstance(data, bytes) else _EVENT in data


class SocketWatch:
    """`receive` and `send` of a web socket, for as long as its session lives.

    every: whether each message counts as an action of the person (for sockets other than those of
    socket.io). Heartbeats keep coming while nobody acts, so that the end is noticed soon.
    """

    def __init__(
        self, sessions: Sessions, session: Session, receive: Receive, send: Send, *, every: bool
    ) -> None:
        self._sessions = sessions
        self._session = session
        self._receive = receive
        self._send = send
        self._every = every
        self._closed = False

    async def receive(self) -> Message:
        """Receive the next message, or a disconnect once the session has ended."""
        if self._closed:
            return {"type": "websocket.disconnect", "code": ENDED}
        message = await self._receive()
        if self._over():
            await self._close()
            return {"type": "websocket.disconnect", "code": ENDED}
        if message["type"] == "websocket.receive":
            data = message.get("text") or message.get("bytes") or ""
            if self._every or is_action(data):
                self._sessions.touch(self._session)
        return message

    async def send(self, message: Message) -> None:
        """Send a message, unless the session has ended."""
        if self._closed:
            return
        if self._over():
            await self._close()
            return
        if message["type"] == "websocket.close":
            self._closed = True
        await self._send(message)

    def _over(self) -> bool:
        try:
            return not self._sessions.alive(self._session)
        except AccountsError:  # nobody can be told from anybody: as good as over
            return True

    async def _close(self) -> None:
        if not self._closed:
            self._closed = True
            await self._send({"type": "websocket.close", "code": ENDED})
