"""Time the cold command and the warm design, as ratios to starting Python with numpy.

Usage: python -m benchmarks [--json]; the staged analysis, the judging of tests, anchors that failed, the
field records and people at the workbench follow (`benchmarks.staged`, `benchmarks.stressing`,
`benchmarks.derating`, `benchmarks.records`, `benchmarks.clients`), except in JSON.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from benchmarks.fresh import as_installed

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "examples" / "two-row-sand.yaml"


def cold(*arguments: str, repeats: int = 7) -> float:
    """Return the median wall time of a fresh process (s), after one that leaves its bytecode."""
    times = []
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(repeats + 1):
            start = time.perf_counter()
            subprocess.run(
                [sys.executable, *arguments],
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                check=False,
                env=as_installed(folder),
            )
            times.append(time.perf_counter() - start)
    return statistics.median(times[1:])


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


def hostile() -> dict[str, float]:
    """Return the time to refuse files made to exhaust a reader (s)."""
    from backstay.errors import ProjectError
    from backstay.model import read_text

    bomb = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
        f"{b}: &{b} [{', '.join(['*' + a] * 9)}]\n"
        for a, b in zip("abcdefgh", "bcdefghi", strict=True)
    )
    texts = {
        "10 MB of keys": "".join(f"key{i}: 1\n" for i in range(900_000)),
        "nesting 5000 deep": "[" * 5000,
        "alias bomb": bomb,
        "3000 unknown units": "x: [" + ", ".join(f'"1 u{i}"' for i in range(3000)) + "]",
    }

    def refuse(text: str) -> None:
        try:
            read_text(text, "hostile.yaml")
        except ProjectError:
            return
        raise AssertionError("a hostile file was accepted")

    return {f"refuse {name}": warm(lambda t=text: refuse(t), 3) for name, text in texts.items()}  # type: ignore[misc]


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
    rows |= hostile()
    if "--json" in sys.argv:
        print(
            json.dumps({k: {"seconds": v, "ratio": v / empty} for k, v in rows.items()}, indent=2)
        )
        return 0
    print(f"{'':44} {'ms':>9} {'ratio to empty':>15}")
    for name, seconds in rows.items():
        print(f"{name:44} {1000 * seconds:9.1f} {seconds / empty:15.3f}")
    from benchmarks import clients, derating, records, staged, stressing

    parts = (staged.main, stressing.main, derating.main, records.main, clients.main)
    return max(part([]) for part in parts)


if __name__ == "__main__":
    sys.exit(main())
