"""Where things are shown: addresses of the register, of the page of an anchor, of the stressing page."""

from __future__ import annotations

from urllib.parse import quote


def register_address(project: str, part: str = "") -> str:
    """Return where the register is, or a part of the panel: anchors, readings, papers."""
    more = f"&show={quote(part, safe='')}" if part else ""
    return f"/project/{quote(project)}?at=field{more}"


def anchor_address(project: str, anchor: str) -> str:
    """Return where the page of an anchor is."""
    return f"/project/{quote(project)}?at=field&anchor={quote(anchor, safe='')}"


def jack_address(project: str, anchor: str) -> str:
    """Return where the page is that is used beside the jack."""
    return f"/jack/{quote(project)}/{quote(anchor, safe='')}"
