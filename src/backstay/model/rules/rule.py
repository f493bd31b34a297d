"""A rule between fields: a small generator that names what it needs by its arguments.

A rule takes parts of a design section (`PARTS`), one element of a list (`ELEMENTS`: the rule is
then called for each, with paths from that element), and `service`, `units` or `say`. It yields
a `Breach` for each thing wrong. Rules whose parts are all sound run even while other parts of
the file are faulty, so that every fault shows at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from inspect import signature
from typing import Any

from backstay.errors import Fault
from backstay.model.document import Node, Path, spelt
from backstay.quantity import QUANTITIES, UnitSystem

PARTS: dict[str, Path] = {
    "top": ("ground", "top"), "slope": ("ground", "slope"), "surface": ("ground", "profile"),
    "strata": ("ground", "strata"), "water": ("ground", "water"),
    "subgrade": ("cut", "subgrade"), "over_excavation": ("cut", "over_excavation"),
    "sequence": ("cut", "sequence"), "wall": ("wall",), "rows": ("anchors",),
    "stages": ("stages",), "surcharges": ("surcharges",), "buildings": ("buildings",), "constraints": ("constraints",),
}  # fmt: skip
ELEMENTS: dict[str, Path] = {
    "stratum": ("ground", "strata"), "row": ("anchors",), "surcharge": ("surcharges",),
    "building": ("buildings",),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Breach:
    """A broken rule: where, what is wrong, what would be accepted, what was probably meant."""

    path: Path
    rule: str
    accepted: str = ""
    hint: str = ""

    def under(self, base: Path) -> Breach:
        """Return the same with its path continued from `base`."""
        return Breach((*base, *self.path), self.rule, self.accepted, self.hint)

    def fault(self, place: Node, read: str) -> Fault:
        """Return the fault at a place in the file."""
        read = "" if read in ("a mapping", "nothing") or read.startswith("a list") else read
        return Fault(
            place.line, place.column, spelt(self.path), self.rule, read, self.accepted, self.hint
        )


@dataclass(frozen=True, slots=True)
class Say:
    """Numbers in words, in the project's units."""

    units: UnitSystem

    def __call__(self, quantity: str, value: float) -> str:
        """Return a number of some quantity with its unit."""
        return QUANTITIES[quantity].text(value, self.units)

    def length(self, value: float) -> str:
        """Return a length or an elevation."""
        return self("length", value)


Rule = Callable[..., Iterator[Breach]]


@dataclass(frozen=True, slots=True)
class Needs:
    """A rule, the parts it needs, and the list it runs over ("" for none)."""

    rule: Rule
    parts: tuple[str, ...]
    element: str


RULES: list[Needs] = []


def rule(function: Rule) -> Rule:
    """Enter a rule."""
    names = tuple(signature(function).parameters)
    element = next((name for name in names if name in ELEMENTS), "")
    RULES.append(Needs(function, tuple(n for n in names if n != element), element))
    return function


def run(values: Callable[[str], Any], elements: Callable[[str], dict[int, Any]]) -> list[Breach]:
    """Run every rule whose parts are sound.

    values(part) returns the part or raises KeyError if it is faulty; elements(name) returns the
    sound elements of a list by index.
    """
    found: list[Breach] = []
    for needs in RULES:
        try:
            parts = {name: values(name) for name in needs.parts}
        except KeyError:
            continue
        if not needs.element:
            found += needs.rule(**parts)
            continue
        for i, element in elements(needs.element).items():
            base = (*ELEMENTS[needs.element], i)
            found += (b.under(base) for b in needs.rule(**parts, **{needs.element: element}))
    return found


def twice(names: list[str]) -> Iterator[tuple[int, str]]:
    """Yield (index, name) of each name that stood before."""
    seen: set[str] = set()
    for i, name in enumerate(names):
        if name in seen:
            yield i, name
        seen.add(name)
