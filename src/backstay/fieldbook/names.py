"""Names of anchors as people write them, and the one anchor of the register that is meant.

``A (Alder Street)-1-007`` is how the register calls it. ``A-1-7`` means the same where one part
alone begins with the word A, and ``1-7`` where one part alone has such an anchor.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches

_SHORT = re.compile(r"(?:(.+?)[-/ ])??(\d{1,3})[-/](T?)0*(\d{1,4})", re.IGNORECASE)


class UnknownAnchorError(LookupError):
    """No anchor of the register is meant by a name, or more than one; says which are near."""


class AnchorNames:
    """The names of the register, and what may stand for them."""

    def __init__(self, names: Iterable[str]) -> None:
        self._names = tuple(names)
        self._exact = {name.casefold(): name for name in self._names}
        self._short: Mapping[tuple[int, str, int], list[tuple[str, str]]] = {}
        short: dict[tuple[int, str, int], list[tuple[str, str]]] = {}
        for name in self._names:
            match = _SHORT.fullmatch(name)
            if match:
                key = (int(match[2]), match[3].casefold(), int(match[4]))
                short.setdefault(key, []).append(((match[1] or "").casefold(), name))
        self._short = short

    def meant(self, written: str) -> str:
        """Return the name in the register. Raises UnknownAnchorError in words."""
        plain = written.strip().casefold()
        if plain in self._exact:
            return self._exact[plain]
        found = self._candidates(plain)
        if len(found) == 1:
            return found[0]
        if found:
            raise UnknownAnchorError(
                f"{written!r} may be {' or '.join(repr(n) for n in found[:4])}; name the part too"
            )
        if not self._names:
            raise UnknownAnchorError("the register has no anchors yet")
        near = get_close_matches(written, self._names, n=3, cutoff=0.6)
        hint = f"; did you mean {' or '.join(repr(n) for n in near)}?" if near else ""
        raise UnknownAnchorError(f"the register has no anchor {written!r}{hint}")

    def _candidates(self, plain: str) -> list[str]:
        match = _SHORT.fullmatch(plain)
        if match is None:
            return []
        part = match[1]
        there = self._short.get((int(match[2]), match[3], int(match[4])), [])
        if part is None:
            return [name for _, name in there]
        whole = [name for p, name in there if p == part]
        return whole or [name for p, name in there if p.split()[:1] == [part]]
