"""The figure of the settlement trough behind the wall, with the buildings that stand in it."""

from __future__ import annotations

from backstay.design import SectionDesign
from backstay.drawing.lettering import CAP_HEIGHT, shortened
from backstay.quantity import QUANTITIES, UnitSystem, significant
from backstay.report.panels import SMALL, ticks
from backstay.report.svg import FAINT, INK, Anchor, Canvas, Point

_WIDTH, _HEIGHT = 500.0, 190.0
_LEFT, _RIGHT, _SURFACE, _FOOT = 46.0, 16.0, 62.0, 34.0


def settlement_figure(done: SectionDesign, units: UnitSystem) -> str:
    """Return the settlement trough: distance to scale, settlement drawn larger."""
    trough = done.movement.trough
    length, small = QUANTITIES["length"], QUANTITIES["small length"]
    buildings = done.section.buildings
    reach = max([x for x, _ in trough] + [b.far for b in buildings]) or 1.0
    deepest = max(s for _, s in trough) or 1e-3
    canvas = Canvas(_WIDTH, _HEIGHT)
    bottom = _HEIGHT - _FOOT

    def at(x: float, s: float) -> Point:
        across = _WIDTH - _LEFT - _RIGHT
        return _LEFT + x / reach * across, _SURFACE + s / deepest * (bottom - _SURFACE)

    canvas.area([at(0, 0), *(at(x, s) for x, s in trough), at(trough[-1][0], 0)])
    canvas.line([at(0, 0), at(reach, 0)], colour=FAINT, width=0.5)
    canvas.line([at(x, s) for x, s in trough], width=1.2)
    canvas.line([(_LEFT, _SURFACE - 14), (_LEFT, bottom + 4)], width=2.2)
    canvas.line([(_LEFT, bottom + 4), (_WIDTH - _RIGHT, bottom + 4)], width=0.5)
    for tick in ticks(0, length.shown(reach, units), 8):
        x, _ = at(length.internal(tick, units), 0)
        canvas.line([(x, bottom + 4), (x, bottom + 7)], width=0.5)
        canvas.text((x, bottom + 15), f"{tick:g}", size=SMALL, anchor="middle")
    for tick in ticks(0, small.shown(deepest, units), 5):
        x, y = at(0, small.internal(tick, units))
        canvas.line([(x - 5, y), (x, y)], width=0.5)
        canvas.text((x - 7, y + 2.5), f"{tick:g}", size=SMALL, anchor="end")
    canvas.text((4, 12), f"Settlement ({small.unit(units).label})", size=SMALL, bold=True)
    words = f"Distance behind the wall ({length.unit(units).label})"
    canvas.text((_WIDTH - 4, _HEIGHT - 5), words, size=SMALL, bold=True, anchor="end")
    for building in buildings:
        x1, x2 = at(building.near, 0)[0], at(building.far, 0)[0]
        roof = _SURFACE - 26
        canvas.line([(x1, _SURFACE), (x1, roof), (x2, roof), (x2, _SURFACE)], width=1.0)
        name = shortened(building.name, SMALL * CAP_HEIGHT, 200.0)
        middle = (x1 + x2) / 2
        sides: tuple[tuple[float, Anchor], ...] = ((middle, "middle"), (x1, "start"), (x2, "end"))
        places = [((x, roof - 4 - 8.5 * up), side) for up in range(3) for x, side in sides]
        canvas.label(places, name, size=SMALL)
    z, most = max(trough, key=lambda point: point[1])
    x, y = at(z, most)
    text = f"{significant(small.shown(most, units), 3)} {small.unit(units).label}"
    canvas.label([((x + 6, y + 2), "start"), ((x + 6, y - 6), "start")], text, colour=INK)
    return canvas.document("Ground settlement behind the wall")
