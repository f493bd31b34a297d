"""Wrong units: numbers that are off what the procedure asks for by the ratio of two units.

A pressure in psi entered as kPa is off by 6.895, as bar by 14.5; an inch entered as a millimetre
by 25.4. The expectation is near enough (the load aimed at; the stretch of the tendon) to tell
these apart from any error of measurement, so they are named and refused, and never converted.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import median

from backstay.cite import common_practice
from backstay.stressing.dial_resets import greatest_elastic_change
from backstay.stressing.findings import Finding, FindingCode, refused
from backstay.stressing.jack import gauge_pressure
from backstay.stressing.record import TestRecord
from backstay.stressing.stays import Place, Point

_PSI, _BAR, _MPA = 6.894757293168361, 100.0, 1000.0
_KIP, _TON, _FT_TON = 4.4482216152605, 9.80665, 8.896443230521
PRESSURE_UNITS = {"psi": _PSI, "bar": _BAR, "MPa": _MPA, "kPa": 1.0}
LOAD_UNITS = {"kip": _KIP, "tonne": _TON, "short ton": _FT_TON, "MN": 1000.0, "N": 1e-3, "kN": 1.0}
MOVEMENT_UNITS = {"in": 0.0254, "mm": 0.001}
METRES = {"m": 1.0, "mm": 0.001}
_FACTORS = common_practice("a number off by the ratio of two units is in the wrong unit")
LOAD_MATCH = 0.12
"""Loads are steered to their target: a ratio of units is met within this share."""
LEAST_RATIO = 4.0
MOVEMENT_MATCH = 1.9
"""Movement is known within this factor: free length, bond length and slip."""


def mistaken(ratio: float, units: dict[str, float], match: float) -> tuple[str, str] | None:
    """Return (unit meant, unit entered) whose ratio explains a number over its expectation.

    match: a factor within which the ratio is met. Nil where the number needs no explanation, or
    none of the ratios explains it. Units within a factor of four of each other are not told apart:
    an anchor that gives way may well hold a half of its load.
    """
    if ratio <= 0.0 or 1.0 / match <= ratio <= match:
        return None
    best: tuple[float, tuple[str, str]] | None = None
    for meant, one in units.items():
        for entered, other in units.items():
            if 1.0 / LEAST_RATIO < other / one < LEAST_RATIO:
                continue
            off = ratio / (other / one)
            off = max(off, 1.0 / off)
            if off <= match and (best is None or off < best[0]):
                best = (off, (meant, entered))
    return best[1] if best else None


def unit_faults(
    record: TestRecord, placed: Sequence[Place], points: Sequence[Point]
) -> Iterator[Finding]:
    """Yield pressures, loads and movements that are in the wrong unit."""
    gauge, cell = [], []
    line = record.jack.calibration.line
    for reading, place in zip(record.readings, placed, strict=True):
        if place.step is None:
            continue
        aim = record.procedure.steps[place.step].load
        if aim <= record.procedure.alignment_load * (1.0 + 1e-6):
            continue
        if reading.gauge is not None:
            pressure = gauge_pressure(aim, *line)
            if pressure > 0.0:
                gauge.append((reading.number, reading.gauge / pressure))
        if reading.load is not None:
            cell.append((reading.number, reading.load / aim))
    match = 1.0 + LOAD_MATCH
    yield from _named("pressure unit", "gauge pressure", gauge, PRESSURE_UNITS, match)
    yield from _named("load unit", "load", cell, LOAD_UNITS, match)
    yield from _movement(record, placed, points)


def _named(
    code: FindingCode,
    what: str,
    ratios: Sequence[tuple[int, float]],
    units: dict[str, float],
    match: float,
) -> Iterator[Finding]:
    groups: dict[tuple[str, str], list[int]] = {}
    for number, ratio in ratios:
        pair = mistaken(ratio, units, match)
        if pair is not None:
            groups.setdefault(pair, []).append(number)
    for (meant, entered), numbers in groups.items():
        yield refused(
            code, f"the {what} fits the load aimed at if {meant} was read and {entered} entered",
            f"enter the {what} in its unit", *numbers, cite=_FACTORS,
        )  # fmt: skip


def _movement(
    record: TestRecord, placed: Sequence[Place], points: Sequence[Point]
) -> Iterator[Finding]:
    """Yield movements off the stretch of the tendon by a ratio of units, at every load alike."""
    anchor = record.anchor
    stretch = greatest_elastic_change(
        1.0, anchor.free_length, 0.25 * anchor.bond_length, anchor.jack_length, anchor.area,
        anchor.modulus,
    )  # fmt: skip
    ratios = []
    for point, place in zip(points, placed, strict=True):
        step = None if place.step is None else record.procedure.steps[place.step]
        change = point.load - points[0].load
        if step is None or not step.up or change <= 0.1 * record.procedure.test_load:
            continue
        ratios.append((point.number, point.movement / (stretch * change)))
    if len(ratios) < 2:
        return
    for units in (MOVEMENT_UNITS, METRES):
        pair = mistaken(median(r for _, r in ratios), units, MOVEMENT_MATCH)
        if pair is None or pair != mistaken(ratios[0][1], units, MOVEMENT_MATCH):
            continue
        yield refused(
            "movement unit", f"the movement fits the stretch of the tendon if {pair[0]} was read "
            f"and {pair[1]} entered", "enter the movement in its unit",
            *(number for number, _ in ratios), cite=_FACTORS,
        )  # fmt: skip
        return
