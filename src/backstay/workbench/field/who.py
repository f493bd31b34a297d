"""Who records: the person signed in, or the name that the person at this machine gives."""

from __future__ import annotations

from json import dumps
from urllib.parse import unquote
from weakref import WeakKeyDictionary

from nicegui import Client, ui

from backstay.workbench.access.people import Role
from backstay.workbench.desk import Desk
from backstay.workbench.field.work import FieldError

MOST = 80
_COOKIE = "backstay-recorder"
_YEAR = 365 * 24 * 3600
_typed: WeakKeyDictionary[Client, str] = WeakKeyDictionary()
"""Names written in pages that are open: they outlast the fields, which are made anew."""
READS = "You may look at the records, not add to them."
SIGNS = "A verdict is signed by who may design: the engineer. You may record, not sign."


def may_record(desk: Desk) -> bool:
    """Say whether the person may record what happened."""
    return desk.person.role >= Role.RECORDS


def may_sign(desk: Desk) -> bool:
    """Say whether the person may sign a verdict."""
    return desk.person.role >= Role.DESIGNS


class Recorder:
    """Gives the name under which entries are recorded."""

    def __init__(self, desk: Desk) -> None:
        """Show a field for the name where nobody is signed in; the browser keeps it."""
        self._desk = desk
        self._field: ui.input | None = None
        if desk.person.name:
            ui.label(f"Recorded by {desk.person.name}").classes("quiet")
            return
        client = ui.context.client
        self._field = ui.input("Recorded by (name)", value=_typed.get(client, _kept()))
        self._field.classes("who").on_value_change(lambda event: _type(client, event.value))
        self._field.props(f"outlined dense maxlength={MOST} autocomplete=name")
        self._field.on("blur", self._keep)

    @property
    def name(self) -> str:
        """Return the name. Raises FieldError where there is none, or the person only reads."""
        if not may_record(self._desk):
            raise FieldError(READS)
        name = self._desk.person.name or (self._field.value if self._field else "") or ""
        if not name.strip():
            raise FieldError("Say who records it: write your name first.")
        return name.strip()[:MOST]

    def _keep(self) -> None:
        name = (self._field.value if self._field else "") or ""
        ui.run_javascript(
            f"document.cookie = {dumps(_COOKIE + '=')} + encodeURIComponent({dumps(name[:MOST])}) "
            f'+ "; path=/; max-age={_YEAR}; samesite=strict"'
        )


def _type(client: Client, name: str | None) -> None:
    _typed[client] = (name or "")[:MOST]


def _kept() -> str:
    """Return the name that the browser has kept."""
    request = ui.context.client.request
    return unquote(request.cookies.get(_COOKIE, ""))[:MOST].strip()
