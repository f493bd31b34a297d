"""Every entry of the project file for one section or slope, as read, with its unit: nothing left out.

The sentences of the inputs say what matters most; a reviewer who recomputes a line needs all of
it. What the file does not state stands with the value that is taken then, in brackets.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pydantic import BaseModel

from backstay.model.fields import Kind
from backstay.model.project import Section
from backstay.model.slope import Slope
from backstay.quantity import UnitSystem
from backstay.report.derivation import Block

_COLUMNS = 4
"""Strata, anchors and the like stand side by side, this many in one table."""

Row = tuple[str, str]


def entry_blocks(section: Section, units: UnitSystem) -> list[Block]:
    """Return tables of all entries of a section, in the order of the file."""
    blocks: list[Block] = [
        {
            "type": "paragraph",
            "text": "Values in brackets are not in the file: they are what is taken then.",
        }
    ]
    ground = section.ground
    blocks += _side_by_side("Strata", ground.strata, units)
    blocks += _one("Ground and water", ground, units, without=("strata",))
    blocks += _side_by_side("Surcharges", section.surcharges, units)
    blocks += _one("Cut", section.cut, units)
    blocks += _one("Wall", section.wall, units)
    blocks += _side_by_side("Anchors", section.anchors, units)
    blocks += _side_by_side("Buildings", section.buildings, units)
    blocks += _side_by_side("Obstacles", section.constraints.obstacles, units)
    blocks += _one("Constraints", section.constraints, units, without=("obstacles",))
    own = ("ground", "cut", "wall", "anchors", "surcharges", "buildings", "constraints")
    blocks += _one("Other choices", section, units, without=own)
    return blocks


def slope_entry_blocks(slope: Slope, units: UnitSystem) -> list[Block]:
    """Return tables of all entries of a slope, in the order of the file."""
    blocks: list[Block] = [
        {
            "type": "paragraph",
            "text": "Values in brackets are not in the file: they are what is taken then.",
        }
    ]
    blocks += _side_by_side("Strata", slope.strata, units)
    blocks += _side_by_side("Surcharges", slope.surcharges, units)
    blocks += _side_by_side("Piles", slope.piles, units)
    blocks += _one("Slip surface", slope.slip_surface, units)
    blocks += _one("Movement", slope.movement, units)
    blocks += _one("Anchors", slope.anchors, units)
    for title, entry in (("Pad", slope.pad), ("Beam", slope.waler)):
        if entry is not None:
            blocks += _one(title, entry, units)
    own = ("strata", "surcharges", "piles", "slip_surface", "movement", "anchors", "pad", "waler")
    blocks += _one("Ground, water and other choices", slope, units, without=own)
    return blocks


def _one(
    title: str, entry: BaseModel, units: UnitSystem, *, without: tuple[str, ...] = ()
) -> list[Block]:
    rows = [[key, text] for key, text in rows_of(entry, units, without=without)]
    if not rows:
        return []
    return [
        {"type": "strong", "text": title},
        {
            "type": "table", "head": ["Entry", "As read"], "rows": rows, "align": ["l", "l"],
            "widths": [1, 2.2],
        },
    ]  # fmt: skip


def _side_by_side(title: str, entries: Sequence[BaseModel], units: UnitSystem) -> list[Block]:
    blocks: list[Block] = [{"type": "strong", "text": title}] if entries else []
    for start in range(0, len(entries), _COLUMNS):
        some = [dict(rows_of(e, units)) for e in entries[start : start + _COLUMNS]]
        keys = list(dict.fromkeys(key for column in some for key in column))
        heads = [f"{start + i}" for i in range(1, len(some) + 1)]
        blocks.append(
            {
                "type": "table",
                "head": ["Entry", *heads],
                "rows": [[key, *(column.get(key, "–") for column in some)] for key in keys],
                "align": ["l"] * (len(some) + 1),
                "widths": [1.2, *[1.4] * len(some)],
            }
        )
    return blocks


def rows_of(
    entry: BaseModel, units: UnitSystem, *, without: tuple[str, ...] = (), under: str = ""
) -> list[Row]:
    """Return (key, value as text) of every field of an entry that has a value, nested ones too."""
    rows: list[Row] = []
    for name, info in type(entry).model_fields.items():
        value = getattr(entry, name)
        if name in without or value is None or value in ((), ""):
            continue
        key = f"{under}{name.replace('_', ' ')}"
        if isinstance(value, BaseModel):
            rows += rows_of(value, units, under=f"{key}: ")
            continue
        text = _text(value, Kind.of_field(info), units)
        rows.append((key, text if name in entry.model_fields_set else f"({text})"))
    return rows


def _text(value: Any, kind: Kind, units: UnitSystem) -> str:
    if isinstance(value, tuple):
        return "; ".join(_item(item, units) for item in value)
    if isinstance(value, float) and kind.quantity is not None:
        return kind.quantity.text(value, units)
    return str(getattr(value, "value", value))


def _item(value: Any, units: UnitSystem) -> str:
    if isinstance(value, BaseModel):
        return ", ".join(f"{key} {text}" for key, text in rows_of(value, units))
    return str(value)
