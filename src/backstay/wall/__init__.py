"""The wall: soldier pile, lagging, toe, vertical load, cantilever stage."""

from backstay.wall.actions import Actions, continuous_actions, hinge_actions
from backstay.wall.design import WallDesign
from backstay.wall.head import HeadConnection

__all__ = ["Actions", "HeadConnection", "WallDesign", "continuous_actions", "hinge_actions"]
