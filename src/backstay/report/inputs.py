"""The inputs of a section as the calculation prints them: everything a person decided."""

from __future__ import annotations

from backstay.design import SectionDesign
from backstay.model.project import Section
from backstay.model.sequence import construction_stages
from backstay.model.wall import SoldierPiles
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.derivation import Block
from backstay.report.entries import entry_blocks
from backstay.tables import strata_table, stress_table


def input_blocks(done: SectionDesign, units: UnitSystem) -> list[Block]:
    """Return the blocks of the inputs."""
    table = strata_table(done, units)
    blocks: list[Block] = [
        {"type": "table", "head": list(table.head), "rows": [list(r) for r in table.rows],
         "align": list(table.align)},
        {"type": "list", "items": [*_geometry(done, units), *_water(done, units), *_wall(done, units)]},
    ]  # fmt: skip
    stresses = stress_table(done, units)
    blocks += [
        {
            "type": "strong",
            "text": "Stresses beside the wall before anything moves, own weight and water",
        },
        {
            "type": "table",
            "head": list(stresses.head),
            "rows": [list(r) for r in stresses.rows],
            "align": list(stresses.align),
            "widths": list(stresses.weights),
        },
        {"type": "strong", "text": "Construction sequence"},
        {"type": "list", "items": stage_words(done.section, units)},
    ]
    blocks += entry_blocks(done.section, units)
    return blocks


def _text(value: float, name: str, units: UnitSystem) -> str:
    return QUANTITIES[name].text(value, units)


def _geometry(done: SectionDesign, units: UnitSystem) -> list[str]:
    section = done.section
    lines = [
        f"Top of wall at elevation {_text(section.ground.top, 'length', units)}, subgrade at "
        f"{_text(section.cut.subgrade, 'length', units)}: height of cut H = {_text(section.height, 'length', units)}.",
        f"Length of wall of this section {_text(section.wall_length, 'length', units)}.",
    ]
    if section.ground.slope:
        lines.append(f"Ground behind rises at {_text(section.ground.slope, 'angle', units)}.")
    if section.ground.profile:
        lines.append(f"Ground behind as surveyed ({len(section.ground.profile)} points).")
    if section.earthquake:
        quake = section.earthquake
        lines.append(f"Pseudo-static coefficients kh {quake.kh:g}, kv {quake.kv:g}.")
    return lines


def stage_words(section: Section, units: UnitSystem) -> list[str]:
    """Return the construction sequence in words, stage by stage."""
    lines = []
    for stage in construction_stages(section):
        parts = []
        if stage.dig_to is not None:
            parts.append(
                f"dig to elevation {_text(section.elevation(stage.dig_to), 'length', units)}"
            )
        if stage.stress_row is not None:
            parts.append(f"drill, grout, test and lock off row {stage.stress_row}")
        if stage.note:
            parts.append(stage.note)
        lines.append(f"Stage {stage.number}: {'; '.join(parts)}.")
    return lines


def _water(done: SectionDesign, units: UnitSystem) -> list[str]:
    water = done.section.ground.water
    lines = []
    if water.retained is None and not water.perched:
        return ["No water in reach of the wall."]
    if water.retained is not None:
        lines.append(
            f"Water behind the wall at elevation {_text(water.retained, 'length', units)}, {water.flow}."
        )
    if water.cut is not None:
        lines.append(f"Water in the cut at elevation {_text(water.cut, 'length', units)}.")
    lines += [
        f"Perched water at elevation {_text(p.level, 'length', units)} on ground at {_text(p.base, 'length', units)}."
        for p in water.perched
    ]
    return lines


def _wall(done: SectionDesign, units: UnitSystem) -> list[str]:
    wall = done.section.wall
    toe = "chosen by calculation" if wall.toe == "auto" else _text(wall.toe, "length", units)
    if not isinstance(wall, SoldierPiles):
        return [
            f"Continuous wall {wall.name}: EI {_text(wall.stiffness, 'bending stiffness per length', units)}, "
            f"S {_text(wall.section_modulus, 'section modulus per length', units)}, toe elevation {toe}."
        ]
    section = (
        "least weight of " + ", ".join(wall.family) if wall.section == "auto" else wall.section
    )
    hole = (
        f", hole {_text(wall.hole_diameter, 'length', units)} filled with {wall.hole_filling}"
        if wall.hole_diameter
        else ""
    )
    return [
        f"Soldier piles {section}, {wall.steel}, at {_text(wall.spacing, 'length', units)} centres, {wall.installation}{hole}; "
        f"toe elevation {toe}.",
        f"Lagging: {wall.lagging.material}, "
        + ("thickness chosen by calculation." if wall.lagging.thickness == "auto" else f"{_text(wall.lagging.thickness, 'small length', units)} thick."),
    ]  # fmt: skip
