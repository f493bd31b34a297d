"""How a person wants to see the pages: units, light or dark. Kept by the browser, never in the project."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fastapi import Request
from nicegui import ui

from backstay.drawing.layers import ACCENT, INK
from backstay.quantity import UnitSystem

Theme = Literal["light", "dark"]
_YEAR = 365 * 24 * 3600


@dataclass(frozen=True, slots=True)
class Look:
    """Units, or None for those of the project; theme."""

    units: UnitSystem | None
    theme: Theme


def look_of(request: Request) -> Look:
    """Return what the browser has kept; what it cannot have meant is left aside."""
    units, theme = (request.cookies.get(f"backstay-{name}") for name in ("units", "theme"))
    return Look(
        UnitSystem(units) if units in tuple(UnitSystem) else None,
        "dark" if theme == "dark" else "light",
    )


def begin_page(look: Look) -> None:
    """Let a page have our look."""
    ui.colors(primary=INK, accent=ACCENT)
    ui.add_head_html('<link rel="stylesheet" href="/static/workbench.css">')
    ui.add_head_html('<script src="/who-am-i.js" defer></script>')
    ui.add_head_html('<script src="/static/leaving.js" defer></script>')
    ui.dark_mode(look.theme == "dark")


def keep(name: Literal["units", "theme"], value: str) -> None:
    """Have the browser keep a choice. value: one of ours, never text that was typed."""
    ui.run_javascript(
        f'document.cookie = "backstay-{name}={value}; path=/; max-age={_YEAR}; samesite=strict"'
    )


def theme_button(look: Look) -> None:
    """Show a button that turns light to dark and back."""
    dark = ui.dark_mode(look.theme == "dark")
    button = ui.button().classes("act").props("flat no-caps")

    def turn() -> None:
        dark.value = not dark.value
        keep("theme", "dark" if dark.value else "light")
        show()

    def show() -> None:
        button.text = "Light" if dark.value else "Dark"
        button.props(f'aria-label="Show the pages {button.text.lower()}"')

    button.on_click(turn)
    show()
