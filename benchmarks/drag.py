"""Time a drag in the section on the demo: from the move of the pointer to the picture redrawn.

Usage: python -m benchmarks.drag [--json]

What a move costs is taken apart first, in time of the process: changing and reading the text, the
design, the section's drawing, its diagrams, what is sent. Then the whole way is timed by the clock in
a browser: pointer, websocket, the work, websocket, picture. A machine that is shared shows in the
clock alone: the ratio of both, and the median, tell.
"""

from __future__ import annotations

import json
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.browser.bench import workbench

from backstay.design import design
from backstay.model.changes import Set, changed
from backstay.model.reading import read_text
from backstay.workbench.section.handles import moved
from backstay.workbench.section.picture import draw, frame_for
from backstay.workbench.section.scene import View, make_scene
from backstay.workbench.section.spelling import Spelling

DEMO = Path(__file__).resolve().parent.parent / "examples" / "two-row-sand.yaml"
WHERE = ("sections", 0)
TURNS = 15
MOVES = 40
LIMIT = 100.0
"""ms within which a redraw is felt as following the hand."""

_WATCH = """
() => {
  const base = document.querySelector('.sec-base svg');
  window.waits = []; window.began = 0;
  new MutationObserver(() => requestAnimationFrame(() => {
    if (window.began) { window.waits.push(performance.now() - window.began); window.began = 0; }
  })).observe(base, { childList: true });
}
"""
_MOVE = """
([x, y]) => {
  window.began = performance.now();
  document.querySelector('.sec-over').dispatchEvent(new PointerEvent('pointermove', {
    clientX: x, clientY: y, bubbles: true, pointerId: 1, pointerType: 'mouse', buttons: 1 }));
}
"""


def least(work: Callable[[], object], turns: int = TURNS) -> float:
    """Return the least time of the process of a call (ms), after one to warm up."""
    work()
    best = float("inf")
    for _ in range(turns):
        start = time.process_time()
        work()
        best = min(best, time.process_time() - start)
    return 1e3 * best


def parts() -> dict[str, float]:
    """Return the time of the process (ms) that each part of a move takes."""
    text = DEMO.read_text()
    project = read_text(text, DEMO.name)
    change = [Set((*WHERE, "anchors", 0, "elevation"), 91.5)]
    done = design(project, slip_surfaces="leave out").sections[0]
    view = View(project.units, 3, 74.0)
    frame = frame_for(done, 156.0, 110.0)
    picture = draw(done, frame, project.units)
    scene = make_scene(done, picture, WHERE, view, grips=True, read=False)
    spelling = Spelling(project.units, project.units)
    head = next(h for h in scene.handles if h.id == "row-0-head")
    return {
        "place to change": least(lambda: moved(head, (0.0, head.at[1] + 0.2), spelling)),
        "change and read the text": least(lambda: read_text(changed(text, change), DEMO.name)),
        "design": least(lambda: design(project, slip_surfaces="leave out")),
        "draw the section": least(lambda: draw(done, frame, project.units, lettering="levels")),
        "diagrams and handles": least(
            lambda: make_scene(done, picture, WHERE, view, grips=True, read=False)
        ),
        "write what is sent": least(
            lambda: json.dumps(scene.sent(spelling, view))
        ),
    }  # fmt: skip


def whole() -> list[float]:
    """Return the time by the clock (ms) of each move of a drag in a browser, sorted."""
    with tempfile.TemporaryDirectory() as folder, workbench(Path(folder) / "site") as bench:
        bench.put("drag.yaml", DEMO.name)
        with bench.page("drag.yaml") as page:
            handle = page.locator('.sec-handle[data-id="row-0-head"]')
            handle.wait_for()
            # the search of slip surfaces has a core of its own only where there are two to spare
            stop = page.get_by_role("button", name="Stop")
            if stop.is_visible():
                stop.click()
            page.wait_for_timeout(4000)
            box = handle.locator("path").bounding_box()
            if box is None:
                raise RuntimeError("the handle is not seen")
            x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
            page.mouse.move(x, y)
            page.mouse.down()
            page.mouse.move(x, y + 6)
            page.wait_for_timeout(1500)
            page.evaluate(_WATCH)
            for k in range(MOVES):
                page.evaluate(_MOVE, [x, y + (6 if k % 2 else 10)])
                page.wait_for_function("n => window.waits.length > n", arg=k)
            waits: list[float] = page.evaluate("window.waits")
            page.keyboard.press("Escape")
            page.mouse.up()
    return sorted(waits)


def table() -> dict[str, Any]:
    """Return parts, their sum, and median and ninth decile of the whole way (ms), with ratios."""
    found = parts()
    work = sum(found.values())
    waits = whole()
    middle, most = statistics.median(waits), waits[int(0.9 * len(waits))]
    return {
        "parts_ms": found, "work_ms": work, "fastest_ms": waits[0], "median_ms": middle,
        "ninth_decile_ms": most, "whole_over_work": middle / work,
        "whole_over_design": middle / found["design"], "limit_ms": LIMIT,
    }  # fmt: skip


def main(arguments: list[str] | None = None) -> int:
    """Print the table."""
    arguments = sys.argv[1:] if arguments is None else arguments
    found = table()
    if "--json" in arguments:
        print(json.dumps(found, indent=2))
        return 0
    print(f"{'a move of an anchor head in the demo':44}{'ms':>9}{'of the work':>14}")
    for name, ms in found["parts_ms"].items():
        print(f"{name:44}{ms:9.1f}{ms / found['work_ms']:14.2f}")
    print(f"{'the work of the process':44}{found['work_ms']:9.1f}{1:14.2f}")
    for name, key in (
        ("pointer to picture by the clock, fastest", "fastest_ms"),
        ("pointer to picture by the clock, median", "median_ms"),
        ("pointer to picture by the clock, nine of ten", "ninth_decile_ms"),
    ):
        print(f"{name:44}{found[key]:9.1f}{found[key] / found['work_ms']:14.2f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
