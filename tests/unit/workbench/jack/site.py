"""The demonstration wall with three grouted anchors, and the stressing page alone as an application."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

from fastapi import FastAPI, HTTPException
from httpx import ASGITransport, AsyncClient, Response

from backstay.model.reading import read_project
from backstay.records.store import open_records
from backstay.workbench.access import Role
from backstay.workbench.access.guard import needs, token_of
from backstay.workbench.jack import JackSite, NoSuchProjectError, jack_router

DAY = datetime(2025, 3, 24, 14, 0, tzinfo=UTC)
"""A day on which the certificate of the demonstration jack is good."""
ANCHOR = "A (Alder Street)-1-004"
TABLET = UUID(int=1)
OTHER = UUID(int=2)


@dataclass(frozen=True)
class Someone:
    """A person, signed in or not. role: 0 reads, 1 records."""

    name: str = ""
    role: int = 1


@contextmanager
def application(
    folder: Path, person: Someone | None = None, *, wait: float = 0.2, guarded: bool = False,
    clock: Callable[[], datetime] = lambda: datetime(2025, 3, 25, tzinfo=UTC), kept: str = "",
) -> Iterator[FastAPI]:  # fmt: skip
    """Give an application around the router, over the wall in a folder.

    kept: address of the database that keeps its records, in the folder where none is named.
    """
    who = person or Someone()
    project = read_project(folder / "wall.yaml")
    with open_records(kept or folder / "wall.records", wait=wait, clock=clock) as records:

        def site(name: str) -> JackSite:
            if name != "wall.yaml":
                raise NoSuchProjectError(f"there is no project {name!r}")
            return JackSite(project, records, folder / "wall.tablets")

        def reads() -> Someone:
            return who

        def may_record() -> Someone:
            if who.role < 1:
                raise HTTPException(403, "You may read here, and not record.")
            return who

        app = FastAPI()
        if guarded:  # as the workbench has it, whose guard says who is asking
            who_reads, who_records = needs(Role.READS), needs(Role.RECORDS)
            app.include_router(
                jack_router(site, reads=who_reads, records=who_records, token=token_of, clock=clock)
            )
            yield app
            return
        app.include_router(
            jack_router(
                site, reads=reads, records=may_record, token=lambda _: 'to"ken<', clock=clock
            )
        )
        yield app


class Client:
    """Asks the application, one request after the other."""

    def __init__(self, app: FastAPI) -> None:
        self._app = app

    def get(self, path: str, **params: str) -> Response:
        return self._ask("GET", path, params=params)

    def post(self, path: str, body: Any) -> Response:
        return self._ask("POST", path, json=body)

    def send(self, *entries: dict[str, Any], **more: Any) -> Response:
        """Send entries, as a tablet does."""
        return self.post("/api/jack/entries", parcel(*entries, **more))

    def standing(self) -> Any:
        return self.get("/api/jack/standing", **PLACE).json()

    def _ask(self, method: str, path: str, **more: Any) -> Response:
        async def ask() -> Response:
            async with AsyncClient(
                transport=ASGITransport(self._app), base_url="http://test"
            ) as client:
                return await client.request(method, path, **more)

        return asyncio.run(ask())


@contextmanager
def client(folder: Path, person: Someone | None = None, **more: Any) -> Iterator[Client]:
    """Give a client of the application."""
    with application(folder, person, **more) as app:
        yield Client(app)


PLACE = {"project": "wall.yaml", "anchor": ANCHOR}


def us(text: str) -> dict[str, str]:
    """Return a number as typed in US units."""
    return {"text": text, "units": "US"}


def entry(what: str, at: datetime = DAY, **fields: Any) -> dict[str, Any]:
    """Return an entry as a tablet makes it."""
    return {"id": str(uuid4()), "what": what, "at": at.isoformat(), "by": "R. Field", **fields}


def begin(at: datetime = DAY, **fields: Any) -> dict[str, Any]:
    """Return the beginning of a test."""
    return entry("begin", at, jack="J-1", certificate="C-118", **fields)


def read(
    step: int, minute: float, gauge: str, *dials: str, at: datetime = DAY, **fields: Any
) -> dict[str, Any]:
    """Return a reading, in US units."""
    return entry(
        "reading", at, step=step, minute=minute, arrival=minute == 0.0, gauge=us(gauge),
        dials=[us(d) for d in dials], **fields,
    )  # fmt: skip


def parcel(*entries: dict[str, Any], tablet: UUID = TABLET, **more: Any) -> dict[str, Any]:
    """Return what a tablet sends."""
    return {**PLACE, "tablet": str(tablet), "entries": list(entries), **more}
