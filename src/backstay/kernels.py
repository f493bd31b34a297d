"""Compiled kernels: loaded when first called, built once on a machine.

Numba keeps compiled code beside the sources, or in the user's cache where the package cannot be
written, or in a folder of this process alone where neither can. It notices a change of the file that
holds a function, but not of a file that the function calls into: so a fingerprint of all the sources of
a kernel stands beside its code, which is thrown away when they change.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from subprocess import DEVNULL, Popen
from typing import Any

_STAMP = "kernel.sources"
_HOW = Path(__file__).with_name("compiled.py")
"""What every kernel is compiled with."""


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

    def build(self) -> None:
        """Build (or load) what every design needs of it."""
        import_module(f"{self.package}.build").build_kernel()

    @property
    def announcement(self) -> str:
        """Return what to tell the user before the kernel is built."""
        return f"Building the kernel of the {self.what}: once on this machine, {self.takes}."


@cache
def _loaded(kernel: Kernel) -> Any:
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
    files = (_HOW, *(sources / f"{name}.py" for name in kernel.sources))
    now = sha256(b"".join(file.read_bytes() for file in files)).hexdigest()
    stamp = folder / _STAMP
    if stamp.exists() and stamp.read_text() == now:
        return
    for name in kernel.sources:
        for built in folder.glob(f"{name}.*.nb[ci]"):
            built.unlink(missing_ok=True)
    folder.mkdir(parents=True, exist_ok=True)
    stamp.write_text(now)


def prepare(kernels: Sequence[Kernel], say: Callable[[str], None]) -> None:
    """Build those of the kernels that are not built yet, side by side, and say so first.

    Compiling is work of one thread: so all but the first are built by a process of their own each. One
    that fails there is built, or fails with its reason, when it is called.
    """
    missing = [kernel for kernel in kernels if not kernel.is_built()]
    for kernel in missing:
        say(kernel.announcement)
    apart = [_built_apart(kernel) for kernel in missing[1:]]
    try:
        for kernel in missing[:1]:
            kernel.build()
        for process in apart:
            process.wait()
    finally:
        for process in apart:
            process.kill()
            process.wait()


def _built_apart(kernel: Kernel) -> Popen[bytes]:
    """Start a process that builds a kernel."""
    code = f"from {kernel.package}.build import build_kernel; build_kernel()"
    return Popen(  # noqa: S603 - our own interpreter, and nothing that was typed
        [sys.executable, "-P", "-c", code], stdin=DEVNULL, stdout=DEVNULL, stderr=DEVNULL
    )
