"""Names that must stand in a table: sections, steels, timbers, strands, bars and bond classes."""

from __future__ import annotations

from collections.abc import Iterator

from backstay.model.document import Path
from backstay.model.rules.rule import Breach


def unknown_name(path: Path, name: str, *tables: str) -> Iterator[Breach]:
    """Yield a breach if a name stands in none of its tables, with the close names.

    tables: loaders of `backstay.data` that take a name and raise LookupError for an unknown one.
    """
    from backstay import data  # loaded with the first name: a file without names needs no table

    said = ""
    for table in tables:
        if not hasattr(data, table):
            return
        try:
            getattr(data, table)(name)
        except LookupError as error:
            said = said or str(error.args[0])
        else:
            return
    rule, _, hint = said.partition("; ")
    yield Breach(path, f"there is {rule} in the tables", hint=hint)


def shape_size(section: str) -> tuple[float, float] | None:
    """Return depth and width (m) of a rolled section, or None if it is chosen or unknown."""
    from backstay import data

    if section == "auto" or not hasattr(data, "steel_shape"):
        return None
    try:
        shape = data.steel_shape(section)
    except LookupError:
        return None
    return shape.depth, shape.flange_width
