"""Passwords: what is accepted, how one is kept, how one is compared.

Only a hash is kept, by scrypt (RFC 7914), with a salt of its own and the cost it was made at, so
that the cost can be raised later without touching what is there.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import unicodedata
from dataclasses import dataclass

SHORTEST = 12
"""Characters. Guessing at the door is slowed (`tries`), so that this length is for the case in
which the accounts file is lost; common practice."""
LONGEST = 200
_FEWEST_DIFFERENT = 5
_SALT, _DIGEST = 16, 32


@dataclass(frozen=True, slots=True, order=True)
class Cost:
    """Parameters of scrypt; memory is 128 n r bytes.

    The default, 128 MiB and about half a second, is the least that the OWASP Password Storage
    Cheat Sheet recommends for scrypt (n = 2^17, r = 8, p = 1).
    """

    n: int = 2**17
    r: int = 8
    p: int = 1

    @property
    def memory(self) -> int:
        """Bytes that scrypt needs at this cost, with room for its own buffers."""
        return 128 * self.r * (self.n + self.p) + 2**20


@dataclass(frozen=True, slots=True)
class Hashed:
    """A password as it is kept."""

    cost: Cost
    salt: bytes
    digest: bytes


def hash_password(password: str, cost: Cost) -> Hashed:
    """Hash a password with a salt of its own."""
    salt = secrets.token_bytes(_SALT)
    return Hashed(cost, salt, _digest(password, salt, cost))


def nobody(cost: Cost) -> Hashed:
    """Give what no password matches, to spend on an unknown name what a known one costs."""
    return Hashed(cost, secrets.token_bytes(_SALT), secrets.token_bytes(_DIGEST))


def matches(password: str, hashed: Hashed) -> bool:
    """Compare a password with its hash, in a time that does not tell how much of it is right."""
    return hmac.compare_digest(_digest(password, hashed.salt, hashed.cost), hashed.digest)


def fault_of(password: str, name: str) -> str:
    """Say why a password is not accepted, or "" if it is."""
    plain, known = _plain(password), _plain(name).casefold()
    if len(plain) < SHORTEST:
        return (
            f"A password needs at least {SHORTEST} characters; "
            "three or four words with spaces are easy to type."
        )
    if len(plain) > LONGEST:
        return f"A password may have at most {LONGEST} characters."
    if len(set(plain.casefold())) < _FEWEST_DIFFERENT:
        return "A password of so few different characters is soon guessed; choose another."
    if not plain.casefold().replace(known, ""):
        return "A password may not be the name; choose another."
    return ""


def _plain(text: str) -> str:
    """Bring to one form what keyboards spell in several (accents, wide letters)."""
    return unicodedata.normalize("NFKC", text)


def _digest(password: str, salt: bytes, cost: Cost) -> bytes:
    return hashlib.scrypt(
        _plain(password).encode("utf-8", "surrogatepass"),
        salt=salt,
        n=cost.n,
        r=cost.r,
        p=cost.p,
        maxmem=cost.memory,
        dklen=_DIGEST,
    )
