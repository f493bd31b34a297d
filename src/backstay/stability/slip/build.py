"""Loading the compiled kernel of the method of slices, and building it the first time.

As that of the staged analysis: numba's cache does not notice a change of a file that a function calls
into, so a fingerprint of all the sources stands beside it.
"""

from __future__ import annotations

import tempfile
from functools import cache
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from typing import Any

_SOURCES = ("arrays", "surface", "slices", "forces", "methods", "scan", "thrust", "kernel")
_STAMP = "kernel.sources"
_PACKAGE = "backstay.stability.slip"
ENTRIES = ("analyse", "circles_batch", "polylines_batch")
"""What the rest of Backstay calls: those that must be built."""


@cache
def kernel() -> Any:
    """Return the kernel's module; its functions compile, or load from the cache, when called."""
    try:
        module = import_module(f"{_PACKAGE}.kernel")
    except RuntimeError as error:  # numba found no folder that it may write to
        if "cache" not in str(error):
            raise
        config: Any = import_module("numba.core.config")
        config.CACHE_DIR = tempfile.mkdtemp(prefix="backstay-kernel-")
        module = import_module(f"{_PACKAGE}.kernel")
    _discard_stale()
    return module


def kernel_is_built(entry: str = "analyse") -> bool:
    """Say whether a kernel stands in the cache, so that it loads at once."""
    if entry not in ENTRIES:
        raise ValueError(f"no kernel {entry!r}; there are: {', '.join(ENTRIES)}")
    function = getattr(kernel(), entry)
    file = getattr(getattr(function, "_cache", None), "_cache_file", None)
    load = getattr(file, "_load_index", None)
    return bool(function.signatures) or (load is not None and bool(dict(load())))


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


def _discard_stale() -> None:
    """Empty the caches of all compiled functions if any source is not what they were built from."""
    saved = [
        function._cache
        for name in _SOURCES
        for function in vars(import_module(f"{_PACKAGE}.{name}")).values()
        if hasattr(function, "_cache") and hasattr(function, "py_func")
    ]
    folder = next((c.cache_path for c in saved if getattr(c, "cache_path", None)), None)
    if folder is None:
        return
    sources = Path(__file__).parent
    now = sha256(b"".join((sources / f"{name}.py").read_bytes() for name in _SOURCES)).hexdigest()
    stamp = Path(folder) / _STAMP
    if stamp.exists() and stamp.read_text() == now:
        return
    for each in saved:
        each.flush()
    stamp.write_text(now)
