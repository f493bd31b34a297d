"""What a row lacks to reach ground that stays is the first thing that the schedule says."""

from __future__ import annotations

from backstay.basis import basis
from backstay.checks import expand
from backstay.design import design_section
from backstay.model.reading import read_project
from backstay.quantity import UnitSystem
from tests.unit.drawing.standin import EXAMPLES


def test_a_row_that_is_too_short_is_scheduled_with_the_length_it_needs() -> None:
    project = read_project(EXAMPLES / "two-row-sand.yaml")
    rules = basis(project.basis)
    section = project.sections[0]
    held = design_section(section, project.service, rules, "leave out")
    assert not [n for n in held.schedule.notes if "too short" in n]
    rows = tuple(row.model_copy(update={"unbonded_length": 4.6}) for row in section.anchors)
    short = design_section(
        section.model_copy(update={"anchors": rows}), project.service, rules, "leave out"
    )
    more = short.deep_sliding.lengthened
    assert more is not None
    said = [n for n in short.schedule.notes if "too short" in n]
    lacking = {row: added for row, added in more.added.items() if added > 0.0}
    assert len(said) == len(lacking) >= 1
    assert short.schedule.notes[: len(said)] == tuple(said)
    for note, (row, added) in zip(said, sorted(lacking.items()), strict=True):
        assert note.startswith(f"Row {row} ")
        assert f"{{length:{4.6 + added:.6g}}} at least" in note
        assert "{" not in expand(note, UnitSystem.US)
