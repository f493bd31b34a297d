"""Where a request is addressed to, and which page it comes from.

A foreign page can make a browser send requests to the workbench (cross-site requests), and can
give its own name the address of this machine (DNS rebinding). The first shows in `Origin` and
`Sec-Fetch-Site`, which a page cannot forge; the second in `Host`. Every browser sends `Origin`
with whatever is not GET or HEAD and with web sockets.
"""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers

from backstay.workbench.access.exposure import Exposure, is_loopback

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
_HOST = re.compile(r"(\[[0-9a-f:.]+\]|[a-z0-9_-]+(?:\.[a-z0-9_-]+)*)\.?(?::(\d{1,5}))?")
_PROXY = ("forwarded", "via", "x-forwarded-for", "x-forwarded-host", "x-forwarded-proto")
_FOREIGN = "The request comes from another site, and is refused."
_UNKNOWN = "The request does not say which page it comes from, and is refused."
_PORTS = {"http": "80", "https": "443"}


def host_fault(headers: Headers, server: Iterable[object] | None, exposure: Exposure) -> str:
    """Say why the Host of a request is not ours, or "" if it is.

    server: the address that the connection came in at; a number cannot be rebound, so that the
    one the browser connected to is accepted even when it was not listed.
    """
    hosts = headers.getlist("host")
    match = _HOST.fullmatch(hosts[0].lower()) if len(hosts) == 1 else None
    if match is None:
        return "The request does not say properly which host it is for."
    name = match[1]
    if is_loopback(name) or name.strip("[]") in exposure.hosts or _same_number(name, server):
        return ""
    return f"This workbench does not go by the name {name}; start it with --name {name} if it does."


def came_through_proxy(headers: Headers) -> bool:
    """Tell whether a proxy says that it stands between: then it is not only this machine."""
    return any(name in headers for name in _PROXY)


def origin_fault(
    headers: Headers, *, method: str, scheme: str, exposure: Exposure, websocket: bool = False
) -> str:
    """Say why a request is taken for one that a foreign page has caused, or "" if it is not.

    What another site may do is follow a link to a page; nothing else, not even reading (a script
    or picture of ours inside its page).
    """
    origins = headers.getlist("origin")
    if any(not _ours(origin, headers["host"], scheme, exposure) for origin in origins):
        return _FOREIGN
    if websocket:  # always with an Origin; the other header is not sent alike by all browsers
        return "" if origins else _UNKNOWN
    site = headers.get("sec-fetch-site")
    if site in ("cross-site", "same-site"):
        to_page = (
            headers.get("sec-fetch-mode") == "navigate"
            and headers.get("sec-fetch-dest", "document") == "document"
        )
        if method not in ("GET", "HEAD") or not to_page:
            return _FOREIGN
    elif site not in (None, "same-origin", "none"):
        return _FOREIGN
    if method not in SAFE_METHODS and not origins and site != "same-origin":
        return _UNKNOWN
    return ""


def _ours(origin: str, host: str, scheme: str, exposure: Exposure) -> bool:
    plain = {"ws": "http", "wss": "https"}.get(scheme, scheme)
    known = {_normal(f"{plain}://{host}")}
    if exposure.public:
        known.add(_normal(exposure.public))
    return origin.count("/") == 2 and _normal(origin) in known


def _normal(address: str) -> tuple[str, str, str]:
    try:
        parts = urlsplit(address.lower())
        port = str(parts.port) if parts.port is not None else _PORTS.get(parts.scheme, "")
    except ValueError:
        return ("", address, "")
    return (parts.scheme, (parts.hostname or "").rstrip("."), port)


def _same_number(name: str, server: Iterable[object] | None) -> bool:
    here = next(iter(server), None) if server else None
    try:
        asked, found = (ipaddress.ip_address(str(a).strip("[]")) for a in (name, here))
    except ValueError:
        return False
    mapped = getattr(found, "ipv4_mapped", None)
    return asked in (found, mapped)
