"""The plain pages of access: sign in, who am I, refusals. They work without JavaScript."""

from __future__ import annotations

import base64
import hashlib
from html import escape
from urllib.parse import urlencode, urlsplit

from starlette.responses import HTMLResponse

from backstay.drawing.layers import ACCENT, INK
from backstay.workbench.access.people import Person

SIGN_IN, SIGN_OUT, WHO = "/sign-in", "/sign-out", "/who-am-i"
WATCH = "/who-am-i.js"
"""A script for every page: leads to the sign-in page once the session has ended."""

_STYLE = f"""
:root {{ color-scheme: light dark; --ink: {INK}; --paper: #ffffff; --rule: #767676;
  --accent: {ACCENT}; }}
@media (prefers-color-scheme: dark) {{
  :root {{ --ink: #ececec; --paper: #161616; --rule: #9a9a9a; --accent: #f0a091; }} }}
* {{ box-sizing: border-box; }}
body {{ margin: 0; padding: 8vh 1.5rem 3rem; background: var(--paper); color: var(--ink);
  font: 1.0625rem/1.5 system-ui, sans-serif; }}
main {{ max-width: 24rem; margin: 0 auto; }}
h1 {{ margin: 0 0 2rem; padding-bottom: .75rem; border-bottom: 1px solid var(--ink);
  font-size: 1.375rem; font-weight: 600; }}
h1 span {{ font-weight: 400; }}
label {{ display: block; margin: 1.25rem 0 .25rem; }}
input, button {{ width: 100%; min-height: 3rem; padding: .5rem .75rem; font: inherit;
  color: inherit; background: var(--paper); border: 1px solid var(--rule); border-radius: 2px; }}
button {{ margin-top: 1.75rem; background: var(--ink); color: var(--paper);
  border-color: var(--ink); cursor: pointer; }}
a {{ color: inherit; }}
:focus-visible {{ outline: 3px solid var(--accent); outline-offset: 2px; }}
.fault {{ margin: 0; padding: .5rem .75rem; border: 1px solid var(--accent);
  border-left-width: 4px; }}
.fault b {{ color: var(--accent); }}
dt {{ margin-top: .75rem; }} dd {{ margin: 0; font-weight: 600; overflow-wrap: anywhere; }}
"""
_HASH = base64.b64encode(hashlib.sha256(_STYLE.encode()).digest()).decode()
_POLICY = (
    f"default-src 'none'; style-src 'sha256-{_HASH}'; img-src data:; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)


def local_target(target: str) -> str:
    """Give where to go after signing in: a path of ours, or "/" for anything else."""
    try:
        parts = urlsplit(target)
    except ValueError:
        return "/"
    plain = target.startswith("/") and not target.startswith("//") and target.isprintable()
    if not plain or "\\" in target or " " in target or parts.scheme or parts.netloc:
        return "/"
    return "/" if parts.path in (SIGN_IN, SIGN_OUT) else target


def sign_in_address(target: str) -> str:
    """Give the address of the sign-in page that leads on to a path."""
    onward = local_target(target)
    return SIGN_IN if onward == "/" else f"{SIGN_IN}?{urlencode({'next': onward})}"


def sign_in_page(
    *, target: str, name: str = "", fault: str = "", status: int = 200
) -> HTMLResponse:
    """Show the form; name: as it was typed; fault: why the last try was refused."""
    alert = (
        f'<p class="fault" role="alert" id="fault"><b>Not signed in.</b> {escape(fault)}</p>'
        if fault
        else ""
    )
    described = ' aria-describedby="fault" aria-invalid="true"' if fault else ""
    focus_name, focus_password = ("", " autofocus") if name else (" autofocus", "")
    return _page(
        "Sign in",
        f"""{alert}
<form method="post" action="{SIGN_IN}">
<input type="hidden" name="next" value="{escape(local_target(target))}">
<label for="name">Name</label>
<input id="name" name="name" value="{escape(name)}" autocomplete="username" autocapitalize="none"
 spellcheck="false" maxlength="100" required{described}{focus_name}>
<label for="password">Password</label>
<input id="password" name="password" type="password" autocomplete="current-password"
 maxlength="400" required{described}{focus_password}>
<button type="submit">Sign in</button>
</form>""",
        status=status,
    )


def who_page(person: Person, *, token: str) -> HTMLResponse:
    """Show who is signed in, with the way to sign out."""
    return _page(
        "Who am I",
        f"""<dl><dt>Signed in as</dt><dd>{escape(person.name)}</dd>
<dt>This person</dt><dd>{escape(person.role.words)}</dd></dl>
<form method="post" action="{SIGN_OUT}">
<input type="hidden" name="token" value="{escape(token)}">
<button type="submit">Sign out</button>
</form>
<p><a href="/">Back to the workbench</a></p>""",
    )


def open_page() -> HTMLResponse:
    """Show who one is where nobody signs in."""
    return _page(
        "Who am I",
        "<p>Nobody signs in here: the workbench serves this machine alone.</p>"
        '<p><a href="/">Back to the workbench</a></p>',
    )


def refusal_page(sentence: str, status: int) -> HTMLResponse:
    """Show one sentence that says why a request was refused."""
    return _page("Refused", f'<p class="fault" role="alert">{escape(sentence)}</p>', status=status)


def _page(title: str, content: str, *, status: int = 200) -> HTMLResponse:
    return HTMLResponse(
        f"""<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>{escape(title)} - Backstay</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<link rel="icon" href="data:,">
<style>{_STYLE}</style></head>
<body><main><h1>Backstay <span>{escape(title)}</span></h1>
{content}
</main></body></html>
""",
        status_code=status,
        headers={"Content-Security-Policy": _POLICY},
    )
