"""Compiled kernels: built once, thrown away with their sources, side by side."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from backstay.kernels import Kernel

KERNEL = """
from numba import njit
from toy.inside import twice
@njit(cache=True)
def run(x):
    return twice(x)
"""
INSIDE = """
from numba import njit
@njit
def twice(x):
    return {} * x
"""
CALL = """
from backstay.kernels import Kernel
kernel = Kernel("toy", "a moment", "toy", ("inside", "kernel"), ("run",))
print(kernel.is_built(), kernel.load().run(1.0), kernel.is_built())
"""


BUILD = """
from toy.kernel import run
def build_kernel():
    run(1.0)
"""
PREPARE = """
from backstay.kernels import Kernel, prepare
kernels = [Kernel(name, "a moment", name, ("inside", "kernel"), ("run",)) for name in ("toy", "toy2", "toy3")]
prepare(kernels, print)
print([bool(one.load().run.signatures) for one in kernels], [one.is_built() for one in kernels])
prepare(kernels, print)
"""


def called(folder: Path, code: str = CALL) -> str:
    environment = {
        **os.environ,
        "PYTHONPATH": f"{folder}{os.pathsep}{os.environ.get('PYTHONPATH', '')}",
    }
    environment.pop("NUMBA_CACHE_DIR", None)
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment
    )
    return done.stdout.strip()


def test_what_is_built_stays_until_a_source_changes(tmp_path: Path) -> None:
    """Numba alone would not notice that a file which the kernel calls into has changed."""
    package = tmp_path / "toy"
    package.mkdir()
    (package / "__init__.py").touch()
    (package / "kernel.py").write_text(KERNEL)
    (package / "inside.py").write_text(INSIDE.format("2.0"))
    assert called(tmp_path) == "False 2.0 True"
    assert called(tmp_path) == "True 2.0 True"
    (package / "inside.py").write_text(INSIDE.format("3.0"))
    assert called(tmp_path) == "False 3.0 True"
    assert len(list((package / "__pycache__").glob("kernel.run-*.nbi"))) == 1


def test_what_a_kernel_is_for_is_told() -> None:
    toy = Kernel("toy", "a moment", "toy", ("kernel",), ("run",))
    assert toy.announcement == "Building the kernel of the toy: once on this machine, a moment."
    with pytest.raises(ValueError, match="there are: run"):
        toy.is_built("walk")


def package(folder: Path, name: str) -> None:
    """Write a package that holds a kernel."""
    (folder / name).mkdir()
    (folder / name / "__init__.py").touch()
    for file, text in (("kernel", KERNEL), ("inside", INSIDE.format("2.0")), ("build", BUILD)):
        (folder / name / f"{file}.py").write_text(text.replace("from toy.", f"from {name}."))


def test_kernels_are_built_side_by_side_and_once(tmp_path: Path) -> None:
    """All but the first are built by processes of their own: this one has not compiled them."""
    for name in ("toy", "toy2", "toy3"):
        package(tmp_path, name)
    assert called(tmp_path, PREPARE).splitlines() == [
        *(f"Building the kernel of the {n}: once on this machine, a moment." for n in ("toy", "toy2", "toy3")),
        "[True, False, False] [True, True, True]",
    ]  # fmt: skip


def test_a_kernel_that_cannot_be_built_apart_fails_where_it_is_called(tmp_path: Path) -> None:
    package(tmp_path, "toy")
    package(tmp_path, "toy2")
    package(tmp_path, "toy3")
    (tmp_path / "toy2" / "build.py").write_text("raise SystemExit(3)")
    once = PREPARE.rsplit("prepare", 1)[0]
    assert called(tmp_path, once).endswith("[True, False, False] [True, False, True]")
