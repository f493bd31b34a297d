"""The data of an anchor on its page: as designed, as built, and how it was tested."""

from __future__ import annotations

from collections.abc import Iterator

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.field.anchor_paper import AnchorPaper
from backstay.report.field.words import day, moment, short, source
from backstay.stressing.jack import Jack
from backstay.stressing.procedure import Procedure

Row = tuple[str, str]
_METHOD = {
    "held load": "load held, movement read", "lock-off": "locked off, load read (method 2)",
    "stepped load": "stepped load (method 3)",
}  # fmt: skip


def facts(paper: AnchorPaper, units: UnitSystem) -> list[dict[str, object]]:
    """Return the three columns of data."""
    return [
        {"title": "Asked for", "rows": list(_designed(paper, units))},
        {"title": "As built, and as judged", "rows": list(_built(paper, units))},
        {"title": "Tested", "rows": list(_tested(paper, units))},
    ]


def _of(name: str, value: float | None, units: UnitSystem) -> str:
    return "–" if value is None else QUANTITIES[name].text(value, units)


def _designed(paper: AnchorPaper, units: UnitSystem) -> Iterator[Row]:
    anchor, design = paper.record.anchor, paper.design
    yield "Design load", _of("force", anchor.design_load, units)
    yield "Lock-off load", _of("force", anchor.lock_off_load, units)
    if paper.changed and design is not None:
        less = design.design_load < anchor.design_load * (1 - 1e-9)
        loads = f"{_of('force', design.design_load, units)}, lock-off {_of('force', design.lock_off_load, units)}"
        yield "Down-rated since to" if less else "Design since", loads
        yield "Because", short(paper.changed[-1].reason, 60)
    if design is None:
        yield "Service", anchor.service
        return
    yield "Tendon", short(design.tendon, 40) or "–"
    yield "Free length", _of("length", design.free_length, units)
    bond = design.bond_length
    yield "Bond length", "by contractor" if bond is None else _of("length", bond, units)
    yield (
        "Hole, inclination",
        (
            f"{_of('small length', design.hole_diameter, units)}, {_of('angle', design.inclination, units)}"
        ),
    )
    yield "Service", design.service
    if design.tests:
        yield "Tests planned", ", ".join(design.tests)


def _built(paper: AnchorPaper, units: UnitSystem) -> Iterator[Row]:
    anchor, tendon = paper.record.anchor, paper.tendon
    area, modulus = QUANTITIES["section area"], QUANTITIES["steel modulus"]
    yield (
        "Tendon area, modulus",
        f"{area.text(anchor.area, units)}, {modulus.text(anchor.modulus, units)}",
    )
    yield "Strength", _of("force", anchor.strength, units)
    if tendon is not None:
        yield "Mill certificate", short(tendon.certificate, 34)
    yield (
        "Free, jack length",
        (f"{_of('length', anchor.free_length, units)}, {_of('length', anchor.jack_length, units)}"),
    )
    yield (
        "Bond, hole",
        (
            f"{_of('length', anchor.bond_length, units)}, {_of('small length', anchor.hole_diameter, units)}"
        ),
    )
    creeps = " (creeps)" if anchor.creeps else ""
    yield "Ground of bond", short(", ".join(anchor.ground), 44) + creeps if anchor.ground else "–"
    yield "Grouting", _grouting(paper)
    if paper.strengths:
        last = paper.strengths[-1]
        strength = QUANTITIES["strength"]
        values = ", ".join(strength.number(s, units) for s in last.strengths[:4])
        yield f"Grout, {last.age:g} days", f"{values} {strength.unit(units).label} ({last.shape})"


def _grouting(paper: AnchorPaper) -> str:
    anchor = paper.record.anchor
    words = short(anchor.grouting, 24) or "–"
    if anchor.regrouted:
        words += f", re-grouted {anchor.regrouted} ×"
    if paper.grouted:
        words += f", w/c {paper.grouted[0].water_cement:g}"
    return words


def _tested(paper: AnchorPaper, units: UnitSystem) -> Iterator[Row]:
    record = paper.record
    procedure, jack = record.procedure, record.jack
    number = f"test {paper.number}, " if paper.number else ""
    yield "Test", f"{number}{procedure.kind}, {procedure.rules} practice"
    if procedure.rules == "EN":
        yield "Method", _METHOD[procedure.method]
    yield "Loads", _loads(procedure, units)
    yield "Procedure", source(procedure.clause)
    yield "Jack, gauge", f"{short(jack.name, 20)}, {short(jack.gauge, 20)}"
    calibration = jack.calibration
    yield (
        "Certificate",
        (
            f"{short(calibration.certificate, 22)}, {day(calibration.on)} to {day(calibration.expires)}"
        ),
    )
    yield "Calibration", calibration_words(jack, units)
    yield "Tested", f"{moment(record.on)}, {short(record.by, 26) or 'by: –'}"


def _loads(procedure: Procedure, units: UnitSystem) -> str:
    force = QUANTITIES["force"]
    low, high = procedure.alignment_load, procedure.test_load
    cycles = "one cycle" if procedure.cycles == 1 else f"{procedure.cycles} cycles"
    return f"{force.number(low, units)} to {force.text(high, units)}, {cycles}"


def calibration_words(jack: Jack, units: UnitSystem) -> str:
    """Return the line of the certificate: ``kN = 1.00 + 1.180 × bar``."""
    force, pressure = QUANTITIES["force"], QUANTITIES["gauge pressure"]
    start = jack.calibration.load(0.0)
    one = pressure.internal(1.0, units)
    slope = jack.calibration.load(one) - start
    label, read = force.unit(units).label, pressure.unit(units).label
    sign = "−" if start < 0.0 else ""
    size = f"{sign}{abs(force.shown(start, units)):.2f}"
    return f"{label} = {size} + {force.shown(slope, units):.5g} × {read}"
