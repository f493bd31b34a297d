"""Time the cold command and the warm design, as ratios to starting Python with numpy.

Usage: python -m benchmarks [--json]
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "examples" / "two-row-sand.yaml"


def cold(*arguments: str, repeats: int = 7) -> float:
    """Return the median wall time of a fresh process (s)."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        subprocess.run([sys.executable, *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def warm(work: Callable[[], object], repeats: int = 30) -> float:
    """Return the median time of a call, after three to warm up (s)."""
    for _ in range(3):
        work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main() -> int:
    """Print the table of timings."""
    from backstay.design import design
    from backstay.model import read_project
    from backstay.report import report_bytes
    from backstay.trace import trace

    project = read_project(DEMO)
    done = design(project)
    empty = cold("-c", "import numpy")
    with trace():
        traced = warm(lambda: design(project))
    rows = {
        "empty python -c 'import numpy'": empty,
        "backstay --help, cold": cold("-m", "backstay", "--help"),
        "backstay check demo, cold": cold("-m", "backstay", "check", str(DEMO)),
        "read_project(demo), warm": warm(lambda: read_project(DEMO)),
        "design(demo), warm": warm(lambda: design(project)),
        "design(demo) inside an open trace, warm": traced,
        "report of demo, warm": warm(lambda: report_bytes(done, project.units), 5),
    }
    if "--json" in sys.argv:
        print(json.dumps({k: {"seconds": v, "ratio": v / empty} for k, v in rows.items()}, indent=2))
        return 0
    print(f"{'':44} {'ms':>9} {'ratio to empty':>15}")
    for name, seconds in rows.items():
        print(f"{name:44} {1000 * seconds:9.1f} {seconds / empty:15.3f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
