"""A basis of design: the factors and limits of one standard, each with its clause."""

from __future__ import annotations

from dataclasses import dataclass

from backstay.cite import Citation


@dataclass(frozen=True, slots=True)
class Factor:
    """One factor or limit (internal units) and the clause it comes from."""

    value: float
    cite: Citation


@dataclass(frozen=True, slots=True)
class Basis:
    """The factors and limits of one standard. Lengths in m, stresses in kPa, angles in rad."""

    id: str
    title: str
    tendon_design_stress: Factor
    tendon_lock_off_stress: Factor
    tendon_test_stress: Factor
    bond_safety_soil: Factor
    bond_safety_rock: Factor
    free_length_strand: Factor
    free_length_bar: Factor
    beyond_surface_length: Factor
    beyond_surface_share: Factor
    bond_length_least_soil: Factor
    bond_length_least_rock: Factor
    bond_length_useful: Factor
    bond_spacing_least: Factor
    bond_overburden_least: Factor
    inclination_least: Factor
    inclination_greatest: Factor
    grout_bond_tendon: Factor
    grout_bond_safety: Factor
    lock_off_loss_share: Factor
    apparent_total_factor: Factor
    steel_bending: Factor
    steel_bending_permanent: Factor
    steel_shear: Factor
    steel_axial: Factor
    steel_plate: Factor
    weld_stress: Factor
    toe_lateral_safety: Factor
    axial_safety: Factor
    basal_heave_safety: Factor
    basal_heave_safety_permanent: Factor
    piping_safety: Factor
    deep_sliding_safety: Factor
    overall_safety: Factor
    cantilever_safety: Factor
    lagging_overstress: Factor
