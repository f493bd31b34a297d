"""The compiled kernel of the staged analysis: where it is, and building it."""

from __future__ import annotations

from backstay.kernels import Kernel

KERNEL = Kernel(
    "staged analysis",
    "some ten seconds",
    "backstay.wall.staged",
    ("banded", "forces", "sums", "ground", "workspace", "equilibrium", "kernel"),
    ("run", "run_batch"),
)
kernel = KERNEL.load
kernel_is_built = KERNEL.is_built


def build_kernel() -> None:
    """Build (or load) the kernel of single analyses, by analysing the smallest wall there is."""
    from backstay.wall.staged.analysis import analyse
    from backstay.wall.staged.example import smallest

    analyse(smallest(), mesh_error="left out")
