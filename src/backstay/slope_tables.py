"""Tables of a slope, as text in a unit system: strength, force, rows, schedule, slips."""

from __future__ import annotations

from math import isinf

from backstay.model.ground import UndrainedStrength
from backstay.model.slope import Slope
from backstay.quantity import UnitSystem
from backstay.slip_tables import KIND_WORDS, safety_words
from backstay.stability.slip.search_result import SearchResult
from backstay.stability.slope import friction_of
from backstay.stability.slope_design import SlopeDesign
from backstay.tables import Table, Writer, anchor_schedule_table


def slope_strata_table(slope: Slope, units: UnitSystem) -> Table:
    """Return the strata of a slope with their parameters as given."""
    w = Writer(units)
    rows = []
    for i, s in enumerate(slope.strata):
        su = s.undrained_strength
        at_top = su.at_top if isinstance(su, UndrainedStrength) else su
        gradient = su.gradient if isinstance(su, UndrainedStrength) else None
        top = "surface" if i == 0 else "a line" if s.top is None else w.fixed(s.top, "length", 2)
        rows.append(
            (
                s.name, top, s.kind, w.cell(s.moist_unit_weight, "unit weight"),
                w.cell(s.saturated_unit_weight, "unit weight"),
                w.cell(s.friction_angle, "angle", 3), w.cell(s.cohesion, "stress", 3),
                w.cell(at_top, "stress", 3), w.cell(gradient, "stress gradient", 3),
                w.cell(s.pore_pressure_ratio, "ratio", 2), s.slides,
            )
        )  # fmt: skip
    head = (
        "Stratum", w.head("Top, elev.", "length"), "Kind", w.head("γ moist", "unit weight"),
        w.head("γ sat.", "unit weight"), w.head("φ′", "angle"), w.head("c′", "stress"),
        w.head("su at top", "stress"), w.head("su gradient", "stress gradient"), "ru", "Slides",
    )  # fmt: skip
    return Table(
        "Strata",
        head,
        tuple(rows),
        "lrlrrrrrrrl",
        (2.2, 1, 1.4, 1.1, 1.1, 0.8, 1, 1.1, 1.2, 0.6, 0.8),
    )


def strength_table(done: SlopeDesign, units: UnitSystem) -> Table:
    """Return what each case says of the strength along the surface; the one carried is named."""
    w, c = Writer(units), done.cohesion
    rows = tuple(
        (
            locus.title + (", carried" if locus is done.carried else ""), f"{locus.safety:.3f}",
            w.fixed(friction_of(locus, c), "angle", 1),
            w.fixed(locus.pairs[0].phi, "angle", 1) if locus.pairs[0].c < 1e-9 else "–",
            w.cell(locus.most, "stress", 3),
        )
        for locus in done.loci
    )  # fmt: skip
    shown = w.cell(c, "stress", 3) if c else "0"
    stress = w.head("", "stress").strip(" ()")
    head = (
        "Case", "Safety as it stands", w.head(f"φ with c {shown} {stress}", "angle"),
        w.head("φ without c", "angle"), w.head("c without φ", "stress"),
    )  # fmt: skip
    return Table("Strength along the slip surface", head, rows, "lrrrr", (2.4, 1.4, 1.6, 1.2, 1.2))


def pairs_table(done: SlopeDesign, units: UnitSystem) -> Table:
    """Return pairs of cohesion and friction along each locus."""
    w = Writer(units)
    count = max(len(locus.pairs) for locus in done.loci)
    rows = []
    for locus in done.loci:
        cells = [f"{w.fixed(p.c, 'stress', 1)}; {w.fixed(p.phi, 'angle', 1)}" for p in locus.pairs]
        rows.append((locus.title, *cells, *[""] * (count - len(cells))))
    head = ("Case", *(str(i + 1) for i in range(count)))
    pair = f"c ({w.head('', 'stress').strip(' ()')}); φ ({w.head('', 'angle').strip(' ()')})"
    return Table(
        f"Pairs that explain the safety: {pair}", head, tuple(rows), "l" + "r" * count,
        (1.5, *[1.0] * count),
    )  # fmt: skip


def force_table(done: SlopeDesign, units: UnitSystem) -> Table:
    """Return the force of each case, and the safety with the anchors as designed."""
    w = Writer(units)
    rows = tuple(
        (
            case.title or "at rest", safety_words(case.bare.F), f"{case.target:.2f}",
            w.fixed(case.required.force, "force per length", 1), safety_words(case.tied.F),
        )
        for case in done.cases
    )  # fmt: skip
    head = (
        "Known surface", "F without anchors", "Target",
        w.head("Force needed", "force per length"), "F as designed",
    )  # fmt: skip
    return Table("Anchor force for the target", head, rows, "lrrrr", (1.6, 1.3, 0.9, 1.3, 1.2))


def inclinations_table(done: SlopeDesign, units: UnitSystem) -> Table:
    """Return the force over the range of inclinations."""
    w = Writer(units)
    rows = tuple(
        (w.fixed(f.inclination, "angle", 0),
         "no force does" if isinf(f.force) else w.fixed(f.force, "force per length", 1))
        for f in done.forces
    )  # fmt: skip
    head = (w.head("Inclination", "angle"), w.head("Force needed", "force per length"))
    return Table("Force by inclination", head, rows, "rr", (1, 1.4))


def rows_table(done: SlopeDesign, units: UnitSystem) -> Table:
    """Return the rows on the face, with what each carries and how far it reaches."""
    w = Writer(units)
    rows = tuple(
        (
            str(r.row), w.fixed(r.x, "length", 2), w.fixed(r.y, "length", 2),
            w.fixed(r.force, "force per length", 1), w.fixed(r.anchor.spacing, "length", 2),
            w.fixed(r.anchor.design_load, "force", 0), w.fixed(r.anchor.inclination, "angle", 0),
            w.fixed(r.anchor.surface_length, "length", 1),
            w.fixed(r.anchor.unbonded_length, "length", 1), r.anchor.unbonded_governing,
            w.fixed(r.anchor.bond_length, "length", 1),
        )
        for r in done.rows
    )  # fmt: skip
    head = (
        "Row", w.head("Head, x", "length"), w.head("Elev.", "length"),
        w.head("Force", "force per length"), w.head("Spacing", "length"),
        w.head("Load", "force"), w.head("Incl.", "angle"), w.head("To the surface", "length"),
        w.head("Unbonded", "length"), "Set by", w.head("Bond", "length"),
    )  # fmt: skip
    return Table("Rows", head, rows, "rrrrrrrrrlr", (0.6, 1, 1, 1, 1, 0.9, 0.8, 1.2, 1.2, 2.2, 0.8))


def slope_schedule_table(done: SlopeDesign, units: UnitSystem) -> Table:
    """Return the anchor schedule of the drawings, with the spacing along the slope."""
    anchors = tuple(row.anchor for row in done.rows)
    return anchor_schedule_table(anchors, done.schedule, units, spacing=True)


def slips_table(done: SlopeDesign, units: UnitSystem) -> Table | None:
    """Return what was found in each part of the face and around the rows; None where left out."""
    if done.slips is None:
        return None
    w = Writer(units)
    target = done.slope.slips_target or done.slope.target
    rows = [
        (
            part.title, *_found(part.found, w), f"{target:.2f}",
            "–" if part.lacks == 0.0 else w.cell(part.lacks, "force per length", 3),
        )
        for part in done.slips.parts
    ]  # fmt: skip
    for around in done.slips.around:
        title = "around all rows" if done.rows else "whole slope"
        name = f"{title}, {around.title}" if around.title else title
        rows.append((name, *_found(around.found, w), f"{around.target:.2f}", ""))
    head = (
        "Slips that come out", "Form", w.head("Thick", "length"), "Least F", "Target",
        w.head("Lacks", "force per length"),
    )  # fmt: skip
    return Table("Smaller slips, and slips around the rows", head, tuple(rows), "llrrrr",
                 (2.4, 1.6, 1, 1, 0.9, 1.1))  # fmt: skip


def _found(found: SearchResult, w: Writer) -> tuple[str, str, str]:
    least = found.critical
    if least is None:
        return ("none that counts", "–", "–")
    return (KIND_WORDS[least.kind], w.fixed(least.thickness, "length", 1), safety_words(least.F))
