"""A place to drop a file: it carries the token of the session, and refuses what is too large."""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable

from nicegui import events, ui

from backstay.workbench.access.guard import TOKEN_HEADER


def uploader(
    label: str,
    brought: Callable[[events.UploadEventArguments], Awaitable[None]],
    refuse: Callable[[str], object],
    *,
    most: int,
    kinds: str,
) -> ui.upload:
    """Show it. kinds: endings of names, with commas between; refuse: is told why a file is not taken."""

    async def taken(event: events.UploadEventArguments) -> None:
        place.reset()
        await brought(event)

    size = f"{most // 1_000_000} MB" if most >= 1_000_000 else f"{most // 1000} kB"
    place = ui.upload(
        label=label, auto_upload=True, max_file_size=most, max_files=1, on_upload=taken,
        on_rejected=lambda _: refuse(
            f"That file is not taken: one file of up to {size} is, with a name that ends with one of "
            f"{kinds.replace(',', ', ')}. Nothing was recorded."
        ),
    )  # fmt: skip
    place.props(f'accept="{kinds}" flat bordered')
    token = ui.context.client.request.scope.get("state", {}).get("token")
    if token:
        place.props["headers"] = [{"name": TOKEN_HEADER, "value": token}]

    place.client.run_javascript(
        f'getHtmlElement({place.id})?.querySelector("input[type=file]")'
        f"?.setAttribute('aria-label', {json.dumps(label)})"
    )
    return place
