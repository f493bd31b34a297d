"""Where the workbench listens, whom it serves, and what it refuses to do without accounts."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from backstay.errors import BackstayError
from backstay.workbench.access.people import Person

LOOPBACK = "127.0.0.1"
_LARGEST_MESSAGE = 2 * 2**20  # bytes of one web socket message


class RefusedToServeError(BackstayError):
    """The workbench does not start as asked, with the reason and what would be accepted."""


@dataclass(frozen=True, slots=True)
class Exposure:
    """How the workbench is reached.

    address: to listen on; the loopback address serves this machine alone. names: host names by
    which others reach it (without scheme or port). certificate, key: PEM files to serve https.
    public: the address people type where a proxy stands in front, e.g. "https://wall.example".
    """

    address: str = LOOPBACK
    port: int = 8080
    names: tuple[str, ...] = ()
    certificate: Path | None = None
    key: Path | None = None
    public: str = ""

    @property
    def for_others(self) -> bool:
        """Whether anybody but this machine can reach the workbench."""
        return bool(self.public) or not is_loopback(self.address)

    @property
    def https(self) -> bool:
        """Whether browsers reach the workbench encrypted."""
        return self.public.startswith("https://") or self.certificate is not None

    @property
    def hosts(self) -> frozenset[str]:
        """Names that a request may be addressed to, beside those of this machine."""
        public = urlsplit(self.public).hostname if self.public else None
        given = (*self.names, *((public,) if public else ()))
        listening = () if _is_any(self.address) else (self.address,)
        return frozenset(name.lower().rstrip(".") for name in (*given, *listening))

    @property
    def cookie(self) -> str:
        """Name of the session's cookie; browsers share cookies among the ports of a machine."""
        return f"{'__Host-' if self.https else ''}backstay-{self.port}"

    def check(self, people: tuple[Person, ...]) -> None:
        """Raise RefusedToServeError if it cannot be served so; people: everybody with an account."""
        if not 0 < self.port < 65536:
            raise RefusedToServeError(f"There is no port {self.port}; ports are 1 to 65535.")
        if (self.certificate is None) != (self.key is None):
            raise RefusedToServeError("To serve https give both the certificate and its key.")
        for file in (self.certificate, self.key):
            if file is not None and not file.is_file():
                raise RefusedToServeError(f"{file} is not there; https needs this file.")
        if self.public:
            parts = urlsplit(self.public)
            if parts.scheme not in ("http", "https") or not parts.hostname or parts.path.strip("/"):
                raise RefusedToServeError(
                    f"{self.public!r} is not an address such as https://wall.example "
                    "(scheme and host, no path)."
                )
        if self.for_others and not people:
            raise RefusedToServeError(
                f"Others could reach the workbench at {self.public or self.address}, and nobody "
                "has an account yet: add one with `backstay people add NAME --role designs`, or "
                "leave the address out to serve this machine alone."
            )

    def warnings(self) -> tuple[str, ...]:
        """Say what whoever starts it should know."""
        said = []
        if self.for_others and not self.https:
            said.append(
                "Passwords and projects travel readable to everybody on the network. Give a "
                "certificate and its key (--certificate FILE --key FILE), or listen on the "
                "loopback address behind a proxy that does https and name it "
                "(--public https://NAME)."
            )
        if _is_any(self.address) and not self.hosts:
            said.append(
                "People reach the workbench by the number of its address only; to reach it by "
                "name, give the name (--name NAME)."
            )
        return tuple(said)

    def uvicorn_options(self) -> dict[str, Any]:
        """Give the options for `uvicorn.run`; only a proxy on this machine is believed."""
        options: dict[str, Any] = {
            "host": self.address,
            "port": self.port,
            "proxy_headers": bool(self.public),
            "forwarded_allow_ips": LOOPBACK,
            "server_header": False,
            "ws_max_size": _LARGEST_MESSAGE,
        }
        if self.certificate is not None and self.key is not None:
            options |= {"ssl_certfile": str(self.certificate), "ssl_keyfile": str(self.key)}
        return options


def is_loopback(host: str) -> bool:
    """Tell whether a host name or address is this machine, and cannot be made another's."""
    if host.lower() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


def _is_any(address: str) -> bool:
    try:
        return ipaddress.ip_address(address).is_unspecified
    except ValueError:
        return address == ""
