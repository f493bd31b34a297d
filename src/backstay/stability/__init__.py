"""Stability of the ground: the anchored block behind the wall, and the base of the cut.

Deep sliding asks whether the anchors reach ground that stays: a block between the wall and the
middle of the bond is pulled until it slides, for each row and combination of rows. Heave of a base
in clay comes by the forms of Terzaghi and of Bjerrum and Eide with depth, shape and a stiff layer
below, and piping where water flows up in front of a continuous wall. Each gives a check with the
least factor of safety of the basis; where one does not apply, a note says why. A slope without a
wall is analysed back from its known surface and anchored to the target.

Of the wall only the depth of its toe and the embedment it needs are used, of the anchors their
place and their loads.
"""

from backstay.stability.basal import BaseDesign, base_at, design_base
from backstay.stability.deep_sliding import DeepSlidingDesign, design_deep_sliding

__all__ = [
    "BaseDesign",
    "DeepSlidingDesign",
    "base_at",
    "design_base",
    "design_deep_sliding",
]
