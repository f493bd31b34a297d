"""Pressure on the wall: coefficients, the general wedge, design envelopes, surcharges, water.

The coefficients of plane surfaces (Rankine, Coulomb, at rest, Mononobe-Okabe) are formulas; those
of rough walls are integrated from the plasticity equations, with a log spiral beside them. The
general active wedge serves layers, sloping ground, water and loads. From these come the apparent
pressure envelopes that anchored walls are designed for, and `design_pressures` adds to the one
that governs the net water, each surcharge and the earthquake increment, every one a `Diagram` of
its own. Depths in m below the top of wall, pressures in kPa, positive toward the cut. Nothing here
knows of anchors' capacity or of the wall's structure.
"""

from backstay.pressure.at_rest import at_rest_normal, at_rest_overconsolidated
from backstay.pressure.averages import average_friction, average_strength, average_unit_weight
from backstay.pressure.coulomb import coulomb_active, coulomb_passive
from backstay.pressure.design import DesignPressures, design_pressures
from backstay.pressure.diagram import Diagram, total
from backstay.pressure.earthquake import seismic_active, seismic_angle, seismic_passive
from backstay.pressure.envelopes import Envelope, choose_envelope, soft_shape, trapezoid
from backstay.pressure.lateral import (
    active_pressure,
    limit_diagram,
    passive_pressure,
)
from backstay.pressure.logspiral import log_spiral_passive
from backstay.pressure.plasticity import active_coefficient, passive_coefficient
from backstay.pressure.rankine import (
    rankine_active,
    rankine_active_sloping,
    rankine_passive,
    rankine_passive_sloping,
)
from backstay.pressure.stability_number import StabilityNumber, find_stability_number
from backstay.pressure.stresses import StressPoint, stress_points
from backstay.pressure.surcharge import surcharge_diagram
from backstay.pressure.water import WaterState, critical_gradient, mean_gradient, net_water_diagram
from backstay.pressure.wedge import ActiveWedge, PassiveWedge, active_wedge, passive_wedge
from backstay.pressure.weightless import (
    cohesion_passive_coefficient,
    surcharge_passive_coefficient,
)

__all__ = [
    "ActiveWedge",
    "DesignPressures",
    "Diagram",
    "Envelope",
    "PassiveWedge",
    "StabilityNumber",
    "StressPoint",
    "WaterState",
    "active_coefficient",
    "active_pressure",
    "active_wedge",
    "at_rest_normal",
    "at_rest_overconsolidated",
    "average_friction",
    "average_strength",
    "average_unit_weight",
    "choose_envelope",
    "cohesion_passive_coefficient",
    "coulomb_active",
    "coulomb_passive",
    "critical_gradient",
    "design_pressures",
    "find_stability_number",
    "limit_diagram",
    "log_spiral_passive",
    "mean_gradient",
    "net_water_diagram",
    "passive_coefficient",
    "passive_pressure",
    "passive_wedge",
    "rankine_active",
    "rankine_active_sloping",
    "rankine_passive",
    "rankine_passive_sloping",
    "seismic_active",
    "seismic_angle",
    "seismic_passive",
    "soft_shape",
    "stress_points",
    "surcharge_diagram",
    "surcharge_passive_coefficient",
    "total",
    "trapezoid",
]
