"""What every answer tells the browser: what it may load, and that it keeps nothing.

Pages of NiceGUI need inline scripts and `eval` (its templates are compiled in the browser, and the
handlers sent to it are text), so that its pages, known by a header of their own, have these two;
nothing else has. A nonce would not help there: whatever stamped the scripts of the page would stamp
one that came in with it. What remains forbidden even there: anything from another host, plug-ins,
another base address, forms to elsewhere, being framed.
"""

from __future__ import annotations

from starlette.datastructures import MutableHeaders

_PAGE_OF_NICEGUI = "x-nicegui-content"

_FIXED = {
    "X-Content-Type-Options": "nosniff",
    # "no-referrer" would make browsers send "Origin: null" with our own forms.
    "Referrer-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
}


def secure(headers: MutableHeaders, *, host: str) -> None:
    """Set the headers of an answer; a stricter policy that a page has set itself is kept."""
    for name, value in _FIXED.items():
        headers[name] = value
    if "content-security-policy" not in headers:
        headers["Content-Security-Policy"] = policy(host, nicegui=_PAGE_OF_NICEGUI in headers)
    kind = headers.get("content-type", "")
    if "cache-control" not in headers or kind.startswith(("text/html", "application/json")):
        # Cached pages could be looked at after signing out.
        headers["Cache-Control"] = "no-store"


def policy(host: str, *, nicegui: bool) -> str:
    """Give the content security policy; host: as in the request, already checked.

    Styles may be inline: drawings (SVG) and interface libraries set them on elements. The sockets
    are named beside 'self', which older tablets do not take to include them.
    """
    scripts = "'self' 'unsafe-inline' 'unsafe-eval'" if nicegui else "'self'"
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src {scripts}",
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "font-src 'self' data:",
            f"connect-src 'self' ws://{host} wss://{host}",
            "media-src 'self'",
            "worker-src 'self'",
            "manifest-src 'self'",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        )
    )
