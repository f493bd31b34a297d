"""The door: signing in and out, and who one is. The guard sends these paths here."""

from __future__ import annotations

import asyncio
import hmac
import logging
from pathlib import Path
from urllib.parse import parse_qs

from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response

from backstay.workbench.access.exposure import Exposure
from backstay.workbench.access.pages import (
    SIGN_IN,
    SIGN_OUT,
    WATCH,
    WHO,
    local_target,
    open_page,
    refusal_page,
    sign_in_page,
    who_page,
)
from backstay.workbench.access.people import People, Person
from backstay.workbench.access.sessions import Session, Sessions
from backstay.workbench.access.tries import TooManyTriesError, Tries

PATHS = frozenset({SIGN_IN, SIGN_OUT, WHO, WATCH})
_WATCH = Path(__file__).with_name("static") / "who-am-i.js"
LARGEST_FORM = 8 * 2**10
_AT_ONCE = 2  # passwords compared at one time; each takes 128 MiB
_FORM = "application/x-www-form-urlencoded"
_WRONG = "The name or the password is not right."
_log = logging.getLogger(__name__)


class Door:
    """Answers for `PATHS`. people: None where nobody signs in."""

    def __init__(
        self, *, people: People | None, sessions: Sessions, tries: Tries, exposure: Exposure
    ) -> None:
        self._people = people
        self._sessions = sessions
        self._tries = tries
        self._exposure = exposure
        self._comparing = asyncio.Semaphore(_AT_ONCE)

    async def answer(
        self, request: Request, session: Session | None, *, person: Person | None, token: str
    ) -> Response:
        """Answer one request; its host, origin and length have been checked."""
        path, method = request.url.path, request.method
        if path == WATCH and method in ("GET", "HEAD"):
            return FileResponse(_WATCH, media_type="text/javascript")
        if path == WHO and method in ("GET", "HEAD"):
            return self._who(request, person, token)
        if path == SIGN_IN and method in ("GET", "HEAD"):
            target = local_target(request.query_params.get("next", "/"))
            if person is not None:
                return RedirectResponse(target, 303)
            return sign_in_page(target=target)
        if path == SIGN_IN and method == "POST":
            return await self._sign_in(request, session)
        if path == SIGN_OUT and method == "POST":
            return await self._sign_out(request, session)
        return refusal_page("This is not how this page is used.", 405)

    async def _sign_in(self, request: Request, session: Session | None) -> Response:
        if self._people is None:
            return RedirectResponse("/", 303)
        form = await _form(request)
        if form is None:
            return refusal_page("This is not a form of ours.", 400)
        name, password = form.get("name", ""), form.get("password", "")
        target = local_target(form.get("next", "/"))
        address = request.client.host if request.client else ""
        try:
            self._tries.begin(name, address)
        except TooManyTriesError as error:
            _log.warning("too many tries to sign in as %r from %s", name[:100], address)
            page = sign_in_page(target=target, name=name[:100], fault=str(error), status=429)
            page.headers["Retry-After"] = str(error.wait)
            return page
        async with self._comparing:
            account = await asyncio.to_thread(self._people.verify, name, password)
        if account is None:
            _log.warning("failed to sign in as %r from %s", name[:100], address)
            return sign_in_page(target=target, name=name[:100], fault=_WRONG, status=403)
        self._tries.succeeded(name, address)
        if session is not None:
            self._sessions.end(session)
        begun = self._sessions.begin(account.person, account.stamp)
        _log.info("%r signed in from %s", account.person.name, address)
        response = RedirectResponse(target, 303)
        self._set_cookie(response, begun.key, int(self._sessions.longest))
        return response

    async def _sign_out(self, request: Request, session: Session | None) -> Response:
        if session is not None:
            form = await _form(request) or {}
            given = request.headers.get("x-backstay-token") or form.get("token", "")
            if not hmac.compare_digest(given.encode(), session.token.encode()):
                return refusal_page("The page is out of date: load it again.", 403)
            self._sessions.end(session)
        response = RedirectResponse(SIGN_IN if self._people else "/", 303)
        # No Clear-Site-Data: the stressing page may hold readings that are not sent yet.
        self._set_cookie(response, "", 0)
        return response

    def _who(self, request: Request, person: Person | None, token: str) -> Response:
        if "text/html" in request.headers.get("accept", ""):
            if self._people is None:
                return open_page()
            if person is None:
                return RedirectResponse(SIGN_IN, 303)
            return who_page(person, token=token)
        if person is None:
            return JSONResponse({"detail": "Sign in first.", "sign_in": SIGN_IN}, 401)
        return JSONResponse(
            {
                "name": person.name,
                "role": person.role.value,
                "token": token,
                "signs_in": self._people is not None,
            }
        )

    def _set_cookie(self, response: Response, key: str, age: int) -> None:
        response.set_cookie(
            self._exposure.cookie,
            key,
            max_age=age,
            path="/",
            httponly=True,
            samesite="strict",
            secure=self._exposure.https,
        )


async def _form(request: Request) -> dict[str, str] | None:
    """Read a short form; None if the body is something else."""
    if request.headers.get("content-type", "").split(";")[0].strip().lower() != _FORM:
        return None
    body = await request.body()
    try:
        fields = parse_qs(
            body.decode("ascii", "replace"), keep_blank_values=True, max_num_fields=10
        )
    except ValueError:
        return None
    return {name: values[0] for name, values in fields.items()}
