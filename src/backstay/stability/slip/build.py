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

_SOURCES = ("arrays", "surface", "slices", "forces", "methods", "thrust", "kernel")
_STAMP = "kernel.sources"
_PACKAGE = "backstay.stability.slip"


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
