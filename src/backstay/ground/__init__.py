"""The ground: layers by depth, stresses, water.

Depth z is positive down from the top of wall. `profile(section)` makes the `Profile` of a design
section, which gives total stress, pore pressure and strength at any depth on either side of the
wall. Nothing here knows the wall's structure or the anchors.
"""

from backstay.ground.profile import GAMMA_W, Layer, Profile, Side, profile

__all__ = ["GAMMA_W", "Layer", "Profile", "Side", "profile"]
