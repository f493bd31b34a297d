"""The calculation leaves out nothing that a person decided."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from backstay.model import read_project
from backstay.model.document import compose
from backstay.quantity import UnitSystem
from backstay.report.entries import entry_blocks, rows_of

EXAMPLES = sorted((Path(__file__).parents[3] / "examples").glob("*.yaml"))


def leaves(value: Any, key: str = "") -> list[str]:
    """Return the last key of every value of a file."""
    if isinstance(value, dict):
        return [k for name, inner in value.items() for k in leaves(inner, name)]
    if isinstance(value, list):
        return [k for inner in value for k in leaves(inner, key)]
    return [key] if value not in (None, "") else []


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_every_key_of_the_file_stands_in_the_inputs(path: Path) -> None:
    data = compose(path.read_text("utf-8"), "")[0].value
    for given, section in zip(data["sections"], read_project(path).sections, strict=True):
        blocks = entry_blocks(section, UnitSystem.US)
        shown = " ".join(cell for b in blocks for row in b.get("rows", ()) for cell in row)
        missing = {k for k in leaves(given) if k.replace("_", " ") not in shown}
        assert missing == set()


def test_values_carry_their_unit_and_say_whether_they_were_given() -> None:
    section = read_project(EXAMPLES[-1]).sections[0]
    anchor = dict(rows_of(section.anchors[0], UnitSystem.US))
    assert anchor["elevation"].endswith(" ft")
    assert anchor["tendon: kind"] in ("strand", "(strand)")
    assert anchor["tail length"] in ("(3.937 ft)", "4.000 ft")
    in_si = dict(rows_of(section.ground.strata[0], UnitSystem.SI))
    assert in_si["moist unit weight"].endswith("kN/m³")
