"""Where things are shown: addresses of the register, of the page of an anchor, of the stressing page."""

from __future__ import annotations

from urllib.parse import quote


def register_address(project: str, show: str = "", *, part: int | None = None) -> str:
    """Return where the register is, or what else of the panel is shown: readings, papers.

    part: the section that the window looks at, None where there is one only.
    """
    more = f"&show={quote(show, safe='')}" if show else ""
    return f"/project/{quote(project)}?at=field{more}{_part(part)}"


def anchor_address(project: str, anchor: str, *, part: int | None = None) -> str:
    """Return where the page of an anchor is; part: as of `register_address`."""
    return f"/project/{quote(project)}?at=field&anchor={quote(anchor, safe='')}{_part(part)}"


def jack_address(project: str, anchor: str) -> str:
    """Return where the page is that is used beside the jack."""
    return f"/jack/{quote(project)}/{quote(anchor, safe='')}"


def _part(part: int | None) -> str:
    return "" if part is None else f"&part={part}"
