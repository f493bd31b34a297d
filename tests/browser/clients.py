"""A person at the workbench without a browser: the page over HTTP, then its web socket.

It says what the page of a browser says when a handle of the section is dragged and let go, and waits
for what the page would be told. Many of these fit where as many browsers would not.
"""

from __future__ import annotations

import ast
import asyncio
import json
import re
from dataclasses import dataclass, field
from typing import Any
from uuid import uuid4

import httpx
import socketio

PATIENCE = 300.0
"""s for an answer: many ask at once, on a machine that others use too."""


class RefusedError(Exception):
    """The workbench did not do what it was asked."""


@dataclass
class Client:
    """One window on the section of a project, and all that it was told."""

    origin: str
    project: str
    errors: list[str] = field(default_factory=list)
    verdicts: list[str] = field(default_factory=list)
    _answers: asyncio.Queue[dict[str, Any]] = field(default_factory=asyncio.Queue)
    _ready: asyncio.Event = field(default_factory=asyncio.Event)

    async def open(self) -> None:
        """Load the page and connect its socket."""
        async with httpx.AsyncClient(base_url=self.origin, timeout=PATIENCE) as http:
            answer = await http.get(f"/project/{self.project}?at=section")
            answer.raise_for_status()
        page = answer.text
        query = re.search(r"query: (\{.*?\}),\n", page)
        if query is None:
            raise RefusedError("the page has no client")
        asked = ast.literal_eval(query[1])
        self.client_id: str = asked["client_id"]
        held = re.search(r"parseElements\(String\.raw`(.*?)`\)", page, re.DOTALL)
        if held is None:
            raise RefusedError("the page has no elements")
        self._take(json.loads(_unescaped(held[1])))
        self._socket = socketio.AsyncClient(reconnection=False)
        self._socket.on("update", self._update)
        self._socket.on("run_javascript", self._run)
        self._socket.on("*", self._other)
        asked = {
            **asked, "implicit_handshake": False,
            "document_id": str(uuid4()), "tab_id": str(uuid4()), "old_tab_id": "",
        }  # fmt: skip
        address = f"{self.origin}?{httpx.QueryParams(asked)}"
        await self._socket.connect(
            address,
            socketio_path="/_nicegui_ws/socket.io",
            transports=["websocket"],
            headers={"Origin": self.origin},
            wait_timeout=PATIENCE,
        )
        if not await self._socket.call("handshake", asked, timeout=PATIENCE):
            raise RefusedError("the handshake was refused")
        await asyncio.wait_for(self._ready.wait(), PATIENCE)

    def _take(self, elements: dict[str, Any]) -> None:
        for key, one in elements.items():
            if one is None:
                continue
            scene = (one.get("props") or {}).get("scene")
            if scene:
                self.scene = scene
                self.element = int(key)
                self.listeners = {
                    event["type"]: event["listener_id"] for event in one.get("events", [])
                }
                self._ready.set()
            text = one.get("text") or ""
            if "verdict" in " ".join(one.get("class") or []) and text:
                self.verdicts.append(text)

    async def _update(self, elements: dict[str, Any]) -> None:
        elements.pop("_id", None)
        self._take(elements)

    async def _run(self, said: dict[str, Any]) -> None:
        code = said["code"]
        if "request_id" in said:  # the page is asked whether it shows what it was sent
            await self._socket.emit(
                "javascript_response",
                {"request_id": said["request_id"], "client_id": self.client_id, "result": True},
            )
        if "location.reload" in code:
            self.errors.append("the page was told to load again")
        told = re.match(r'return runMethod\(\d+, "(answer|settled)", (.*)\)$', code, re.DOTALL)
        if told is not None:
            await self._answers.put(json.loads(told[2])[0])

    async def _other(self, name: str, said: object = None) -> None:
        if name in ("load_js_components", "notify"):
            return
        self.errors.append(f"{name}: {said}"[:300])

    async def settled(self) -> None:
        """Wait until slip surfaces are no longer looked for."""
        async with asyncio.timeout(PATIENCE):
            while not self.verdicts or "looking" in self.verdicts[-1]:
                await asyncio.sleep(0.1)

    def at(self, handle: str) -> tuple[float, float]:
        """Return where a handle is, on the paper."""
        found = next(one for one in self.scene["handles"] if one["id"] == handle)
        return float(found["x"]), float(found["y"])

    async def say(self, what: str, handle: str, place: tuple[float, float]) -> dict[str, Any]:
        """Say that a handle is dragged to a place or dropped there; return what the page is told."""
        args = json.dumps({"id": handle, "x": place[0], "y": place[1], "n": 1})
        await self._socket.emit(
            "event",
            {
                "id": self.element, "client_id": self.client_id,
                "listener_id": self.listeners[what], "args": [args],
            },
        )  # fmt: skip
        return await asyncio.wait_for(self._answers.get(), PATIENCE)

    async def close(self) -> None:
        await self._socket.disconnect()


def _unescaped(text: str) -> str:
    """Undo what keeps the elements of a page from ending the script they stand in."""
    for sign, written in (("<", "&lt;"), (">", "&gt;"), ("`", "&#96;"), ("$", "&#36;"), ("&", "&amp;")):  # fmt: skip
        text = text.replace(written, sign)
    return text
