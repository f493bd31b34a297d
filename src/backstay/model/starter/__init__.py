"""Commented projects to begin with, one in each unit system."""

from __future__ import annotations

from importlib.resources import files

from backstay.quantity import UnitSystem


def starter(units: UnitSystem) -> str:
    """Return the text of the starter project in a unit system."""
    return (
        files("backstay.model.starter").joinpath(f"starter-{units.value.lower()}.yaml")
    ).read_text(encoding="utf-8")
