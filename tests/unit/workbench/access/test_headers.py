"""Every header of an answer, by its value: each forbids something that browsers else allow."""

from __future__ import annotations

import pytest
from starlette.datastructures import MutableHeaders

from backstay.workbench.access.headers import policy, secure

FIXED = {
    "x-content-type-options": "nosniff", "referrer-policy": "same-origin", "x-frame-options": "DENY",
    "cross-origin-opener-policy": "same-origin", "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
}  # fmt: skip


def secured(**given: str) -> MutableHeaders:
    """Return the headers of an answer that had these."""
    made = MutableHeaders({name.replace("_", "-"): value for name, value in given.items()})
    secure(made, host="wall.example")
    return made


def test_what_every_answer_forbids() -> None:
    made = secured(x_frame_options="ALLOWALL", referrer_policy="unsafe-url")
    assert {name: made[name] for name in FIXED} == FIXED
    assert made["content-security-policy"] == policy("wall.example", nicegui=False)
    stricter = secured(content_security_policy="default-src 'none'")
    assert stricter["content-security-policy"] == "default-src 'none'"
    framework = secured(x_nicegui_content="page")
    assert framework["content-security-policy"] == policy("wall.example", nicegui=True)


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ({}, "no-store"), ({"cache_control": "public"}, "public"),
        ({"cache_control": "public", "content_type": "text/html; charset=utf-8"}, "no-store"),
        ({"cache_control": "public", "content_type": "application/json"}, "no-store"),
        ({"cache_control": "max-age=9", "content_type": "text/javascript"}, "max-age=9"),
        ({"content_type": "image/svg+xml"}, "no-store"),
    ],
)  # fmt: skip
def test_pages_and_data_are_not_kept(given: dict[str, str], kept: str) -> None:
    assert secured(**given)["cache-control"] == kept


@pytest.mark.parametrize("nicegui", [False, True])
def test_the_policy_line_by_line(nicegui: bool) -> None:
    lines = dict(line.split(" ", 1) for line in policy("h:1", nicegui=nicegui).split("; "))
    assert lines == {
        "default-src": "'none'",
        "script-src": "'self' 'unsafe-inline' 'unsafe-eval'" if nicegui else "'self'",
        "style-src": "'self' 'unsafe-inline'", "img-src": "'self' data: blob:",
        "font-src": "'self' data:", "connect-src": "'self' ws://h:1 wss://h:1",
        "media-src": "'self'", "worker-src": "'self'", "manifest-src": "'self'", "base-uri": "'none'",
        "form-action": "'self'", "frame-ancestors": "'none'",
    }  # fmt: skip
