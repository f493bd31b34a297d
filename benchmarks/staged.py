"""Time the staged analysis, as ratios taken in one run: LAPACK, a general library, batch, cold start.

Usage: python -m benchmarks.staged [--json] [--quick]

The machine may be shared: what is compared is timed in turns, once to a turn, and the least of many
turns counts.
"""

from __future__ import annotations

import ctypes
import json
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from numba import njit
from numba.extending import get_cython_function_address

from backstay.cores import at_most, cores
from backstay.wall.staged import analyse
from backstay.wall.staged.analysis import run
from backstay.wall.staged.batch import analyse_batch
from backstay.wall.staged.build import kernel
from backstay.wall.staged.result import Floats, StagedInput
from benchmarks.fresh import as_installed
from benchmarks.staged_general import GeneralWall
from benchmarks.staged_wall import two_rows

REALISATIONS = 10_000
DEMO = Path(__file__).resolve().parent.parent / "examples" / "two-row-sand.yaml"


def least(*works: Callable[[], object], turns: int = 30, calls: int = 1) -> list[float]:
    """Return the least time of each call (s), taken in turns after one to warm up.

    Called once to a turn, each finds in the cache what the others left there; of more calls to a turn the
    later ones find their own.
    """
    for work in works:
        work()
    best = [float("inf")] * len(works)
    for _ in range(turns):
        for i, work in enumerate(works):
            for _again in range(calls):
                start = time.perf_counter()
                work()
                best[i] = min(best[i], time.perf_counter() - start)
    return best


def beam_band(given: StagedInput) -> Floats:
    """Return the stiffness of the beam alone (2n, 4): row i, then how far left of the diagonal."""
    K = np.zeros((2 * len(given.z), 4))
    for e, (L, EI) in enumerate(zip(given.h, given.EI, strict=True)):
        a, b = EI / L**3 * np.array([12.0, 6.0 * L, 4.0 * L * L, 2.0 * L * L]), 2 * e
        K[b, 0] += a[0]
        K[b + 1, :2] += a[2], a[1]
        K[b + 2, :3] += a[0], -a[1], -a[0]
        K[b + 3] += a[2], -a[1], a[3], a[1]
    return K


def lapack(given: StagedInput, solves: int) -> tuple[Callable[[], object], Callable[[], object]]:
    """Return as many LAPACK solutions (dpbsv) of the beam on springs, and the copying alone.

    Called from compiled code: no Python between the calls. The matrix is factorised in place, so
    each solution starts with a copy, which is timed by itself and taken off. The lower triangle,
    which LAPACK does faster.
    """
    signature = ctypes.CFUNCTYPE(None, *[ctypes.c_void_p] * 9)
    dpbsv = signature(get_cython_function_address("scipy.linalg.cython_lapack", "dpbsv"))
    n = 2 * len(given.z)
    band = beam_band(given)
    band[::2, 0] += given.kh[0] * given.pile_width * given.h.mean()
    whole = np.zeros((n, 4))
    for j in range(4):
        whole[: n - j, j] = band[j:, j]
    load = np.linspace(1.0, 2.0, n)
    A, b = whole.copy(), load.copy()
    uplo = np.array([ord("L")], np.uint8)
    numbers = np.array([n, 3, 1, 4, n, 0], np.int32)

    @njit
    def solve(whole, load, A, b, uplo, numbers, times):
        for _ in range(times):
            A[:, :] = whole
            b[:] = load
            dpbsv(
                uplo.ctypes.data, numbers[0:].ctypes.data, numbers[1:].ctypes.data,
                numbers[2:].ctypes.data, A.ctypes.data, numbers[3:].ctypes.data, b.ctypes.data,
                numbers[4:].ctypes.data, numbers[5:].ctypes.data,
            )  # fmt: skip

    @njit
    def copy(whole, load, A, b, times):
        for _ in range(times):
            A[:, :] = whole
            b[:] = load

    solve(whole, load, A, b, uplo, numbers, 1)
    dense = np.zeros((n, n))
    for j in range(4):
        dense += np.diag(band[j:, j], -j) + (np.diag(band[j:, j], j) if j else 0.0)
    if numbers[5] != 0 or not np.allclose(dense @ b, load, rtol=1e-6):
        raise RuntimeError("LAPACK did not solve the beam")
    return (
        lambda: solve(whole, load, A, b, uplo, numbers, solves),
        lambda: copy(whole, load, A, b, solves),
    )


def single(turns: int) -> dict[str, Any]:
    """Compare one complete analysis with its pure solutions and with a general library."""
    given = two_rows()
    ran = run(given)
    solves = int(ran.count[0])
    w, T, general_solves = GeneralWall(given).run()
    pure, copying = lapack(given, solves)
    works: tuple[Callable[[], object], ...] = (
        lambda: run(given),
        lambda: analyse(given, mesh_error="left out"),
        pure,
        copying,
        lambda: GeneralWall(given).run(),
    )
    found: dict[str, Any] = {
        "nodes": len(given.z),
        "stages": given.stages,
        "solves": solves,
        "assemblies": int(ran.count[1]),
        "general_solves": general_solves,
        "difference_deflection": float(abs(w - ran.w[:, :, 0]).max() / abs(w).max()),
        "difference_support": float(abs(T - ran.T).max() / abs(T).max()),
    }
    for name, calls in (("once", 1), ("three times", 3)):
        ours, results, band, copy, general = least(*works, turns=turns, calls=calls)
        found[name] = {
            "analysis_ms": 1e3 * ours,
            "analysis_with_results_ms": 1e3 * results,
            "lapack_ms": 1e3 * (band - copy),
            "over_lapack": ours / (band - copy),
            "general_ms": 1e3 * general,
            "general_over_ours": general / ours,
        }
    return found


def realisations(number: int) -> dict[str, Any]:
    """Return random ground: what the timings of the batch run on."""
    rng = np.random.default_rng(7)
    return {
        "phi": np.radians(rng.normal(32.0, 2.0, number)),
        "wall_friction_ratio": 0.5,
        "gamma": rng.normal(18.0, 0.6, number),
        "kh_gradient": 6000.0 * np.exp(rng.normal(0.0, 0.3, number)),
        "a_lock": np.tile([400.0, 380.0], (number, 1)) * rng.normal(1.0, 0.05, (number, 1)),
        "load": rng.uniform(8.0, 16.0, number),
    }


def batch(given: StagedInput, number: int, most: int, turns: int) -> tuple[float, float]:
    """Return the least time of a batch, and the least it took of the processors together (s)."""
    arrays = realisations(number)
    wall = busy = float("inf")
    with at_most(most):
        analyse_batch(given, **arrays)
        for _ in range(turns):
            start, spent = time.perf_counter(), time.process_time()
            analyse_batch(given, **arrays)
            wall = min(wall, time.perf_counter() - start)
            busy = min(busy, time.process_time() - spent)
    return wall, busy


def scaling(turns: int, most: int) -> list[dict[str, Any]]:
    """Time batches over nodes, stages, realisations and cores."""
    machine = cores()
    rows = []

    def row(what: str, given: StagedInput, number: int, threads: int, repeats: int) -> None:
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        seconds, busy = batch(given, number, threads, repeats)
        rows.append({
            "varied": what, "nodes": len(given.z), "stages": given.stages, "realisations": number,
            "cores": threads, "seconds": seconds, "us_each": 1e6 * seconds / number,
            "cpu_us_each": 1e6 * busy / number,
            "peak_grows_MB": (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024,
        })  # fmt: skip

    batch(two_rows(), 8, machine, 1)
    for nodes in (101, 201, 401, 801):
        row("nodes", two_rows(nodes), 64, machine, turns)
    for stages in (4, 8, 16):
        row("stages", two_rows(stages=stages), 64, machine, turns)
    for threads in sorted({1, machine}):
        row("cores", two_rows(), 64, threads, turns)
    number = 100
    while number <= most:
        row("realisations", two_rows(), number, machine, max(2, turns * 64 // number))
        number *= 10
    return rows


def cold() -> dict[str, tuple[float, float]]:
    """Time fresh processes, with the kernel built and with an empty cache (s: by the clock, and busy)."""
    code = "from backstay.wall.staged import build_kernel; build_kernel()"
    bytecode = tempfile.TemporaryDirectory()
    environment = as_installed(bytecode.name)

    def fresh(text: str, *more: str) -> tuple[float, float]:
        before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        subprocess.run(
            [sys.executable, "-c", text, *more], check=True, env=environment, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )  # fmt: skip
        clock, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
        return clock, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

    def best(text: str, *more: str) -> tuple[float, float]:
        runs = [fresh(text, *more) for _ in range(5)]
        return min(a for a, _ in runs), min(b for _, b in runs)

    command = "import sys; from backstay.cli import main; sys.argv[0] = 'backstay'; main()"
    fresh(code)
    fresh(command, "check", str(DEMO))
    found = {
        "python with numpy": best("import numpy"),
        "one staged analysis, kernel built": best(code),
        "backstay check of the demo, kernel built": best(command, "check", str(DEMO)),
    }
    with tempfile.TemporaryDirectory() as folder:
        environment["NUMBA_CACHE_DIR"] = folder
        found["one staged analysis, empty cache (builds the kernel)"] = fresh(code)
        found["the same again"] = fresh(code)
        found["first batch after that (builds the batch kernel)"] = fresh(
            "from backstay.wall.staged.batch import analyse_batch\n"
            "from backstay.wall.staged.example import smallest\n"
            "analyse_batch(smallest())"
        )
    bytecode.cleanup()
    return found


def main(arguments: list[str] | None = None) -> int:
    """Print the tables."""
    arguments = sys.argv[1:] if arguments is None else arguments
    quick = "--quick" in arguments
    kernel()
    one = single(20 if quick else 200)
    table = scaling(3 if quick else 20, 1_000 if quick else REALISATIONS)
    starts = cold()
    if "--json" in arguments:
        print(json.dumps({"single": one, "scaling": table, "cold": starts}, indent=2))
        return 0
    print(f"One analysis: {one['nodes']} nodes, {one['stages']} stages, {one['solves']} solutions")
    print(f"  {'called in a turn':32} {'once':>9} {'3 times':>9}")
    for name, what in (
        ("analysis_ms", "the analysis (ms)"),
        ("analysis_with_results_ms", "with its result objects (ms)"),
        ("lapack_ms", "LAPACK's solutions alone (ms)"),
        ("general_ms", "general library (ms)"),
        ("over_lapack", "over LAPACK (at most 2)"),
        ("general_over_ours", "general over ours (at least 100)"),
    ):
        print(f"  {what:32} {one['once'][name]:9.3f} {one['three times'][name]:9.3f}")
    print(
        f"  deflections differ by {one['difference_deflection']:.1e}, supports by {one['difference_support']:.1e}"
    )
    print("Batch")
    print(
        f"  {'varied':13} {'nodes':>6} {'stages':>7} {'realis.':>8} {'cores':>6} {'s':>9} {'us each':>9} {'busy us':>9} {'MB':>6}"
    )
    for r in table:
        print(
            f"  {r['varied']:13} {r['nodes']:6d} {r['stages']:7d} {r['realisations']:8d} {r['cores']:6d} "
            f"{r['seconds']:9.4f} {r['us_each']:9.1f} {r['cpu_us_each']:9.1f} {r['peak_grows_MB']:6.1f}"
        )
    print(f"{'Fresh processes (s)':56} {'clock':>7} {'busy':>7}")
    for name, (clock, busy) in starts.items():
        print(f"  {name:54} {clock:7.2f} {busy:7.2f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
