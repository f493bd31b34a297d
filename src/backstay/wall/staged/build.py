"""Loading the compiled kernel, and building it the first time (once, about ten seconds).

Numba keeps compiled code beside the sources, or in the user's cache where the package cannot be
written, or in a folder of this process alone where neither can. It notices a change of the file
that holds a function, but not of a file that the function calls into: so a fingerprint of all the
sources stands beside the cache, which is emptied when they change.
"""

from __future__ import annotations

import tempfile
from functools import cache
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from typing import Any

_SOURCES = ("compiled", "banded", "forces", "sums", "ground", "workspace", "equilibrium", "kernel")
_STAMP = "kernel.sources"
_PACKAGE = "backstay.wall.staged"
ENTRIES = ("run", "run_batch")
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
    _discard_stale(module)
    return module


def kernel_is_built(entry: str = "run") -> bool:
    """Say whether a kernel ("run", or "run_batch") stands in the cache, so that it loads at once."""
    if entry not in ENTRIES:
        raise ValueError(f"no kernel {entry!r}; there are: {', '.join(ENTRIES)}")
    function = getattr(kernel(), entry)
    return bool(function.signatures) or bool(_index(function))


def build_kernel() -> None:
    """Build (or load) the kernel of single analyses, by analysing the smallest wall there is."""
    from backstay.wall.staged.analysis import analyse
    from backstay.wall.staged.example import smallest

    analyse(smallest(), mesh_error="left out")


def _index(function: Any) -> dict[Any, Any]:
    """Return what the cache of a function holds; empty where numba keeps it in another way."""
    file = getattr(getattr(function, "_cache", None), "_cache_file", None)
    load = getattr(file, "_load_index", None)
    return dict(load()) if load is not None else {}


def _discard_stale(module: Any) -> None:
    """Empty the caches of the kernel's functions if any source is not what they were built from."""
    saved = [
        function._cache
        for function in vars(module).values()
        if getattr(function, "__module__", "") == module.__name__ and hasattr(function, "_cache")
    ]
    folder = next((c.cache_path for c in saved if getattr(c, "cache_path", None)), None)
    if folder is None:
        return
    sources = Path(module.__file__).parent
    now = sha256(b"".join((sources / f"{name}.py").read_bytes() for name in _SOURCES)).hexdigest()
    stamp = Path(folder) / _STAMP
    if stamp.exists() and stamp.read_text() == now:
        return
    for each in saved:
        each.flush()
    stamp.write_text(now)
