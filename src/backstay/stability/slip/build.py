"""The compiled kernel of the method of slices: where it is, and building it."""

from __future__ import annotations

from backstay.kernels import Kernel

ENTRIES = ("analyse", "circles_batch", "polylines_batch")
"""What the rest of Backstay calls: those that must be built."""
KERNEL = Kernel(
    "slip surfaces",
    "some twenty seconds",
    "backstay.stability.slip",
    ("arrays", "surface", "slices", "forces", "methods", "scan", "thrust", "kernel"),
    ENTRIES,
)
kernel = KERNEL.load
kernel_is_built = KERNEL.is_built


def build_kernel() -> None:
    """Build (or load) the kernels, single and in batch, by analysing the smallest slope there is."""
    import numpy as np

    from backstay.stability.slip.analysis import analyse_batch, analyse_circle, analyse_surfaces
    from backstay.stability.slip.model import SlipModel

    ground = np.array([(-9.0, 0.0), (0.0, 0.0), (5.0, 5.0), (20.0, 5.0)])
    one = np.ones(1)
    model = SlipModel(surface=ground, gamma=20.0 * one, phi=0.5 * one, c=10.0 * one)
    analyse_circle(model, (0.0, 8.0, 8.5))
    analyse_batch(model, [(0.0, 8.0, 8.5)])
    analyse_surfaces(model, [[(0.0, 0.0), (8.0, 5.0)]])
