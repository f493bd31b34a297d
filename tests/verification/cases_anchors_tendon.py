"""Tendons: catalogue, stress limits, elongation and what draw-in takes at lock-off."""

from __future__ import annotations

from math import pi

from backstay.anchors.lock_off import draw_in_loss, elongation, loss_share
from backstay.anchors.tendon import tendon_of
from backstay.basis import basis
from backstay.data import bar, strand
from tests.unit.anchors.example import anchors, check, section
from tests.verification.catalogue import Case

BASIS = basis("FHWA-IF-99-015")
KIP, IN2 = 4.4482216152605, 0.0254**2
SHEETS = "suppliers' and agency sheets on ground anchors: share of the guaranteed strength"


def _limit(name: str) -> float:
    anchor = anchors(section())[0]
    return float(check(anchor, name).capacity / anchor.tendon.strength)


LIMITS = tuple(
    Case(
        f"anchors.{name}", "anchors", f"Share of the guaranteed strength allowed, {words}", SHEETS,
        "published", "any tendon, allowable-stress basis", lambda n=name: _limit(n), value, 1e-12,
        "–", "a stated limit",
    )
    for name, words, value in (
        ("tendon-design-stress", "design load", 0.60),
        ("tendon-lock-off-stress", "lock-off", 0.70),
        ("tendon-test-stress", "test load", 0.80),
    )
)  # fmt: skip

STRANDS = tuple(
    case
    for name, area, strength, source in (
        ("ASTM 12.70", 98.7, 183.7, "ASTM A416 grade 270"),
        ("ASTM 15.24", 140.0, 260.7, "ASTM A416 grade 270"),
        ("Y1860S7 12.5", 93.0, 173.0, "EN 10138-3 Y1860S7"),
        ("Y1860S7 12.9", 100.0, 186.0, "EN 10138-3 Y1860S7"),
        ("Y1860S7 15.3", 140.0, 260.0, "EN 10138-3 Y1860S7"),
        ("Y1860S7 15.7", 150.0, 279.0, "EN 10138-3 Y1860S7"),
    )
    for case in (
        Case(
            f"anchors.tendon-of-seven-{name.lower().replace(' ', '-')}", "anchors",
            f"Guaranteed strength of a tendon of seven strands {name}", source, "published",
            f"seven strands of {strength} kN", lambda n=name: tendon_of(strand(n), 7).strength,
            7 * strength, 1e-9, "kN", "seven times the printed strength",
        ),
        Case(
            f"anchors.tendon-area-{name.lower().replace(' ', '-')}", "anchors",
            f"Area of a tendon of three strands {name}", source, "published",
            f"three strands of {area} mm2", lambda n=name: 1e6 * tendon_of(strand(n), 3).area,
            3 * area, 1e-9, "mm2", "three times the printed area",
        ),
    )
)  # fmt: skip

BARS = tuple(
    Case(
        f"anchors.tendon-bar-{name.replace(' ', '-').replace('/', '-')}", "anchors",
        f"Guaranteed strength over area of a {name} bar", "ASTM A722 grade 150", provenance,
        f"{area} in2, {strength} kip",
        lambda n=name: tendon_of(bar(n), 1).strength / tendon_of(bar(n), 1).area * IN2 / KIP,
        strength / area, 1e-9, "ksi", "quotient of the two printed numbers",
    )
    for name, area, strength, provenance in (
        ("1 in", 0.85, 127.5, "published"), ("1-1/4 in", 1.25, 187.5, "published"),
        ("1-3/8 in", 1.58, 237.0, "published"), ("2-1/2 in", 5.19, 778.0, "published"),
        ("1-3/4 in", 2.60, 400.0, "memory"), ("3 in", 6.85, 1027.0, "memory"),
    )
)  # fmt: skip

_A, _E = 140e-6, 195e6
LOSSES = tuple(
    case
    for length, loss, percent in (
        (4.5, 36.4, 23.3), (10.0, 16.4, 10.5), (15.0, 10.9, 7.0), (20.0, 8.2, 5.2), (30.0, 5.5, 3.5)
    )
    for case in (
        Case(
            f"anchors.draw-in-loss-{length:g}", "anchors",
            f"Load lost by 6 mm draw-in, one strand, free length {length:g} m", "Hooke's law", "formula",
            "140 mm2, 195 GPa, draw-in 6 mm", lambda x=length: draw_in_loss(_A, _E, 0.006, x), loss,
            0.055, "kN", "expected value rounded to 0.1 kN", absolute=True,
        ),
        Case(
            f"anchors.draw-in-share-{length:g}", "anchors",
            f"The same as a share of 0.6 of the strength, free length {length:g} m", "Hooke's law",
            "formula", "strength 260.7 kN",
            lambda x=length: 100 * loss_share(draw_in_loss(_A, _E, 0.006, x), 0.6 * 260.7), percent,
            0.055, "%", "expected value rounded to 0.1 %", absolute=True,
        ),
    )
)  # fmt: skip

CASES: tuple[Case, ...] = (
    *LIMITS,
    *STRANDS,
    *BARS,
    *LOSSES,
    Case(
        "anchors.elongation", "anchors", "Elongation of a three-strand tendon at test load",
        "Hooke's law", "formula",
        "3 strands of 140 mm2, free length 6 m, 598.5 kN from 45 kN, 195 GPa",
        lambda: 1e3 * elongation(598.5, 45.0, 6.0, 0.0, 3 * _A, _E), 40.55, 0.006, "mm",
        "expected value rounded to 0.01 mm", absolute=True,
    ),
    Case(
        "anchors.strand-strength-by-grade", "anchors", "Strength of a strand by area and grade",
        "EN 10138-3: 1860 MPa times the nominal area", "formula", "150 mm2, 15.7 mm",
        lambda: tendon_of(strand("Y1860S7 15.7"), 1).strength, 1860e3 * 150e-6, 0.005, "kN",
        "the standard rounds the force to 1 kN",
    ),
    Case(
        "anchors.bar-area-by-diameter", "anchors", "Area of a 1-1/4 in bar by its nominal diameter",
        "ASTM A722 type II: nominal diameter, deformations excluded", "formula", "1.25 in",
        lambda: tendon_of(bar("1-1/4 in"), 1).area / IN2, pi * 1.25**2 / 4, 0.025, "in2",
        "the nominal area is rounded up from that of the circle",
    ),
)  # fmt: skip
