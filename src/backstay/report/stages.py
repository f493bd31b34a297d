"""The figure of the construction sequence: the section at each stage, small and to one scale."""

from __future__ import annotations

from math import ceil

from backstay.design import SectionDesign
from backstay.drawing.lettering import CAP_HEIGHT, wrapped
from backstay.model.sequence import Stage, construction_stages
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.svg import ACCENT, FAINT, FILL, INK, Canvas, Point

_WIDTH = 500.0
_ACROSS = 5
_TITLE = 7.0
_LINES = 3
_HEAD = 9.0 + 8.0 * _LINES
_GAP = 10.0
_FRONT = 0.3
"""Width shown in front of the wall, over the height of the cut."""


def stages_figure(done: SectionDesign, units: UnitSystem) -> str:
    """Return the section at each stage: dug so far, rows stressed so far, the new row in accent."""
    stages = construction_stages(done.section)
    across = max(2, ceil(len(stages) / ceil(len(stages) / _ACROSS)))
    width = (_WIDTH - _GAP * (across - 1)) / across
    front = _FRONT * done.ground.H
    behind = max([a.bond_end[0] for a in done.anchors] + [0.6 * done.ground.H])
    deep = max([a.bond_end[1] for a in done.anchors] + [done.wall.toe]) + 0.05 * done.ground.H
    scale = min(width / (front + behind), 150.0 / deep)
    height = deep * scale + _HEAD + _GAP
    canvas = Canvas(_WIDTH, height * ceil(len(stages) / across))
    dug = 0.0
    stressed: set[int] = set()
    for i, stage in enumerate(stages):
        dug = max(dug, stage.dig_to or 0.0)
        left, top = (i % across) * (width + _GAP), (i // across) * height
        words = f"Stage {stage.number}: {_words(stage, done, units)}"
        lines = wrapped(words, _TITLE * CAP_HEIGHT, width - 2)
        for k, line in enumerate(lines[:_LINES]):
            canvas.text((left, top + 9 + 8 * k), line, size=_TITLE)
        wall = left + front * scale
        surface = top + _HEAD

        def at(x: float, z: float, wall: float = wall, surface: float = surface) -> Point:
            return wall + x * scale, surface + z * scale

        canvas.area([at(0, 0), at(behind, 0), at(behind, deep), at(0, deep)])
        canvas.area([at(-front, dug), at(0, dug), at(0, deep), at(-front, deep)], fill=FILL)
        canvas.line([at(0, 0), at(behind, 0)], width=0.7)
        canvas.line([at(-front, dug), at(0, dug)], width=0.7)
        if dug < done.ground.H - 1e-9:
            canvas.line(
                [at(-front, done.ground.H), at(0, done.ground.H)],
                colour=FAINT, width=0.5, dash="2 2",
            )  # fmt: skip
        canvas.line([at(0, 0), at(0, done.wall.toe)], width=1.8)
        if stage.stress_row is not None:
            stressed.add(stage.stress_row)
        for anchor in (a for a in done.anchors if a.row in stressed):
            colour = ACCENT if anchor.row == stage.stress_row else INK
            canvas.line([at(*anchor.head), at(*anchor.free_end)], width=0.7, colour=colour)
            canvas.line([at(*anchor.free_end), at(*anchor.bond_end)], width=2.4, colour=colour)
    return canvas.document("Construction stages")


def _words(stage: Stage, done: SectionDesign, units: UnitSystem) -> str:
    parts: list[str] = []
    if stage.dig_to is not None:
        level = QUANTITIES["length"].text(done.section.elevation(stage.dig_to), units)
        parts.append(f"dig to elevation {level}")
    if stage.stress_row is not None:
        parts.append(f"stress row {stage.stress_row}")
    if stage.note:
        parts.append(stage.note)
    return "; ".join(parts)
