"""Movement of wall and ground, and what it does to the neighbours.

The wall's movement is the larger of what published experience gives for the kind of ground and
of the deflection of the cantilever stage. The ground settles in proportion, in a trough of a
published shape. Below each named building the steepest slope and the extension of the ground
give a tensile strain, and so a category of damage.

These are estimates for planning and for setting trigger values, not predictions: the readings on
site decide.
"""

from backstay.movement.building import BuildingEffect, damage_of
from backstay.movement.movement import MovementDesign, design_movement, movement_of
from backstay.movement.trough import TroughShape, trough_shape

__all__ = [
    "BuildingEffect",
    "MovementDesign",
    "TroughShape",
    "damage_of",
    "design_movement",
    "movement_of",
    "trough_shape",
]
