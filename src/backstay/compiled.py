"""How the functions of the kernels are compiled: a decorator for each kind.

Division by nil gives infinity, as in numpy, instead of a check before each; products and sums may be
fused and a division by the same number be made a product. Sums are never reordered and "not a
number" is kept, but in the functions of `compiled_sum`: the kernel relies on both elsewhere.

A loop over many arrays works on several elements at once only where the compiler knows that what it
writes is not what it reads next. `compiled_apart` and `compiled_sum` promise that: an array that is
written must not overlap any other argument.

References to arrays are counted where arrays are made, in the functions of `compiled_owner`; all others
work on what they are lent, and must not hand an array to one that counts. Functions of `compiled_entry`
and `compiled_owner` are what Python calls: only they are kept on disk, with all that they call, and they
let other threads run meanwhile.
"""

from __future__ import annotations

from typing import Any

from numba import njit
from numba.core.compiler import Compiler


class _Apart(Compiler):
    """Numba's own compiler, told that arguments do not overlap."""

    def __init__(self, *arguments: Any) -> None:
        super().__init__(*arguments)  # type: ignore[no-untyped-call]
        self.state.flags.noalias = True


_LICENCE = {"contract", "arcp", "nsz"}
_ANY_ORDER = {*_LICENCE, "reassoc", "nnan"}
_HOW: dict[str, Any] = {"error_model": "numpy"}
_LENT: dict[str, Any] = {
    "_nrt": False,
    "no_cpython_wrapper": True,
    "no_cfunc_wrapper": True,
    **_HOW,
}
_CALLED: dict[str, Any] = {"cache": True, "nogil": True, **_HOW}
_CALLED_LENT: dict[str, Any] = {"_nrt": False, **_CALLED}

compiled = njit(fastmath=_LICENCE, **_LENT)
compiled_inside = njit(fastmath=_LICENCE, forceinline=True, **_LENT)
compiled_apart = njit(fastmath=_LICENCE, forceinline=True, pipeline_class=_Apart, **_LENT)
compiled_sum = njit(fastmath=_ANY_ORDER, forceinline=True, pipeline_class=_Apart, **_LENT)
compiled_entry = njit(fastmath=_LICENCE, **_CALLED_LENT)
compiled_owner = njit(fastmath=_LICENCE, **_CALLED)
