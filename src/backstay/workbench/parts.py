"""The section or slope that a window looks at: chosen in one panel, kept in all, said in the address."""

from __future__ import annotations

from urllib.parse import urlencode

from nicegui import ui

from backstay.tables import sentence
from backstay.workbench.desk import Desk
from backstay.workbench.projects import address


def numbered(said: str) -> int:
    """Return the part that an address asks for; the first where it says nothing of that kind."""
    return int(said) if said.isascii() and said.isdigit() and len(said) < 4 else 0


def panel_address(desk: Desk, way: str, **asked: str) -> str:
    """Return where a panel is, on the part that is looked at."""
    part = desk.part_asked
    said = {"at": way, **asked} | ({} if part is None else {"part": str(part)})
    return f"{address(desk.opened.name)}?{urlencode(said)}"


def choose_part(desk: Desk) -> ui.select:
    """Show the choice of a part; it is hidden where there is one only."""
    choice = ui.select({}).classes("part")
    choice.props('dense outlined options-dense aria-label="Section or slope"')

    def show() -> None:
        titles = {
            i: sentence(p.title) for i, p in enumerate(desk.design.parts if desk.design else ())
        }
        now = desk.part_index if titles else None
        if choice.options != titles or choice.value != now:
            choice.set_options(titles, value=now)
        choice.set_visibility(len(titles) > 1)

    def chosen() -> None:
        if isinstance(choice.value, int) and choice.value != desk.part_index:
            desk.choose_part(choice.value)

    choice.on_value_change(chosen)
    desk.on_change(show)
    show()
    return choice
