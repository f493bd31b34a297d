"""The routes of the stressing page: its page, its files, its plan, its entries, its standing."""

import re
from collections.abc import Callable
from datetime import UTC, datetime
from html import escape
from pathlib import Path
from threading import Lock
from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from fastapi.responses import FileResponse, HTMLResponse, JSONResponse

from backstay.errors import DesignError, ProjectError
from backstay.fieldbook.at_hand import Asked
from backstay.fieldbook.draw_ins import measured_draw_in
from backstay.model.testing import TestKind
from backstay.quantity import UnitSystem
from backstay.records.facts import LockedOff
from backstay.records.refusal import RefusedError, StoreError
from backstay.workbench.jack.asked import Parcel, Read, Typed
from backstay.workbench.jack.entering import enter
from backstay.workbench.jack.looking import look
from backstay.workbench.jack.numbers import optional
from backstay.workbench.jack.planning import choices, plan, record_at_hand
from backstay.workbench.jack.presence import Presence
from backstay.workbench.jack.shown import Json, both, capital, words
from backstay.workbench.jack.site import JackSite, NoSuchAnchorError, NoSuchProjectError, Person
from backstay.workbench.jack.standing import standing

STATIC = Path(__file__).with_name("static")
_TYPES = {".js": "text/javascript", ".css": "text/css", ".webmanifest": "application/manifest+json"}
_PLACE = re.compile(r"(.+?\.ya?ml)/(.+)", re.IGNORECASE | re.DOTALL)
_HEADERS = {"Cache-Control": "no-cache"}
"""Held by the browser and asked after: the service worker keeps what is needed without a server."""


def jack_router(
    site_of: Callable[[str], JackSite],
    *,
    reads: Callable[..., Person],
    records: Callable[..., Person],
    token: Callable[[Request], str] = lambda _: "",
    clock: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> APIRouter:
    """Return the routes of the stressing page.

    site_of: gives project and records by the path of a project, relative to the root; raises
    NoSuchProjectError. reads, records: dependencies that give the person, or refuse who may not
    read, or record. token: that state-changing requests of a session must carry.
    """
    router = APIRouter()
    presence = Presence()
    locks: dict[tuple[str, str], Lock] = {}
    Reads = Annotated[Person, Depends(reads)]
    Records = Annotated[Person, Depends(records)]

    def site(project: str) -> JackSite:
        try:
            return site_of(project)
        except NoSuchProjectError as error:
            raise HTTPException(404, capital(str(error))) from None
        except (ProjectError, DesignError) as error:
            raise HTTPException(409, f"The project cannot be read: {error}") from None
        except StoreError as error:
            raise HTTPException(503, capital(error.reason)) from None

    def anchor_of(at: JackSite, written: str) -> str:
        try:
            return at.anchor(written)
        except NoSuchAnchorError as error:
            raise HTTPException(404, capital(str(error))) from None
        except StoreError as error:
            raise HTTPException(503, capital(error.reason)) from None

    @router.get("/jack/worker.js", include_in_schema=False)
    def worker() -> Response:
        return FileResponse(STATIC / "worker.js", media_type="text/javascript", headers=_HEADERS)

    @router.get("/jack-static/{name}", include_in_schema=False)
    def static(name: str) -> Response:
        path = STATIC / name
        if path.parent != STATIC or path.suffix not in _TYPES or not path.is_file():
            raise HTTPException(404, "There is no such file.")
        return FileResponse(path, media_type=_TYPES[path.suffix], headers=_HEADERS)

    @router.get("/jack/{place:path}", include_in_schema=False)
    def page(place: str, request: Request, person: Reads) -> Response:
        split = _PLACE.fullmatch(place)
        if split is None:
            raise HTTPException(404, "Name a project and an anchor: /jack/PROJECT.yaml/ANCHOR")
        at = site(split[1])
        anchor = anchor_of(at, split[2])
        return HTMLResponse(
            _page(split[1], anchor, person.name, at.project.units, token(request)), headers=_HEADERS
        )

    @router.get("/api/jack/plan")
    def the_plan(
        project: str, anchor: str, person: Reads, kind: str = "", jack: str = "", certificate: str = "",
        jack_length: str = "", units: UnitSystem = UnitSystem.SI, residual: bool = True,
    ) -> Response:  # fmt: skip
        at = site(project)
        name = anchor_of(at, anchor)

        def made() -> Json:
            line = at.records.anchor(name).line
            length = Typed(text=jack_length[:40], units=units) if jack_length else None
            asked = Asked(
                anchor=name, kind=_kind(kind), jack=jack, certificate=certificate, residual=residual,
                jack_length=optional(length, "length", "length of tendon in the jack"),
                tested_by=person.name or "?", on=clock(),
            )  # fmt: skip
            answer: Json = {"anchor": name, "choices": choices(line, at.records, at.rules)}
            try:
                record = record_at_hand(line, at.records, at.rules, asked)
                drawn_in = measured_draw_in(at.records.facts(LockedOff), line)
                return {**answer, "plan": plan(record, at.rules, clock(), drawn_in)}
            except (RefusedError, DesignError) as error:
                said = str(error)
                return {**answer, "plan": None, "why": both(lambda u: capital(words(said, u)))}

        return _answered(made)

    @router.get("/api/jack/standing")
    def the_standing(
        project: str, anchor: str, person: Reads, tablet: str = "", by: str = ""
    ) -> Response:
        at = site(project)
        name = anchor_of(at, anchor)
        others = presence.heard(project, name, tablet[:64], (person.name or by)[:200])
        return _answered(
            lambda: {
                **standing(at, name),
                "others": _told(others),
                "now": clock().isoformat(),
            }
        )

    @router.post("/api/jack/entries")
    def entries(parcel: Parcel, person: Records) -> Response:
        at = site(parcel.project)
        name = anchor_of(at, parcel.anchor)
        others = presence.heard(parcel.project, name, str(parcel.tablet), person.name or parcel.by)
        with locks.setdefault((parcel.project, name), Lock()):
            try:
                outcome = enter(at, name, parcel, person.name)
            except (RefusedError, DesignError) as error:
                return _said(409, str(error))
        for result in outcome.results:
            if "words" in result:
                said = result["words"]
                result["words"] = both(lambda u, said=said: capital(words(said, u)))  # type: ignore[misc]
        body: Json = {"results": outcome.results, "others": _told(others)}
        if outcome.broken:
            broken = outcome.broken
            body["words"] = both(lambda u: capital(words(broken, u)))
            return JSONResponse(body, 503)
        if outcome.elsewhere:
            body["elsewhere"] = list(outcome.elsewhere)
        try:
            body["standing"] = standing(at, name)
        except (RefusedError, DesignError, StoreError):
            body["standing"] = None  # what is recorded is; how it stands is asked for anew
        return JSONResponse(body, 409 if outcome.elsewhere else 200)

    @router.post("/api/jack/look")
    def the_look(parcel: Parcel, person: Records) -> Response:  # noqa: ARG001
        at = site(parcel.project)
        name = anchor_of(at, parcel.anchor)
        read = [e for e in parcel.entries if isinstance(e, Read)]
        if not read:
            raise HTTPException(422, "Send the reading to look at.")
        return _answered(lambda: look(at, name, tuple(read[:-1]), read[-1]))

    return router


def _answered(make: Callable[[], Any]) -> Response:
    """Return an answer, or why there is none: refused (409), or the store cannot do it (503)."""
    try:
        return JSONResponse(make())
    except StoreError as error:
        return _said(503, error.reason)
    except (RefusedError, DesignError) as error:
        return _said(409, str(error))


def _said(status: int, why: str) -> JSONResponse:
    return JSONResponse({"words": both(lambda u: capital(words(why, u)))}, status)


def _told(others: tuple[Any, ...]) -> list[Json]:
    return [{"by": o.by, "seconds": round(o.seconds)} for o in others]


def _kind(written: str) -> TestKind | None:
    kinds: tuple[TestKind, ...] = (
        "performance", "proof", "extended creep", "investigation", "suitability", "acceptance",
    )  # fmt: skip
    if not written:
        return None
    for kind in kinds:
        if kind == written:
            return kind
    raise HTTPException(422, f"There is no such kind of test; there are: {', '.join(kinds)}.")


def _page(project: str, anchor: str, person: str, units: UnitSystem, token: str) -> str:
    shell = (STATIC / "page.html").read_text("utf-8")
    values = {
        "project": project, "anchor": anchor, "person": person, "units": units.value, "token": token,

    }  # fmt: skip
    return re.sub(r"\{\{(\w+)\}\}", lambda m: escape(values[m[1]], quote=True), shell)
