"""The wall: soldier piles and lagging, or a continuous wall, from the pressures that act on it.

`design_wall` finds moments and shears by the published closed form and as a continuous beam;
verifies the pile, or chooses the lightest that passes, in bending, shear, axial load with
bending, and where it is cut for a tendon; sizes or checks the lagging; carries the reaction at
subgrade and the vertical load into the ground below, with the cantilever stage before the first
row is stressed, by one embedment; and sizes the anchor head by statics. The result is a
`WallDesign`: per pile, or per metre of a continuous wall. Shears and moments of the wall are per
metre; the moment is positive where the side of the cut is in tension.
"""

from backstay.wall.actions import Actions, continuous_actions, hinge_actions
from backstay.wall.cantilever import CantileverStage, cantilever_stage
from backstay.wall.design import design_wall
from backstay.wall.head import HeadConnection, design_head
from backstay.wall.lagging import LaggingDesign, design_lagging
from backstay.wall.member import Member, Steel, member_strength
from backstay.wall.pile import PileDemand, PileRules, lightest_pile, verify_pile
from backstay.wall.result import WallDesign
from backstay.wall.toe import ToeDesign, design_toe
from backstay.wall.vertical import VerticalDesign, design_vertical

__all__ = [
    "Actions",
    "CantileverStage",
    "HeadConnection",
    "LaggingDesign",
    "Member",
    "PileDemand",
    "PileRules",
    "Steel",
    "ToeDesign",
    "VerticalDesign",
    "WallDesign",
    "cantilever_stage",
    "continuous_actions",
    "design_head",
    "design_lagging",
    "design_toe",
    "design_vertical",
    "design_wall",
    "hinge_actions",
    "lightest_pile",
    "member_strength",
    "verify_pile",
]
