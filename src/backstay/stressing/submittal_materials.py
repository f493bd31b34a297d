"""Materials and sequence of a submittal: tendon by its mill certificate, grout, cover, order of work."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from backstay.basis import Factor
from backstay.checks import Check, Sense
from backstay.cite import GEC4, Citation, common_practice
from backstay.data.tendons import Bar, Strand, bar, strand
from backstay.model.submittal import MillCertificate, Submittal, SubmittedGrout
from backstay.quantity import QUANTITIES, Percent, SectionArea, SmallLength, SteelModulus
from backstay.stressing.submittal_anchors import Offered
from backstay.stressing.submittal_items import Item, Missing
from backstay.trace import Step, formula, trace

AREA_OFF = Factor(0.04, Citation("ASTM A416", "area over nominal area", "memory"))
MODULUS_OFF = Factor(
    0.05, common_practice("modulus within 5 % of the value that elongations were foreseen with")
)
GROUT_STRENGTH = Factor(
    21_000.0, common_practice("grout of 21 MPa (3,000 psi) or more before an anchor is stressed")
)
GROUT_OF_BOND = Factor(
    30_000.0, Citation("BS 8081:1989", "6.3, bond of the tendon in grout of 30 MPa", "memory")
)
GROUT_AGE = Factor(
    3.0, common_practice("grout cures three days or more before an anchor is stressed")
)
WATER_CEMENT = Factor(
    0.45, common_practice("water-cement ratio of 0.45 at most, neat cement grout")
)
COVER = Factor(
    0.0127, Citation(GEC4, "section 4.3, grout cover over an encapsulated tendon, 0.5 in", "memory")
)
FRESH = Factor(
    3.0, common_practice("no hole is drilled within 3 m (10 ft) of grout younger than a day")
)
_ACCEPTED = common_practice(
    "no lift is dug before every anchor above it is accepted and locked off"
)
_MILL = common_practice("a mill certificate for every heat of the tendon")


@formula("c_g", Citation("geometry", "", "formula"))
def grout_cover(d: SmallLength, d_s: SmallLength) -> SmallLength:
    """Grout cover over an encapsulated tendon in the middle of its hole.

    d: diameter of the drill hole; d_s: outside diameter of the encapsulation
    """
    return (d - d_s) / 2


@formula("r_A", Citation("definition", "deviation from the nominal value", "formula"))
def area_off(A_m: SectionArea, A: SectionArea) -> Percent:
    """Deviation of the area measured from the nominal one.

    A_m: area by the mill certificate; A: nominal area
    """
    return abs(A_m - A) / A


@formula("r_E", Citation("definition", "deviation from the nominal value", "formula"))
def modulus_off(E_m: SteelModulus, E: SteelModulus) -> Percent:
    """Deviation of the modulus measured from the one of the tables.

    E_m: modulus by the mill certificate; E: modulus of the tables
    """
    return abs(E_m - E) / E


def material_items(
    submittal: Submittal, offered: Sequence[Offered], life: Literal["temporary", "permanent"]
) -> tuple[list[Item], list[Missing]]:
    """Return the checks of tendon, grout and sequence, and what of them is not submitted yet."""
    items: list[Item] = []
    missing: list[Missing] = []
    paper = submittal.tendon.certificate
    if paper is None:
        what = "mill certificate of the tendon: area, modulus, strength"
        missing.append(Missing(what=what, by="before the tendon is placed", cite=_MILL))
    elif offered:
        items += _certificate(paper, _product(submittal))
    items += _cover(submittal)
    if submittal.grout is None:
        what = "grout: water-cement ratio, strength and age when the anchors are tested"
        missing.append(Missing(what=what, by="before drilling", cite=GROUT_STRENGTH.cite))
    else:
        items += _grout(submittal.grout)
    if submittal.protection == "class I" and submittal.tendon.sheath_diameter is None:
        what = "outside diameter of the encapsulation over the bond length"
        missing.append(Missing(what=what, by="before drilling", cite=COVER.cite))
    if life == "permanent" and submittal.head.draw_in is None:
        what = "draw-in expected at lock-off, from heads of this kind"
        cite = common_practice("draw-in as the maker of the head states it")
        missing.append(Missing(what=what, by="before the first test", cite=cite))
    if submittal.sequence is None:
        what = "sequence: what is dug when, and how far from fresh grout the next hole is drilled"
        missing.append(Missing(what=what, by="before drilling", cite=_ACCEPTED))
    else:
        items += _sequence(submittal)
    return items, missing


def _product(submittal: Submittal) -> Strand | Bar:
    """Return the product of the catalogue; that it is there is known once the anchor is designed."""
    tendon = submittal.tendon
    return strand(tendon.product) if tendon.kind == "strand" else bar(tendon.product)


def _certificate(paper: MillCertificate, product: Strand | Bar) -> list[Item]:
    with trace() as a:
        area = area_off(paper.area, product.area)
    with trace() as e:
        modulus = modulus_off(paper.modulus, product.modulus)
    note = f"certificate {paper.number}"
    strength = Check(
        "submittal.tendon-strength", "Strength by the mill certificate", paper.strength,
        product.strength, QUANTITIES["force"], Citation(product.standard, "breaking load", "published"),
        Sense.AT_LEAST, remedy="a tendon of the strength that the design counts on"
        if paper.strength < product.strength * (1 - 1e-9) else "", note=note,
    )  # fmt: skip
    return [
        Item(check=strength, weight="revise"),
        Item(
            check=_most(
                "submittal.tendon-area", "Area by the mill certificate, off the nominal one", area,
                AREA_OFF, a.steps, "elongations are worked out with the area measured: see that it is "
                "of this tendon", note,
            ), weight="note",
        ),
        Item(
            check=_most(
                "submittal.tendon-modulus", "Modulus by the mill certificate, off that of the tables",
                modulus, MODULUS_OFF, e.steps, "elongations and free lengths are worked out with the "
                "modulus certified: see how it was measured", note,
            ), weight="note",
        ),
    ]  # fmt: skip


def _most(
    id: str,
    name: str,
    value: float,
    limit: Factor,
    steps: tuple[Step, ...],
    remedy: str,
    note: str = "",
) -> Check:
    return Check(
        id, name, value, limit.value, QUANTITIES["percent"], limit.cite, steps=steps,
        remedy=remedy if value > limit.value * (1 + 1e-9) else "", note=note,
    )  # fmt: skip


def _cover(submittal: Submittal) -> list[Item]:
    sheath = submittal.tendon.sheath_diameter
    if sheath is None:
        return []
    with trace() as t:
        cover = grout_cover(submittal.bond.hole_diameter, sheath)
    check = Check(
        "submittal.grout-cover", "Grout cover over the encapsulation", cover, COVER.value,
        QUANTITIES["small length"], COVER.cite, Sense.AT_LEAST, steps=t.steps,
        remedy="a larger hole, and spacers that keep the tendon in its middle"
        if cover < COVER.value * (1 - 1e-9) else "", note="with spacers, in the middle of the hole",
    )  # fmt: skip
    return [Item(check=check, weight="revise")]


def _grout(grout: SubmittedGrout) -> list[Item]:
    small = grout.strength < GROUT_STRENGTH.value * (1 - 1e-9)
    low = grout.strength < GROUT_OF_BOND.value * (1 - 1e-9)
    wet = grout.water_cement > WATER_CEMENT.value * (1 + 1e-9)
    young = grout.age < GROUT_AGE.value * (1 - 1e-9)
    strength = QUANTITIES["strength"]
    return [
        Item(
            check=Check(
                "submittal.grout-strength", "Strength of the grout at the test", grout.strength,
                GROUT_STRENGTH.value, strength, GROUT_STRENGTH.cite, Sense.AT_LEAST,
                remedy="test later, or a grout that hardens sooner" if small else "",
            ), weight="revise",
        ),
        Item(
            check=Check(
                "submittal.grout-bond", "Strength of the grout that its bond with the tendon rests on",
                grout.strength, GROUT_OF_BOND.value, strength, GROUT_OF_BOND.cite, Sense.AT_LEAST,
                remedy="the bond between tendon and grout is counted for this strength: show cubes"
                if low else "",
            ), weight="note",
        ),
        Item(
            check=Check(
                "submittal.water-cement", "Water-cement ratio", grout.water_cement,
                WATER_CEMENT.value, QUANTITIES["ratio"], WATER_CEMENT.cite,
                remedy="less water; see that the grout does not bleed" if wet else "",
            ), weight="note",
        ),
        Item(
            check=Check(
                "submittal.grout-age", "Age of the grout at the test, days", grout.age,
                GROUT_AGE.value, QUANTITIES["count"], GROUT_AGE.cite, Sense.AT_LEAST,
                remedy="show by cubes that it has its strength so early" if young else "",
            ), weight="note",
        ),
    ]  # fmt: skip


def _sequence(submittal: Submittal) -> list[Item]:
    said = submittal.sequence
    if said is None:
        return []
    early = said.dig_below == "before acceptance"
    items = [
        Item(
            check=Check(
                "submittal.dig-below", "Lifts dug before the anchors above are accepted",
                1.0 if early else 0.0, 0.0, QUANTITIES["count"], _ACCEPTED,
                remedy="accept and lock off every anchor of a row before the next lift is dug"
                if early else "",
            ), weight="revise",
        )
    ]  # fmt: skip
    if said.fresh_distance is not None:
        near = said.fresh_distance < FRESH.value * (1 - 1e-9)
        items.append(
            Item(
                check=Check(
                    "submittal.fresh-grout", "Distance of a hole from grout younger than a day",
                    said.fresh_distance, FRESH.value, QUANTITIES["length"], FRESH.cite,
                    Sense.AT_LEAST, remedy="drill every second or third hole, and come back the next "
                    "day" if near else "",
                ), weight="note",
            )
        )  # fmt: skip
    return items
