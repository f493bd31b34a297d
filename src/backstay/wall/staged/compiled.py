"""How the kernel's functions are compiled: one decorator for all of them.

Division by nil gives infinity, as in numpy, instead of a check before each; products and sums may be
fused and a division by the same number be made a product. Sums are never reordered and "not a
number" is kept: the kernel relies on both.
"""

from __future__ import annotations

from numba import njit

_LICENCE = {"contract", "arcp", "nsz"}
compiled = njit(cache=True, error_model="numpy", fastmath=_LICENCE)
compiled_parallel = njit(cache=True, error_model="numpy", fastmath=_LICENCE, parallel=True)
