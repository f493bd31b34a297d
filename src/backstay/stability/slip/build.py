"""The compiled kernel of the method of slices: where it is, and building it."""

from __future__ import annotations

from backstay.kernels import Kernel

KERNEL = Kernel(
    "slip surfaces",
    "some fifteen seconds",
    "backstay.stability.slip",
    ("arrays", "surface", "slices", "forces", "methods", "scan", "thrust", "polyline", "kernel"),
    ("analyse", "lay", "weigh"),
)
kernel = KERNEL.load
kernel_is_built = KERNEL.is_built


def build_kernel() -> None:
    """Build (or load) the kernel by analysing the smallest slope there is."""
    import numpy as np

    from backstay.stability.slip.analysis import analyse_circle
    from backstay.stability.slip.model import SlipModel

    ground = np.array([(-9.0, 0.0), (0.0, 0.0), (5.0, 5.0), (20.0, 5.0)])
    one = np.ones(1)
    model = SlipModel(surface=ground, gamma=20.0 * one, phi=0.5 * one, c=10.0 * one)
    analyse_circle(model, (0.0, 8.0, 8.5))
