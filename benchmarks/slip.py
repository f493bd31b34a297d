"""Time the method of slices: circles and slices in batch, against plain numpy in the same run.

Usage: python -m benchmarks.slip [--json] [--quick]

The machine may be shared: what is compared is timed in turns, and the least of many turns counts.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from math import radians
from typing import Any

import numpy as np

from backstay.cores import at_most, cores
from backstay.stability.slip import AnchorForce, SlipModel, analyse_batch, analyse_circle
from backstay.stability.slip.build import kernel
from benchmarks.slip_plain import PlainSlope, factors

CIRCLES = 10_000
GROUND = np.array([(-30.0, 0.0), (0.0, 0.0), (15.0, 10.0), (50.0, 10.0)])


def least(*works: Callable[[], object], turns: int = 10) -> list[float]:
    """Return the least time of each call (s), taken in turns after one to warm up."""
    for work in works:
        work()
    best = [float("inf")] * len(works)
    for _ in range(turns):
        for i, work in enumerate(works):
            start = time.perf_counter()
            work()
            best[i] = min(best[i], time.perf_counter() - start)
    return best


def slope() -> SlipModel:
    """Return the plain slope that numpy can also do."""
    return SlipModel(
        surface=GROUND, gamma=np.array([18.0]), phi=np.radians([30.0]), c=np.array([10.0]),
        water=np.array([(-30.0, -0.5), (50.0, -0.5)]),
    )  # fmt: skip


def layered() -> SlipModel:
    """Return a slope of four layers with a sloping water table, loads and anchors."""
    tops = tuple(np.array([(-30.0, y), (0.0, y), (50.0, y + 3.0)]) for y in (4.0, 0.0, -4.0))
    t = radians(15.0)
    rows = tuple(
        AnchorForce(
            x=1.5 * y,
            y=y,
            dx=np.cos(t),
            dy=-np.sin(t),
            total=80.0,
            free=8.0,
            bond=6.0,
            pullout=40.0,
        )
        for y in (2.0, 5.0, 8.0)
    )
    return SlipModel(
        surface=GROUND, tops=tops, gamma=np.full(4, 19.0), gamma_sat=np.full(4, 20.5),
        phi=np.radians([30.0, 26.0, 32.0, 34.0]), c=np.array([8.0, 12.0, 5.0, 4.0]),
        water=np.array([(-30.0, -1.0), (0.0, -0.5), (15.0, 4.0), (50.0, 6.0)]),
        strips=np.array([(17.0, 25.0, 15.0)]), kh=0.05, crack=1.0, anchors=rows,
    )  # fmt: skip


def circles(number: int) -> np.ndarray:
    """Return random circles about the critical one; all cut the slope."""
    rng = np.random.default_rng(11)
    x, y = rng.uniform(2.0, 10.0, number), rng.uniform(14.0, 24.0, number)
    return np.column_stack([x, y, np.hypot(x, y) + rng.uniform(-1.0, 2.0, number)])


def batch(model: SlipModel, number: int, slices: int, cores: int, turns: int) -> dict[str, Any]:
    """Time one batch; the peak of memory beyond what it had before."""
    given = circles(number)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with at_most(cores):
        cpu = time.process_time()
        found = analyse_batch(model, given, slices=slices)
        cpu = time.process_time() - cpu
        seconds = least(lambda: analyse_batch(model, given, slices=slices), turns=turns)[0]
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    return {
        "circles": number, "slices": slices, "cores": cores, "seconds": seconds,
        "us_each": 1e6 * seconds / number, "cpu_us_each": 1e6 * cpu / number,
        "converged": float(found.converged.mean()), "peak_grows_MB": grown,
    }  # fmt: skip


def against_numpy(turns: int) -> dict[str, float]:
    """Compare the same circles by the kernel on one core and by plain numpy."""
    model, plain = slope(), PlainSlope(GROUND, 18.0, 10.0, radians(30.0), water=-0.5)
    few = circles(20)
    with at_most(1):
        ours, numpy = least(
            lambda: analyse_batch(model, few),
            lambda: [factors(plain, x, y, R) for x, y, R in few],
            turns=turns,
        )
    theirs = np.array([factors(plain, x, y, R)[1] for x, y, R in few])
    off = float(abs(analyse_batch(model, few).F / theirs - 1.0).max())
    return {
        "ours_us": 1e6 * ours / 20,
        "numpy_us": 1e6 * numpy / 20,
        "ratio": numpy / ours,
        "off": off,
    }


def cold() -> dict[str, float]:
    """Time fresh processes: with the kernel built, and with an empty cache (s)."""
    one = (
        "from benchmarks.slip import slope; from backstay.stability.slip import analyse_circle; "
        "analyse_circle(slope(), (6.0, 18.0, 19.3))"
    )
    environment = dict(os.environ)

    def fresh(text: str) -> float:
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", text], check=True, env=environment)
        return time.perf_counter() - start

    fresh(one)
    found = {
        "python with numpy": min(fresh("import numpy") for _ in range(3)),
        "one circle, kernel built": min(fresh(one) for _ in range(3)),
    }
    with tempfile.TemporaryDirectory() as folder:
        environment["NUMBA_CACHE_DIR"] = folder
        found["one circle, empty cache (builds the kernel)"] = fresh(one)
    return found


def main(arguments: list[str] | None = None) -> int:
    """Print the tables."""
    arguments = sys.argv[1:] if arguments is None else arguments
    quick = "--quick" in arguments
    kernel()
    analyse_circle(slope(), (6.0, 18.0, 19.3))
    analyse_batch(slope(), circles(100))
    machine, turns = cores(), 3 if quick else 10
    most = 2_000 if quick else CIRCLES
    rows = [("slope", batch(slope(), most, 50, n, turns)) for n in sorted({1, machine})]
    rows += [("layers", batch(layered(), most, 50, n, turns)) for n in sorted({1, machine})]
    rows += [
        ("surfaces", batch(slope(), n, 50, machine, turns)) for n in (most // 10, most, most * 10)
    ]
    rows += [
        ("slices", batch(slope(), most // 10, n, machine, turns)) for n in (25, 50, 100, 200, 400)
    ]
    ratio = against_numpy(3 if quick else 10)
    starts = {} if quick else cold()
    if "--json" in arguments:
        print(json.dumps({"batches": rows, "numpy": ratio, "cold": starts}, indent=2))
        return 0
    head = ("varied", "circles", "slices", "cores", "s", "us each", "cpu us", "converged", "MB")
    print(("{:10}" + "{:>10}" * 8).format(*head))
    for name, r in rows:
        print(
            f"{name:10}{r['circles']:10d}{r['slices']:10d}{r['cores']:10d}{r['seconds']:10.3f}"
            f"{r['us_each']:10.1f}{r['cpu_us_each']:10.1f}{r['converged']:10.3f}{r['peak_grows_MB']:10.1f}"
        )
    print(
        f"plain numpy {ratio['numpy_us']:.0f} us a circle, ours {ratio['ours_us']:.0f} us on one core: "
        f"ratio {ratio['ratio']:.0f}; factors differ by {ratio['off']:.1e} at most"
    )
    for name, seconds in starts.items():
        print(f"{name:50}{seconds:8.2f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
