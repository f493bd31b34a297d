"""Names that must stand in a table: sections, steels, timbers, strands, bars and bond classes."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from backstay.model.document import Path
from backstay.model.rules.rule import Breach


def unknown_name(path: Path, name: str, *tables: str) -> Iterator[Breach]:
    """Yield a breach if a name stands in none of its tables, with the close names.

    tables: loaders of `backstay.data` that take a name and raise LookupError for an unknown one.
    """
    from backstay import data  # loaded with the first name: a file without names needs no table

    said = ""
    for table in tables:
        try:
            getattr(data, table)(name)
        except LookupError as error:
            said = said or str(error.args[0])
        else:
            return
    rule, _, hint = said.partition("; ")
    yield Breach(path, f"there is {rule} in the tables", hint=hint)


def across(section: str, arrangement: str, gap: float) -> float | None:
    """Return the diagonal (m) of a rolled section, or of a pair, or None if it is not known yet.

    gap: clear gap between the webs of a pair, m. Channels stand back to back; the flanges of
    I sections touch at least.
    """
    from backstay import data

    if section == "auto":
        return None
    try:
        shape = data.steel_shape(section)
    except LookupError:
        return None
    if arrangement == "single":
        width = shape.bf
    elif shape.channel:
        width = 2 * shape.bf + gap
    else:
        width = shape.bf + max(shape.bf, shape.tw + gap)
    return hypot(shape.d, width)
