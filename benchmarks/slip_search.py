"""Time the default search: all stages of the demo's wall, walls and slopes one by one, and a cold start.

Usage: python -m benchmarks.slip_search [--json] [--quick]

The machine may be shared: the least and the median of several turns are given. The walls are the slip
models that the design makes of the examples, stage by stage; the plain wall stands for itself alone.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from backstay.basis import basis
from backstay.design import design
from backstay.model.reading import read_project
from backstay.stability.overall import OverallDesign, design_overall
from backstay.stability.slip.circles import search_circles
from backstay.stability.slip.model import SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.safety_map import safety_map
from backstay.stability.slip.search import search
from backstay.stability.slip.search_result import SearchResult
from benchmarks.slip_wall import FOOT, anchored_wall

TARGET = 1.0
"""Most seconds that the overall stability of the demo, all its stages, may take."""
TURNS = 7
EXAMPLES = Path(__file__).parent.parent / "examples"
DEMO = "two-row-sand"
COLD = """
import time
from benchmarks.slip_search import overall_of
work = overall_of("two-row-sand")
start = time.perf_counter(); work(); first = time.perf_counter() - start
start = time.perf_counter(); work(); print(first, time.perf_counter() - start)
"""


def overall_of(example: str, seconds: list[float] | None = None) -> Callable[[], OverallDesign]:
    """Return the overall stability of an example's section, to be called.

    seconds: takes the time of each search.
    """
    project = read_project(str(EXAMPLES / f"{example}.yaml"))
    rules = basis(project.basis)
    one = design(project, slip_surfaces="leave out").sections[0]

    def searched(model: SlipModel, options: SearchOptions) -> SearchResult:
        start = time.perf_counter()
        found = search(model, options=options)
        if seconds is not None:
            seconds.append(time.perf_counter() - start)
        return found

    return lambda: design_overall(
        one.section, one.ground, one.anchors, one.wall, project.service, rules, search=searched
    )


def slope() -> SlipModel:
    """Return a slope of 1 in 2, 10 m high, of one soil."""
    return SlipModel(
        surface=np.array([(20.0, 25.0), (30.0, 25.0), (50.0, 35.0), (70.0, 35.0)]),
        gamma=np.array([20.0]),
        phi=np.radians([19.6]),
        c=np.array([3.0]),
    )


def timed(work: Callable[[], Any], turns: int) -> tuple[dict[str, float], Any]:
    """Return least and median time (s) of a call, after one to warm up, and its last result."""
    last, times = work(), []
    for _ in range(turns):
        start = time.perf_counter()
        last = work()
        times.append(time.perf_counter() - start)
    return {"least_s": min(times), "median_s": statistics.median(times)}, last


def stages(turns: int, examples: tuple[str, ...]) -> dict[str, dict[str, float]]:
    """Time the overall stability of examples: all stages, and each one's search."""
    results: dict[str, dict[str, float]] = {}
    for example in examples:
        seconds: list[float] = []
        whole, found = timed(overall_of(example, seconds), turns)
        analysed = sum(s.found.analysed for s in found.stages)
        whole |= {"stages": float(len(found.stages)), "surfaces": float(analysed)}
        whole["per_second"] = analysed / whole["least_s"]
        results[f"{example}, all stages"] = whole
        searches = len(seconds) // (turns + 1)  # longer anchors are searched anew
        for i, s in enumerate(found.stages):
            results[f"  {example}, {s.stage.title}"] = {
                "least_s": min(seconds[i::searches]), "surfaces": float(s.found.analysed),
                "F": s.safety,
            }  # fmt: skip
    return results


def measure(turns: int, *, quick: bool = False) -> dict[str, dict[str, float]]:
    """Return the times of each search."""
    names = (DEMO, "single-row-stiff-clay", "soft-over-weaker-clay", "three-row-layered-water")
    results = stages(turns, names[:1] if quick else names)
    wall, options = anchored_wall(), SearchOptions(beneath=FOOT)
    works = {
        "plain wall, all forms": lambda: search(wall, options=options),
        "plain wall, circles": lambda: search_circles(wall, options=options),
        "slope, all forms": lambda: search(slope()),
        "slope, circles": lambda: search_circles(slope()),
    }
    for name, work in works.items():
        each, last = timed(work, turns)
        least = last.critical.F if last.critical else float("nan")
        each |= {"surfaces": float(last.analysed), "F": least}
        results[name] = each | {"per_second": last.analysed / each["least_s"]}
    found = search(wall, options=options)
    results["map of safety, 21 by 21"], _ = timed(
        lambda: safety_map(wall, found, options=options), turns
    )
    return results


def cold() -> dict[str, float]:
    """Return the first and the second overall stability of the demo in a fresh process (s).

    The design before it has loaded numba and the kernel of the staged analysis, as in a check.
    """
    run = subprocess.run([sys.executable, "-c", COLD], check=True, capture_output=True, text=True)
    first, again = (float(v) for v in run.stdout.split())
    return {"least_s": first, "again_s": again}


def main() -> int:
    """Print the times; status 1 where the demo misses its target."""
    quick = "--quick" in sys.argv
    results = measure(3 if quick else TURNS, quick=quick)
    results["demo, all stages, fresh process"] = cold()
    if "--json" in sys.argv:
        print(json.dumps(results, indent=2))
    else:
        for name, values in results.items():
            print(f"{name:46}" + "  ".join(f"{key} {value:.4g}" for key, value in values.items()))
    return 0 if results[f"{DEMO}, all stages"]["least_s"] <= TARGET else 1


if __name__ == "__main__":
    raise SystemExit(main())
