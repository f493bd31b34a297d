"""Compiled kernels: built once, thrown away with their sources, one caller at a time."""

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


THREADS = """
from concurrent.futures import ThreadPoolExecutor
import numba
import numpy as np
from backstay.stability.slip import SlipModel, analyse_batch
from backstay.wall.staged import batch as staged
from backstay.wall.staged.example import smallest

one = np.ones(1)
ground = np.array([(-9.0, 0.0), (0.0, 0.0), (5.0, 5.0), (20.0, 5.0)])
slope = SlipModel(surface=ground, gamma=20.0 * one, phi=0.5 * one, c=10.0 * one)
circles, wall = np.tile([0.0, 8.0, 8.5], (200, 1)), smallest()
gamma = np.full((200, 1), wall.gamma[0])

def spread(work):
    return float(np.ptp(work()))

works = [
    lambda: analyse_batch(slope, circles).F,
    lambda: staged.analyse_batch(wall, gamma=gamma).deflection_max[:, -1],
]
for work in works:
    spread(work)
with ThreadPoolExecutor(4) as threads:
    found = list(threads.map(spread, works * 20))
print(numba.threading_layer(), max(found))
"""


def called(folder: Path) -> str:
    environment = {
        **os.environ,
        "PYTHONPATH": f"{folder}{os.pathsep}{os.environ.get('PYTHONPATH', '')}",
    }
    environment.pop("NUMBA_CACHE_DIR", None)
    done = subprocess.run(
        [sys.executable, "-c", CALL], capture_output=True, text=True, check=True, env=environment
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


def test_two_kernels_may_be_called_from_two_threads() -> None:
    """The plainest of numba's ways of running threads ends the process if two kernels use it at once."""
    done = subprocess.run(
        [sys.executable, "-c", THREADS], capture_output=True, text=True, check=False,
        env={**os.environ, "NUMBA_THREADING_LAYER": "workqueue", "NUMBA_NUM_THREADS": "2"},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    layer, most = done.stdout.split()
    assert layer == "workqueue"
    assert float(most) < 1e-12


BUSY = """
import time
from backstay.stability.slip import SlipModel, analyse_batch
import numpy as np

one = np.ones(1)
ground = np.array([(-9.0, 0.0), (0.0, 0.0), (5.0, 5.0), (20.0, 5.0)])
slope = SlipModel(surface=ground, gamma=20.0 * one, phi=0.5 * one, c=10.0 * one)
circles = np.tile([0.0, 8.0, 8.5], (20, 1))
analyse_batch(slope, circles)
before = time.process_time()
for _ in range(20):
    analyse_batch(slope, circles)
    time.sleep(0.01)
print(time.process_time() - before)
"""


def test_threads_that_wait_do_not_spin() -> None:
    """Between batches the cores are left to others, unless the user has asked for something else."""
    spent = {}
    for asked in (None, "ACTIVE"):
        environment = {**os.environ, "NUMBA_THREADING_LAYER": "omp", "NUMBA_NUM_THREADS": "2"}
        environment.pop("OMP_WAIT_POLICY", None)
        if asked:
            environment["OMP_WAIT_POLICY"] = asked
        done = subprocess.run(
            [sys.executable, "-c", BUSY], capture_output=True, text=True, check=False, env=environment
        )  # fmt: skip
        if "omp" in done.stderr and done.returncode:
            pytest.skip("no OpenMP here")
        assert done.returncode == 0, done.stderr
        spent[asked] = float(done.stdout)
    assert spent[None] < 0.5 * spent["ACTIVE"]
