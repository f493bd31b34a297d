"""Time the default search of an anchored wall and of slopes.

Usage: python -m benchmarks.slip_search [--json]

The machine may be shared: the least and the median of several turns are given.
"""

from __future__ import annotations

import json
import statistics
import sys
import time

import numpy as np

from backstay.stability.slip.circles import search_circles
from backstay.stability.slip.model import SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.safety_map import safety_map
from backstay.stability.slip.search import search
from benchmarks.slip_wall import FOOT, anchored_wall

TARGET = 1.0
"""Most seconds that the default search of the wall may take."""
TURNS = 7


def slope() -> SlipModel:
    """Return a slope of 1 in 2, 10 m high, of one soil."""
    return SlipModel(
        surface=np.array([(20.0, 25.0), (30.0, 25.0), (50.0, 35.0), (70.0, 35.0)]),
        gamma=np.array([20.0]),
        phi=np.radians([19.6]),
        c=np.array([3.0]),
    )


def measure() -> dict[str, dict[str, float]]:
    """Return least and median time (s), surfaces and surfaces a second of each search."""
    wall, options = anchored_wall(), SearchOptions(beneath=FOOT)
    found = search(wall, options=options)
    works = {
        "wall, all forms": lambda: search(wall, options=options),
        "wall, circles": lambda: search_circles(wall, options=options),
        "slope, all forms": lambda: search(slope()),
        "slope, circles": lambda: search_circles(slope()),
    }
    results = {}
    for name, work in works.items():
        work()
        times = []
        for _ in range(TURNS):
            start = time.perf_counter()
            last = work()
            times.append(time.perf_counter() - start)
        results[name] = {
            "least_s": min(times),
            "median_s": statistics.median(times),
            "surfaces": float(last.analysed),
            "per_second": last.analysed / min(times),
            "F": last.critical.F if last.critical else float("nan"),
        }
    start = time.perf_counter()
    safety_map(wall, found, options=options)
    results["map of safety, 21 by 21"] = {"least_s": time.perf_counter() - start}
    return results


def main() -> int:
    """Print the times; status 1 where the search of the wall misses its target."""
    results = measure()
    if "--json" in sys.argv:
        print(json.dumps(results, indent=2))
    else:
        for name, values in results.items():
            print(f"{name:26}" + "  ".join(f"{key} {value:.4g}" for key, value in values.items()))
    return 0 if results["wall, all forms"]["least_s"] <= TARGET else 1


if __name__ == "__main__":
    raise SystemExit(main())
