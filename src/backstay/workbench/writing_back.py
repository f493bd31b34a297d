"""Values written back to the project file as a person would write them, and changes that find their place."""

from __future__ import annotations

from backstay.model.changes import Change, Set
from backstay.model.document import Path, compose
from backstay.model.writing import Value
from backstay.quantity import Quantity, UnitSystem

_PLACES = 6


def written_value(
    value: float, quantity: Quantity | None, shown: UnitSystem, own: UnitSystem
) -> str | float | int:
    """Return an internal value as it is written: bare in the project's own unit, else with its unit.

    shown: the units that the person sees; own: those of the project.
    """
    if quantity is None:
        return value
    number = round(quantity.shown(value, shown), _PLACES) + 0.0
    bare = int(number) if number == int(number) else number
    unit = quantity.unit(shown)
    if shown is own or unit.label == quantity.unit(own).label:
        return bare
    return f"{bare} {unit.label}"


def set_at(text: str, path: Path, value: Value) -> Change:
    """Return the change that gives a value at a path, with the mappings around it that are not there yet."""
    root, _ = compose(text, "")
    pieces = list(path)
    while len(pieces) > 1:
        holder = root.at(tuple(pieces[:-1]))
        if holder is not None and isinstance(holder.value, dict | list):
            break
        value = {str(pieces.pop()): value}
    return Set(tuple(pieces), value)
