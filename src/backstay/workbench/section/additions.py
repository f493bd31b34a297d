"""What can be added to a section, with values to begin with: from what is there, in the project's units.

They are a start for the engineer to change, not a proposal: each lies where it can be seen and dragged.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from backstay.model.changes import Change, Insert, Set
from backstay.model.document import Path, compose
from backstay.model.project import Section
from backstay.quantity import QUANTITIES
from backstay.workbench.section.handles import snapped
from backstay.workbench.section.spelling import Spelling


@dataclass(frozen=True, slots=True)
class Addition:
    """Something to add. changes: that add it; thing: the path of what is then chosen."""

    key: str
    name: str
    changes: Callable[[], list[Change]]
    thing: Path


def additions(section: Section, where: Path, text: str, spelling: Spelling) -> tuple[Addition, ...]:
    """Return what can be added to a section; text: of its project file, where like is copied from."""
    at = _At(section, where, text, spelling)
    return (
        Addition("row", "Row of anchors", at.row, (*where, "anchors", at.row_index)),
        Addition("stratum", "Stratum", at.stratum,
                 (*where, "ground", "strata", len(section.ground.strata))),
        *(
            Addition(kind, name, lambda k=kind: at.load(k), at.next("surcharges"))  # type: ignore[misc]
            for kind, name in (
                ("strip", "Strip load"), ("line", "Line load"), ("point", "Point load"),
                ("footing", "Footing"), ("uniform", "Uniform load"), ("traffic", "Traffic"),
            )
        ),
        *(() if section.ground.water.retained is not None else
          (Addition("water", "Water behind the wall", at.water, (*where, "ground", "water")),)),
        Addition("perched", "Perched water", at.perched, (*where, "ground", "water")),
        Addition("building", "Building", at.building, at.next("buildings")),
        Addition("pipe", "Pipe or duct", at.pipe,
                 (*where, "constraints", "obstacles", len(section.constraints.obstacles))),
        Addition("basement", "Basement or foundation", at.basement,
                 (*where, "constraints", "obstacles", len(section.constraints.obstacles))),
    )  # fmt: skip


class _At:
    """One section that something is added to."""

    def __init__(self, section: Section, where: Path, text: str, spelling: Spelling) -> None:
        self.section, self.where, self.text, self.spelling = section, where, text, spelling
        self.H = section.height

    def next(self, key: str) -> Path:
        return (*self.where, key, len(getattr(self.section, key)))

    @property
    def row_index(self) -> int:
        return len(self.section.anchors)

    def length(self, value: float) -> Any:
        """Return a length (m) on the grid, as it goes into the file; not nil."""
        quantity = QUANTITIES["length"]
        shown = self.spelling.shown
        return self.spelling.written(
            quantity, snapped(value, quantity, shown) or snapped(0.3, quantity, shown)
        )

    def value(self, name: str, value: float) -> Any:
        """Return a value as it goes into the file, rounded to two digits in the units shown."""
        quantity = QUANTITIES[name]
        shown = float(f"{quantity.shown(value, self.spelling.shown):.2g}")
        return self.spelling.written(quantity, quantity.internal(shown, self.spelling.shown))

    def like(self, *keys: str | int) -> dict[str, Any]:
        """Return a copy of what the file says at a place."""
        node = compose(self.text, "")[0].at((*self.where, *keys))
        copied = _plain(node.value) if node is not None else {}
        return copied if isinstance(copied, dict) else {}

    def into(self, keys: tuple[str, ...], value: dict[str, Any], count: int) -> list[Change]:
        """Return the changes that append to a list, which may not be there yet."""
        model: Any = self.section
        for i, key in enumerate(keys[:-1]):
            if key not in model.model_fields_set:
                made: Any = [value]
                for inner in reversed(keys[i + 1 :]):
                    made = {inner: made}
                return [Set((*self.where, *keys[: i + 1]), made)]
            model = getattr(model, key)
        if keys[-1] not in model.model_fields_set:
            return [Set((*self.where, *keys), [value])]
        return [Insert((*self.where, *keys, count), value)]

    def row(self) -> list[Change]:
        """Return a row like the lowest, halfway between it and subgrade."""
        last = self.section.anchors[-1]
        new = self.like("anchors", self.row_index - 1)
        new.pop("note", None)
        new["elevation"] = self.length(0.5 * (last.elevation + self.section.cut.subgrade))
        return self.into(("anchors",), new, self.row_index)

    def stratum(self) -> list[Change]:
        """Return a stratum like the lowest, below its top by the half height of the cut, or its bottom."""
        strata = self.section.ground.strata
        new = self.like("ground", "strata", len(strata) - 1)
        top = strata[-1].bottom if strata[-1].bottom is not None else strata[-1].top - 0.5 * self.H
        new.pop("bottom", None)
        new |= {"name": f"Stratum {len(strata) + 1}, as the one above", "top": self.length(top)}
        return self.into(("ground", "strata"), new, len(strata))

    def load(self, kind: str) -> list[Change]:
        """Return a surcharge of a kind, a fifth of the height behind the wall."""
        names = {
            "strip": "New strip load", "line": "New line load", "point": "New point load",
            "footing": "New footing", "uniform": "New uniform load", "traffic": "New traffic load",
        }  # fmt: skip
        new: dict[str, Any] = {"kind": kind, "name": names[kind]}
        if kind in ("line", "point"):
            new["load"] = self.value("force per length" if kind == "line" else "force", 30.0)
        else:
            new["pressure"] = self.value("stress", 12.0 if kind in ("uniform", "traffic") else 50.0)
        if kind not in ("uniform", "traffic"):
            new["distance"] = self.length(0.2 * self.H)
        if kind in ("strip", "footing"):
            new["width"] = self.length(0.2 * self.H)
        if kind == "footing":
            new["length"] = self.length(0.4 * self.H)
        return self.into(("surcharges",), new, len(self.section.surcharges))

    def water(self) -> list[Change]:
        """Return water behind the wall at half the height of the cut."""
        level = self.length(self.section.elevation(0.5 * self.H))
        if "water" not in self.section.ground.model_fields_set:
            return [Set((*self.where, "ground", "water"), {"retained": level})]
        return [Set((*self.where, "ground", "water", "retained"), level)]

    def perched(self) -> list[Change]:
        """Return perched water between a quarter and a third of the height."""
        new = {
            "level": self.length(self.section.elevation(0.22 * self.H)),
            "base": self.length(self.section.elevation(0.33 * self.H)),
        }
        count = len(self.section.ground.water.perched)
        return self.into(("ground", "water", "perched"), new, count)

    def building(self) -> list[Change]:
        """Return a building behind the wall."""
        new = {
            "name": "New building", "near": self.length(0.5 * self.H), "far": self.length(1.2 * self.H),
            "height": self.length(6.0),
        }  # fmt: skip
        return self.into(("buildings",), new, len(self.section.buildings))

    def pipe(self) -> list[Change]:
        """Return a pipe close below the ground behind the wall."""
        centre = {
            "distance": self.length(0.5 * self.H),
            "elevation": self.length(self.section.elevation(0.15 * self.H)),
        }
        new = {
            "kind": "circle", "name": "New pipe", "centre": centre, "diameter": self.length(0.5),
        }  # fmt: skip
        count = len(self.section.constraints.obstacles)
        return self.into(("constraints", "obstacles"), new, count)

    def basement(self) -> list[Change]:
        """Return a rectangular basement behind the wall."""
        x = (0.5 * self.H, 0.9 * self.H)
        top, foot = (self.section.elevation(d) for d in (0.0, 0.25 * self.H))
        corners = ((x[0], top), (x[1], top), (x[1], foot), (x[0], foot))
        points = [
            {"distance": self.length(a), "elevation": self.length(b)} for a, b in corners
        ]  # fmt: skip
        new = {"kind": "polygon", "name": "New basement", "points": points}
        count = len(self.section.constraints.obstacles)
        return self.into(("constraints", "obstacles"), new, count)


def _plain(value: Any) -> Any:
    """Return what a file says without what it remembers of how it was written."""
    if isinstance(value, dict):
        return {str(key): _plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_plain(inner) for inner in value]
    for kind in (bool, int, float):
        if isinstance(value, kind):
            return kind(value)
    return value
