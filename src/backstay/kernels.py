"""Compiled kernels: loaded when first called, built once on a machine, one caller at a time.

Numba keeps compiled code beside the sources, or in the user's cache where the package cannot be
written, or in a folder of this process alone where neither can. It notices a change of the file that
holds a function, but not of a file that the function calls into: so a fingerprint of all the sources of
a kernel stands beside its code, which is thrown away when they change.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from threading import Lock
from typing import Any

ONE_CALLER = Lock()
"""Held around every call that runs in numba's threads, of whichever kernel: the plainest of its ways of
running threads, the one that needs nothing installed, admits one caller at a time."""
_STAMP = "kernel.sources"


@dataclass(frozen=True, slots=True)
class Kernel:
    """A kernel of compiled functions in the module `kernel` of a package.

    what: it is for; takes: time to build it; package: that holds it; sources: its modules; entries: the
    functions that the rest of Backstay calls, first the one that every design needs.
    """

    what: str
    takes: str
    package: str
    sources: tuple[str, ...]
    entries: tuple[str, ...]

    def load(self) -> Any:
        """Return the module; its functions are built, or load what is built, when they are called."""
        return _loaded(self)

    def is_built(self, entry: str | None = None) -> bool:
        """Say whether a function (the first entry, if none is named) is built and loads at once."""
        entry = self.entries[0] if entry is None else entry
        if entry not in self.entries:
            raise ValueError(f"no kernel {entry!r}; there are: {', '.join(self.entries)}")
        function = getattr(self.load(), entry)
        return bool(function.signatures) or bool(_index(function))

    @property
    def announcement(self) -> str:
        """Return what to tell the user before the kernel is built."""
        return f"Building the kernel of the {self.what}: once on this machine, {self.takes}."


@cache
def _loaded(kernel: Kernel) -> Any:
    # threads that wait for their share give the core back: by default they spin, and where other work
    # keeps the cores busy a search of many small batches takes three times as long
    os.environ.setdefault("OMP_WAIT_POLICY", "PASSIVE")
    name = f"{kernel.package}.kernel"
    try:
        module = import_module(name)
    except RuntimeError as error:  # numba found no folder that it may write to
        if "cache" not in str(error):
            raise
        import tempfile

        config: Any = import_module("numba.core.config")
        config.CACHE_DIR = tempfile.mkdtemp(prefix="backstay-kernel-")
        module = import_module(name)
    _discard_stale(kernel, module)
    return module


def _index(function: Any) -> dict[Any, Any]:
    """Return what is built of a function; empty where numba keeps it in another way."""
    file = getattr(getattr(function, "_cache", None), "_cache_file", None)
    load = getattr(file, "_load_index", None)
    return dict(load()) if load is not None else {}


def _discard_stale(kernel: Kernel, module: Any) -> None:
    """Throw away what was built of the sources if any of them has changed since."""
    saved = getattr(getattr(module, kernel.entries[0]), "_cache", None)
    if saved is None or getattr(saved, "cache_path", None) is None:
        return
    folder, sources = Path(saved.cache_path), Path(module.__file__).parent
    texts = ((sources / f"{name}.py").read_bytes() for name in kernel.sources)
    now = sha256(b"".join(texts)).hexdigest()
    stamp = folder / _STAMP
    if stamp.exists() and stamp.read_text() == now:
        return
    for name in kernel.sources:
        for built in folder.glob(f"{name}.*.nb[ci]"):
            built.unlink(missing_ok=True)
    folder.mkdir(parents=True, exist_ok=True)
    stamp.write_text(now)
