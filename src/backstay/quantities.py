"""Quantities of a section: what is bought, drilled and tested over its length of wall."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class QuantityItem:
    """One quantity: value in the internal unit of `quantity` (a name of backstay.quantity)."""

    name: str
    value: float
    quantity: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Quantities:
    """The quantities of one section, over its length of wall."""

    items: tuple[QuantityItem, ...]
