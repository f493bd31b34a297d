"""Allowable-stress basis of FHWA-IF-99-015 (Ground Anchors and Anchored Systems, 1999).

Values marked "memory" are recalled from that document and were not re-read.
"""

from __future__ import annotations

from backstay.basis.basis import Basis, Factor
from backstay.cite import AASHTO, AISC360, GEC4, Citation, common_practice


def _gec4(value: float, clause: str) -> Factor:
    return Factor(value, Citation(GEC4, clause, "memory"))


GEC4_BASIS = Basis(
    id="FHWA-IF-99-015",
    title="Allowable stress, FHWA-IF-99-015 (Geotechnical Engineering Circular No. 4, 1999)",
    tendon_design_stress=Factor(
        0.60, Citation(GEC4, "section 5.3, tendon stress limits", "published")
    ),
    tendon_lock_off_stress=Factor(
        0.70, Citation(GEC4, "section 5.3, tendon stress limits", "published")
    ),
    tendon_test_stress=Factor(
        0.80, Citation(GEC4, "section 5.3, tendon stress limits", "published")
    ),
    bond_safety_soil=_gec4(2.0, "section 5.3, bond length"),
    bond_safety_rock=_gec4(3.0, "section 5.3, bond length"),
    free_length_strand=Factor(4.5, Citation(GEC4, "section 5.3, unbonded length", "published")),
    free_length_bar=Factor(3.0, Citation(GEC4, "section 5.3, unbonded length", "published")),
    beyond_surface_length=Factor(1.5, Citation(GEC4, "p. 65", "published")),
    beyond_surface_share=Factor(0.2, Citation(GEC4, "p. 65", "published")),
    bond_length_least_soil=_gec4(4.5, "section 5.3, bond length"),
    bond_length_least_rock=_gec4(3.0, "section 5.3, bond length"),
    bond_length_useful=_gec4(12.0, "section 5.3, bond length"),
    bond_spacing_least=_gec4(1.2, "section 5.3, anchor spacing"),
    bond_overburden_least=_gec4(4.5, "section 5.3, overburden"),
    inclination_least=_gec4(0.17453292519943295, "section 5.3, inclination"),
    inclination_greatest=_gec4(0.7853981633974483, "section 5.3, inclination"),
    grout_bond_tendon=Factor(
        2000.0,
        Citation("BS 8081:1989", "6.3, strand or deformed bar in grout of 30 MPa", "memory"),
    ),
    grout_bond_safety=Factor(3.0, Citation("BS 8081:1989", "table 2, grout/tendon", "memory")),
    lock_off_loss_share=Factor(
        0.15, common_practice("draw-in loss up to which lock-off is held to be controllable")
    ),
    apparent_total_factor=_gec4(1.3, "section 5.2, apparent earth pressure: 0.65 over 0.50"),
    steel_bending=Factor(
        0.66, Citation(GEC4, "section 5.4, allowable stress, temporary: 0.66 Fy", "memory")
    ),
    steel_bending_permanent=Factor(
        0.55, Citation(GEC4, "section 5.4, allowable stress, permanent: 0.55 Fy", "memory")
    ),
    steel_shear=Factor(0.40, Citation("AISC ASD 9th ed.", "F4: 0.40 Fy", "memory")),
    steel_axial=Factor(
        0.50, common_practice("axial stress of a braced pile in ground, share of Fy")
    ),
    steel_plate=Factor(
        0.75,
        Citation("AISC ASD 9th ed.", "F2.1: solid plates about the weak axis 0.75 Fy", "memory"),
    ),
    weld_stress=Factor(0.30, Citation(AISC360, "table J2.5, 0.60 F_EXX / 2.00", "memory")),
    toe_lateral_safety=_gec4(1.5, "section 5.5, lateral toe capacity"),
    axial_safety=_gec4(2.5, "section 5.6, drilled-in soldier piles in sand and clay"),
    basal_heave_safety=_gec4(1.5, "section 5.8, basal stability, temporary"),
    basal_heave_safety_permanent=_gec4(2.5, "section 5.8, basal stability, permanent"),
    piping_safety=Factor(1.5, common_practice("factor of safety against piping")),
    deep_sliding_safety=Factor(
        1.5,
        Citation("Ranke and Ostermayer 1968", "safety on the lower failure plane", "memory"),
    ),
    overall_safety=Factor(
        1.3, Citation(GEC4, "section 5.7, overall stability, target factor of safety", "memory")
    ),
    cantilever_safety=Factor(1.5, common_practice("factor on passive pressure, cantilever stage")),
    lagging_overstress=Factor(1.0, Citation(AASHTO, "11.8.6 and common practice", "memory")),
)
