"""A small application behind the guard, and a browser to ask it with, cookies and all."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Mapping
from pathlib import Path
from typing import Annotated, Any

import httpx
from fastapi import Depends, FastAPI, Request, WebSocket
from fastapi.responses import HTMLResponse, PlainTextResponse

from backstay.workbench.access.exposure import Exposure
from backstay.workbench.access.guard import Guard, needs, person_of, token_of
from backstay.workbench.access.passwords import Cost
from backstay.workbench.access.people import People, Person, Role
from backstay.workbench.access.sessions import Sessions
from backstay.workbench.access.tries import Tries

CHEAP = Cost(n=16)
PASSWORD = "four short words here"
HERE = "http://127.0.0.1:8080"


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now = 1_000_000.0

    def __call__(self) -> float:
        return self.now


def people(folder: Path, **roles: Role) -> People:
    made = People(folder / "people.json", cost=CHEAP)
    for name, role in roles.items():
        made.add(name, role, PASSWORD)
    return made


def application(heard: list[str] | None = None) -> FastAPI:
    """Make the application; heard: takes what its web socket was told."""
    app = FastAPI()
    told = heard if heard is not None else []

    @app.get("/page")
    def page(request: Request) -> HTMLResponse:
        kind = {"X-NiceGUI-Content": "page"} if "nicegui" in request.query_params else {}
        # A page that forgot that it must not be kept.
        return HTMLResponse("<h1>page</h1>", headers={"Cache-Control": "public", **kind})

    @app.get("/asset.js")
    def asset() -> PlainTextResponse:
        return PlainTextResponse("1", headers={"Cache-Control": "public, max-age=3600"})

    @app.get("/me")
    def me(request: Request) -> dict[str, str]:
        person = person_of(request)
        return {"name": person.name, "role": person.role.value, "token": token_of(request)}

    @app.get("/prefix")
    def prefix(request: Request) -> dict[str, str]:
        return {"prefix": request.headers.get("x-forwarded-prefix", "")}

    @app.post("/record")
    def record(person: Annotated[Person, Depends(needs(Role.RECORDS))]) -> dict[str, str]:
        return {"by": person.name}

    @app.post("/careless")
    def careless() -> dict[str, str]:
        return {"changed": "yes"}

    @app.get("/for-designers")
    def design(person: Annotated[Person, Depends(needs(Role.DESIGNS))]) -> dict[str, str]:
        return {"by": person.name}

    @app.post("/upload")
    async def upload(request: Request) -> dict[str, int]:
        return {"size": len(await request.body())}

    @app.post("/upload-form")
    async def upload_form(request: Request) -> dict[str, int]:
        async with request.form() as form:
            return {"parts": len(form)}

    @app.post("/_nicegui_ws/socket.io/")
    async def polling(request: Request) -> dict[str, int]:
        return {"size": len(await request.body())}

    @app.websocket("/echo")
    @app.websocket("/_nicegui_ws/socket.io/")
    async def echo(socket: WebSocket) -> None:
        await socket.accept()
        async for text in socket.iter_text():
            told.append(text)
            await socket.send_text(f"{person_of(socket).name}: {text}")

    return app


class Bench:
    """A guard over the application, with clocks, and a browser to begin with."""

    def __init__(
        self, folder: Path, *, exposure: Exposure | None = None, largest: int = 1000, **roles: Role
    ) -> None:
        self.clock = Clock()
        self.heard: list[str] = []
        self.people = people(folder, **roles)
        self.exposure = exposure or Exposure()
        self.sessions = Sessions(self.people.stamp, clock=self.clock)
        self.guard = Guard(
            application(self.heard),
            exposure=self.exposure,
            people=self.people,
            sessions=self.sessions,
            tries=Tries(clock=self.clock),
            largest=largest,
        )

    def browser(self, base: str = HERE, *, address: str = "127.0.0.1") -> Browser:
        return Browser(self.guard, base, address)

    def signed_in(self, name: str, base: str = HERE) -> Browser:
        browser = self.browser(base)
        assert browser.sign_in(name).status_code == 303
        return browser


class Browser:
    """Sends what a browser sends: cookies, Origin with changes, the fetch metadata."""

    def __init__(self, guard: Guard, base: str, address: str) -> None:
        self.guard = guard
        self.base = base
        transport = httpx.ASGITransport(guard, client=(address, 50000))
        self.client = httpx.AsyncClient(transport=transport, base_url=base)

    def ask(self, method: str, path: str, **given: Any) -> httpx.Response:
        headers: dict[str, str | None] = {"sec-fetch-site": "same-origin"}
        if method not in ("GET", "HEAD"):
            headers["origin"] = self.base
        headers |= given.pop("headers", {})
        sent = {name: value for name, value in headers.items() if value is not None}
        return asyncio.run(self.client.request(method, path, headers=sent, **given))

    def get(self, path: str, **given: Any) -> httpx.Response:
        return self.ask("GET", path, **given)

    def page(self, path: str) -> httpx.Response:
        return self.get(path, headers={"accept": "text/html"})

    def sign_in(self, name: str, password: str = PASSWORD, **fields: str) -> httpx.Response:
        return self.ask("POST", "/sign-in", data={"name": name, "password": password, **fields})

    def token(self) -> str:
        return str(self.get("/who-am-i").json()["token"])

    def post(
        self, path: str, *, headers: Mapping[str, str | None] | None = None, **given: Any
    ) -> httpx.Response:
        """Change something, with the token, as a page of ours does."""
        return self.ask(
            "POST", path, headers={"x-backstay-token": self.token(), **(headers or {})}, **given
        )

    def socket(
        self, path: str, *said: str | object, headers: Mapping[str, str] | None = None
    ) -> list[Any]:
        """Open a web socket, say things (or do them, if callable), and give what came back."""
        sent = {"host": httpx.URL(self.base).netloc.decode(), "origin": self.base}
        if cookies := "; ".join(f"{c.name}={c.value}" for c in self.client.cookies.jar):
            sent["cookie"] = cookies
        sent |= headers or {}
        return asyncio.run(_socket(self.guard, path, said, {k: v for k, v in sent.items() if v}))


async def _socket(
    guard: Guard, path: str, said: tuple[Any, ...], headers: Mapping[str, str]
) -> list[Any]:
    scope = {
        "type": "websocket",
        "path": path,
        "raw_path": path.encode(),
        "query_string": b"",
        "scheme": "ws",
        "headers": [(k.encode(), v.encode()) for k, v in headers.items()],
        "client": ("127.0.0.1", 50000),
        "server": ("127.0.0.1", 8080),
        "subprotocols": [],
    }
    left: list[Any] = [{"type": "websocket.connect"}, *said]
    came: list[Any] = []

    async def receive() -> dict[str, Any]:
        while left and callable(left[0]):
            left.pop(0)()
        if not left:
            return {"type": "websocket.disconnect", "code": 1000}
        message = left.pop(0)
        return (
            message if isinstance(message, dict) else {"type": "websocket.receive", "text": message}
        )

    async def send(message: Any) -> None:
        kind = message["type"].removeprefix("websocket.")
        came.append(message.get("text", message.get("code", kind)) if kind != "accept" else kind)

    await guard(scope, receive, send)
    return came


async def pieces(count: int, size: int) -> AsyncIterator[bytes]:
    """A body that does not state its length."""
    for _ in range(count):
        yield b"x" * size
