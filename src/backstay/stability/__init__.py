"""Stability of the ground: the base of the cut.

Heave of a base in clay by the forms of Terzaghi and of Bjerrum and Eide with depth, shape and a
stiff layer below, and piping where water flows up in front of a continuous wall. Each gives a
check with the least factor of safety of the basis; where one does not apply, a note says why.

Nothing here knows anchors or the structure of the wall, only the depth of its toe.
"""

from backstay.stability.basal import BaseDesign, base_at, design_base

__all__ = ["BaseDesign", "base_at", "design_base"]
