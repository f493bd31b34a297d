"""Photographs and files of an anchor: those that are kept, and one more."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Awaitable, Callable
from hashlib import sha256
from pathlib import PurePosixPath

from nicegui import events, ui

from backstay.records.attachments import MOST_BYTES
from backstay.records.entries import Entry
from backstay.records.facts import Attachment
from backstay.report.field.words import moment
from backstay.workbench.access.body import LARGEST
from backstay.workbench.desk import Desk
from backstay.workbench.field.uploading import uploader
from backstay.workbench.field.who import Recorder
from backstay.workbench.field.work import FieldError, FieldWork, Refused, attempt

MOST = min(MOST_BYTES, LARGEST - 2**20)
"""Bytes of a file that is sent: what one request may hold, with room for what goes around it."""
SHOWN = frozenset({"image/jpeg", "image/png", "image/webp"})
_KINDS = "A photograph, PDF, spreadsheet or text"


def attached_files(desk: Desk, work: FieldWork, entries: tuple[Entry[Attachment], ...]) -> None:
    """List the files that are kept, each to be shown or saved."""
    with ui.element("ul"):
        for entry in entries:
            if entry.fact is not None:
                with ui.element("li"):
                    _file(desk, work, entry, entry.fact)


def _file(desk: Desk, work: FieldWork, entry: Entry[Attachment], fact: Attachment) -> None:
    size = f"{fact.size / 1e6:.1f} MB" if fact.size >= 100_000 else f"{fact.size / 1e3:.1f} kB"
    caption = f": {fact.caption}" if fact.caption else ""
    ui.label(f"{fact.name}{caption} ({size}, {moment(entry.happened)}, {entry.author})")
    where = ui.element("div")

    async def content() -> bytes | None:
        def read() -> bytes:
            with work.records() as records:
                return records.content(fact.sha256)

        found = await attempt(read, desk.units)
        if isinstance(found, Refused):
            desk.say(found.words, "bad")
            return None
        return found

    async def save() -> None:
        found = await content()
        if found is not None:
            # the name is a label that somebody typed: the last part of it alone, and never a page
            name = PurePosixPath(fact.name.replace("\\", "/")).name or "file"
            ui.download.content(found, name, "application/octet-stream")

    async def show() -> None:
        found = await content()
        if found is not None:
            where.clear()
            with where:
                source = f"data:{fact.media};base64,{b64encode(found).decode('ascii')}"
                picture = ui.element("img").classes("shown")
                picture.props["src"] = source
                picture.props["alt"] = fact.caption or fact.name

    with ui.row().classes("gap-2"):
        ui.button("Save", on_click=save).classes("act").props("flat no-caps")
        if fact.media in SHOWN:
            ui.button("Show", on_click=show).classes("act").props("flat no-caps")


def attach_form(
    desk: Desk,
    work: FieldWork,
    anchor: str,
    recorder: Recorder,
    recorded: Callable[[], Awaitable[None]],
) -> None:
    """Take one more file."""
    caption = ui.input("Caption").props("outlined dense maxlength=300").classes("wide")
    wrong = ui.label().classes("notice").props('role="alert"')
    wrong.set_visibility(False)

    def refuse(words: str) -> None:
        wrong.text = words
        wrong.set_visibility(True)

    async def brought(event: events.UploadEventArguments) -> None:
        content, name = await event.file.read(), event.file.name
        said = str(caption.value or "").strip()

        def keep() -> None:
            by = recorder.name
            with work.records() as records:
                kept = records.anchor(anchor).of(Attachment)
                digest = sha256(content).hexdigest()
                for one in kept:
                    if one.fact is not None and one.fact.sha256 == digest:
                        raise FieldError(f"This file is kept already, as entry {one.id}.")
                records.attach(content, called=name, by=by, anchor=anchor, caption=said)

        done = await attempt(keep, desk.units)
        wrong.set_visibility(False)
        if isinstance(done, Refused):
            refuse(f"{name}: {done.words}")
            return
        desk.say(f"Kept: {name}", "good")
        await recorded()

    uploader(
        f"{_KINDS}, up to {MOST // 1_000_000} MB", brought, refuse, most=MOST,
        kinds=".jpg,.jpeg,.png,.webp,.tif,.tiff,.heic,.pdf,.xlsx,.ods,.csv,.txt",
    )  # fmt: skip
