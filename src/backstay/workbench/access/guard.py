"""The guard: stands in front of the application, for requests and web sockets alike.

In this order: is the request for us (host), does it come from a page of ours (origin), is it small
enough, who asks (session), may the person change anything (role), does a change carry the session's
token. Then it goes on, with `request.state.person` set; every answer gets its headers.

Web sockets and the requests by which socket.io stands in for one cannot carry the token. They are
held by the session's cookie, which browsers do not send along from another site, and by their
`Origin`, which must be ours.
"""

from __future__ import annotations

import hmac
import logging
import secrets
from collections.abc import Callable

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, HTTPConnection, Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from backstay.workbench.access.body import LARGEST, CountedBody, length_fault, too_large
from backstay.workbench.access.door import LARGEST_FORM, PATHS, Door
from backstay.workbench.access.exposure import Exposure
from backstay.workbench.access.headers import secure
from backstay.workbench.access.origin import (
    SAFE_METHODS,
    came_through_proxy,
    host_fault,
    origin_fault,
)
from backstay.workbench.access.pages import SIGN_IN, refusal_page, sign_in_address
from backstay.workbench.access.people import (
    AccountsError,
    NotAllowedError,
    People,
    Person,
    Role,
    require,
)
from backstay.workbench.access.sessions import Session, Sessions
from backstay.workbench.access.socket_watch import SocketWatch, is_action
from backstay.workbench.access.tries import Tries

TOKEN_HEADER = "X-Backstay-Token"
SOCKET_PATH = "/_nicegui_ws/"
_MOST_COOKIES = 5
_NO_ACCOUNTS = "The accounts cannot be read; tell whoever runs this workbench."
_log = logging.getLogger(__name__)


class Guard:
    """ASGI middleware to put in front of everything: `uvicorn.run(Guard(app, ...))`.

    exposure: how it is served; refused without accounts where others could reach it. people:
    the accounts; where there are none and only this machine is served, nobody signs in and the
    one person may do everything. largest: bytes of a body. Whether people sign in is settled
    here, once: taking the last account away later opens nothing.
    """

    def __init__(
        self,
        app: ASGIApp,
        *,
        exposure: Exposure,
        people: People,
        sessions: Sessions | None = None,
        tries: Tries | None = None,
        largest: int = LARGEST,
    ) -> None:
        everybody = people.everybody()
        exposure.check(everybody)
        self._app = app
        self._exposure = exposure
        self._signs_in = bool(everybody)
        self._everyone = Person("", Role.DESIGNS)
        self._open_token = secrets.token_urlsafe(32)
        self.sessions = sessions if sessions is not None else Sessions(people.stamp)
        self._largest = largest
        self._door = Door(
            people=people if self._signs_in else None,
            sessions=self.sessions,
            tries=tries if tries is not None else Tries(),
            exposure=exposure,
        )

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let one request or web socket through, or answer it."""
        if scope["type"] == "http":
            await self._http(scope, receive, send)
        elif scope["type"] == "websocket":
            await self._websocket(scope, receive, send)
        elif scope["type"] == "lifespan":
            await self._app(scope, receive, send)

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        scope = _without_prefix(scope)
        headers = Headers(scope=scope)
        largest = min(LARGEST_FORM, self._largest) if scope["path"] in PATHS else self._largest
        body = CountedBody(receive, largest)
        host = headers.get("host", "")

        if fault := host_fault(headers, scope.get("server"), self._exposure):
            answer: Response | None = _refusal(headers, 400, fault)
            host = "localhost"
        elif fault := self._foreign(scope, headers):
            answer = _refusal(headers, 403, fault)
        elif stated := length_fault(headers.getlist("content-length"), largest):
            answer = _refusal(headers, *stated)
        else:
            try:
                session = self._session(headers)
                answer = await self._let_in(scope, headers, body, session)
            except AccountsError as error:
                _log.error("nobody is let in: %s", error)
                answer = _refusal(headers, 503, _NO_ACCOUNTS)
            except ClientDisconnect:
                if not body.exceeded:
                    return
                answer = _refusal(headers, 413, too_large(largest))
        send = _with_headers(send, host)
        if answer is not None:
            await answer(scope, body, send)
            return
        await self._pass_on(scope, body, send, largest)

    async def _let_in(
        self, scope: Scope, headers: Headers, body: CountedBody, session: Session | None
    ) -> Response | None:
        """Give the answer of the door or a refusal; None, with the state set, to go on."""
        path, method = scope["path"], scope["method"]
        person = session.person if session else None if self._signs_in else self._everyone
        token = session.token if session else self._open_token
        if path in PATHS:
            request = Request(scope, body)
            return await self._door.answer(request, session, person=person, token=token)
        if person is None:
            return _sign_in_first(scope, headers)
        on_socket = path.startswith(SOCKET_PATH)
        if method not in SAFE_METHODS and not on_socket:
            try:
                require(person, Role.RECORDS)
            except NotAllowedError as error:
                return _refusal(headers, 403, str(error))
            given = headers.get(TOKEN_HEADER, "")
            if not hmac.compare_digest(given.encode("utf-8", "replace"), token.encode()):
                return _refusal(headers, 403, "The page is out of date: load it again.")
        if session and not on_socket:
            self.sessions.touch(session)
        _set_state(scope, person, token, session)
        return None

    async def _pass_on(self, scope: Scope, body: CountedBody, send: Send, largest: int) -> None:
        session = scope["state"]["session"]
        on_socket = scope["path"].startswith(SOCKET_PATH)
        started = replaced = False

        async def watched() -> Message:
            message = await body()
            if session and on_socket and is_action(message.get("body", b"")):
                self.sessions.touch(session)
            return message

        async def forward(message: Message) -> None:
            nonlocal started, replaced
            if replaced:
                return
            if body.exceeded and not started:
                replaced = True
                await _refusal(Headers(scope=scope), 413, too_large(largest))(scope, body, send)
                return
            started = True
            await send(message)

        try:
            await self._app(scope, watched, forward)
        except Exception:
            if not body.exceeded:  # else it is about the body that ended too soon
                raise
        if body.exceeded and not started and not replaced:
            await forward({"type": "http.response.start"})

    async def _websocket(self, scope: Scope, receive: Receive, send: Send) -> None:
        headers = Headers(scope=scope)
        fault = host_fault(headers, scope.get("server"), self._exposure) or self._foreign(
            scope, headers
        )
        session = None
        if not fault:
            try:
                session = self._session(headers)
            except AccountsError as error:
                fault = _NO_ACCOUNTS
                _log.error("nobody is let in: %s", error)
        if fault or (session is None and self._signs_in):
            await receive()
            # Before it is accepted, closing a web socket answers the request with 403.
            await send({"type": "websocket.close", "code": 4403 if fault else 4401})
            return
        if session is None:
            _set_state(scope, self._everyone, self._open_token, None)
            await self._app(scope, receive, send)
            return
        _set_state(scope, session.person, session.token, session)
        every = not scope["path"].startswith(SOCKET_PATH)
        watch = SocketWatch(self.sessions, session, receive, send, every=every)
        await self._app(scope, watch.receive, watch.send)

    def _foreign(self, scope: Scope, headers: Headers) -> str:
        if not self._signs_in and came_through_proxy(headers):
            return (
                "A proxy stands in front, so that others may reach this workbench: make accounts "
                "and start it with --public and the address that people type."
            )
        return origin_fault(
            headers,
            method=scope.get("method", "GET"),
            scheme=scope.get("scheme", "http"),
            exposure=self._exposure,
            websocket=scope["type"] == "websocket",
        )

    def _session(self, headers: Headers) -> Session | None:
        if not self._signs_in:
            return None
        for key in _cookies(headers, self._exposure.cookie)[:_MOST_COOKIES]:
            if session := self.sessions.find(key):
                return session
        return None


def person_of(connection: HTTPConnection) -> Person:
    """Give who is asking. Raises RuntimeError where no guard stands in front."""
    person = connection.scope.get("state", {}).get("person")
    if not isinstance(person, Person):
        raise RuntimeError("no guard stands in front of this application")
    return person


def token_of(connection: HTTPConnection) -> str:
    """Give the token that changes must carry, for <meta name="backstay-token"> of the page."""
    person_of(connection)
    return str(connection.scope["state"]["token"])


def needs(role: Role) -> Callable[[HTTPConnection], Person]:
    """Make a FastAPI dependency that gives the person, or answers 403 in a plain sentence."""

    def allowed(connection: HTTPConnection) -> Person:
        person = person_of(connection)
        try:
            require(person, role)
        except NotAllowedError as error:
            raise HTTPException(403, str(error)) from None
        return person

    return allowed


def _set_state(scope: Scope, person: Person, token: str, session: Session | None) -> None:
    scope["state"] = {**scope.get("state", {}), "person": person, "token": token}
    scope["state"]["session"] = session


def _cookies(headers: Headers, name: str) -> list[str]:
    """Give every value of a cookie: a page on another port can have set one of the same name."""
    found = []
    for header in headers.getlist("cookie"):
        for pair in header.split(";"):
            key, _, value = pair.strip().partition("=")
            if key == name and value:
                found.append(value.strip('"'))
    return found


def _wants_page(headers: Headers) -> bool:
    return "text/html" in headers.get("accept", "")


def _refusal(headers: Headers, status: int, sentence: str) -> Response:
    if _wants_page(headers):
        return refusal_page(sentence, status)
    return JSONResponse({"detail": sentence}, status)


def _sign_in_first(scope: Scope, headers: Headers) -> Response:
    if scope["method"] in ("GET", "HEAD") and _wants_page(headers):
        query = scope.get("query_string", b"").decode("latin-1")
        address = Request(scope).url.path + (f"?{query}" if query else "")
        return RedirectResponse(sign_in_address(address), 303)
    return JSONResponse({"detail": "Sign in first.", "sign_in": SIGN_IN}, 401)


def _without_prefix(scope: Scope) -> Scope:
    """Drop a header by which anybody could make the pages load from elsewhere."""
    kept = [(n, v) for n, v in scope["headers"] if n.lower() != b"x-forwarded-prefix"]
    return {**scope, "headers": kept}


def _with_headers(send: Send, host: str) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            secure(MutableHeaders(scope=message), host=host)
        await send(message)

    return sending
