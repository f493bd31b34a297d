"""What a browser has kept of how a person wants to see the pages."""

from __future__ import annotations

import pytest
from starlette.requests import Request

from backstay.quantity import UnitSystem
from backstay.workbench.look import Look, look_of


def asked(cookie: str) -> Request:
    return Request({"type": "http", "headers": [(b"cookie", cookie.encode("latin-1"))]})


@pytest.mark.parametrize(
    ("cookie", "look"),
    [
        ("", Look(None, "light")),
        ("backstay-units=SI; backstay-theme=dark", Look(UnitSystem.SI, "dark")),
        ("backstay-units=US", Look(UnitSystem.US, "light")),
        ("backstay-units=furlongs; backstay-theme=<script>", Look(None, "light")),
        ("backstay-units=si", Look(None, "light")),
    ],
)
def test_only_what_it_can_have_meant_is_taken(cookie: str, look: Look) -> None:
    assert look_of(asked(cookie)) == look
