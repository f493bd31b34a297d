"""The things of a section or slope: what can be chosen, by the place in the file that holds it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pydantic import BaseModel

from backstay.model.document import Path, spelt
from backstay.model.project import Section
from backstay.model.slope import Slope

WITHIN = frozenset(
    {"tendon", "bond", "lagging", "undrained_strength", "centre", "anisotropy", "slip_surface",
     "movement"}
)  # fmt: skip
"""Mappings that are shown among the fields of what holds them."""
_NAMES = {
    "anchors": "Row", "strata": "Stratum", "perched": "Perched water",
    "stiffness_changes": "Change of stiffness", "sequence": "Step of the dig", "stages": "Stage",
    "surcharges": "Surcharge", "buildings": "Building", "obstacles": "Obstacle", "piles": "Piles",
}  # fmt: skip
_TITLES = {
    "ground": "Ground surface", "water": "Water", "cut": "Cut", "wall": "Wall",
    "pressure": "Pressure envelope", "targets": "Targets", "constraints": "Limits of the site",
    "earthquake": "Earthquake", "anchors": "Anchors", "pad": "Pads", "waler": "Waler",
    "tension_crack": "Tension crack", "pore_pressures": "Pore pressures",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Thing:
    """Something to choose.

    path: in the file; removable: one of a list that may be taken out; absent: how many of the last
    keys of the path the file does not have, because defaults hold.
    """

    path: Path
    name: str
    model: BaseModel
    removable: bool = False
    absent: int = 0


def things_of(part: Section | Slope, where: Path) -> tuple[Thing, ...]:
    """Return the things of a part, the part itself first; where: its place in the file."""
    name = "This section" if isinstance(part, Section) else "This slope"
    return (Thing(where, name, part), *_within(part, where))


def _within(model: BaseModel, path: Path, absent: int = 0) -> Iterator[Thing]:
    for key in type(model).model_fields:
        value = getattr(model, key)
        if isinstance(value, BaseModel) and key not in WITHIN:
            title = _TITLES.get(key, key.replace("_", " ").capitalize())
            gone = absent + 1 if absent or key not in model.model_fields_set else 0
            yield Thing((*path, key), title, value, absent=gone)
            yield from _within(value, (*path, key), gone)
        elif is_list_of_things(value):
            least = 1 if key in ("anchors", "strata") else 0
            for i, item in enumerate(value):
                title = _NAMES.get(key, key.replace("_", " ").capitalize())
                yield Thing((*path, key, i), _item(title, i, item), item, len(value) > least)


def _item(title: str, i: int, item: BaseModel) -> str:
    name = getattr(item, "name", "") or getattr(item, "kind", "")
    if title == "Row" or not name:
        return f"{title} {i + 1}"
    return f"{title} {i + 1}: {name}"


def is_list_of_things(value: object) -> bool:
    """Say whether a value is a list of mappings that are more than points."""
    return (
        isinstance(value, tuple)
        and bool(value)
        and isinstance(value[0], BaseModel)
        and not is_point(type(value[0]))
    )


def is_point(model: type[BaseModel]) -> bool:
    """Say whether a mapping is a point: two coordinates and nothing else."""
    return set(model.model_fields) in ({"x", "elevation"}, {"distance", "elevation"})


def nearest(things: tuple[Thing, ...], path: Path) -> Thing | None:
    """Return the thing at a path, or the one that holds it."""
    held = [t for t in things if path[: len(t.path)] == t.path]
    return max(held, key=lambda t: len(t.path), default=None)


def in_words(words: str, things: tuple[Thing, ...]) -> str:
    """Return words with places of the file named as the things on screen are."""
    for thing in sorted(things, key=lambda t: -len(t.path)):
        name = thing.name.split(":")[0]
        words = words.replace(f"{spelt(thing.path)}.", f"{name}, ")
        words = words.replace(f"{spelt(thing.path)}:", f"{name}:")
    return words
