"""Time drags in the section while twenty people drag at once, each in a project of their own.

Usage: python -m benchmarks.clients [--json]

The workbench runs in one process; the people are web sockets in another, which say what a page says
and wait for its picture. Slip surfaces have been looked for before. One alone comes first. A machine that is shared shows in both, so that the
ratio of many to one tells, and the ratio of one to the work of a design on this machine.
"""

from __future__ import annotations

import asyncio
import json
import math
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.browser.clients import Client

from backstay.design import design
from backstay.model.reading import read_project

DEMO = Path(__file__).resolve().parent.parent / "examples" / "two-row-sand.yaml"
PEOPLE = 20
MOVES = 10
PAUSE = 0.5
"""s between the moves of one hand that looks before it moves on."""
HEAD = "row-0-head"
SHARES = (0.5, 0.9, 0.95, 1.0)


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Serve a folder as a person would; give the address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [
        sys.executable, "-m", "backstay", "serve", str(folder), "--port", str(port),
        "--no-browser", "--people", str(folder / "people.json"),
    ]  # fmt: skip
    with (folder / "served.log").open("w") as log:
        server = subprocess.Popen(command, stdout=log, stderr=log)
        try:
            while True:
                with socket.socket() as tried:
                    if tried.connect_ex(("127.0.0.1", port)) == 0:
                        break
                if server.poll() is not None:
                    raise RuntimeError((folder / "served.log").read_text())
                time.sleep(0.1)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            server.wait(20)


async def drags(client: Client, pause: float) -> list[float]:
    """Drag the head of a row, to a new place each time; the time of each redraw (ms)."""
    x, y = client.at(HEAD)
    waits = []
    for k in range(MOVES):
        await asyncio.sleep(pause)
        start = time.perf_counter()
        answer = await client.say("drag", HEAD, (x, y + 1.0 + 0.3 * k))
        waits.append(1e3 * (time.perf_counter() - start))
        if answer.get("bad"):
            raise RuntimeError(answer["bad"])
    await client.say("drop", HEAD, (x, y))
    return waits


async def together(origin: str, names: list[str], pause: float) -> list[float]:
    """Return the times of all redraws (ms), sorted, of people who drag at once."""
    people = [Client(origin, name) for name in names]
    await asyncio.gather(*(one.open() for one in people))
    await asyncio.gather(*(one.settled() for one in people))
    waits = await asyncio.gather(*(drags(one, pause) for one in people))
    errors = [said for one in people for said in one.errors]
    await asyncio.gather(*(one.close() for one in people))
    if errors:
        raise RuntimeError("\n".join(errors))
    return sorted(wait for one in waits for wait in one)


def design_ms() -> float:
    """Return the least time of a design without slip surfaces (ms)."""
    project = read_project(DEMO)
    times = []
    for _ in range(8):
        start = time.process_time()
        design(project, slip_surfaces="leave out")
        times.append(1e3 * (time.process_time() - start))
    return min(times)


def at(share: float, waits: list[float]) -> float:
    """Return the time that a share of the redraws takes at most."""
    return waits[min(len(waits) - 1, round(share * len(waits)))]


def table() -> dict[str, Any]:
    """Return the times (ms) by share, of one, of many with pauses and of many without, and ratios."""
    found: dict[str, Any] = {"people": PEOPLE, "moves": MOVES, "design_ms": design_ms()}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        names = [f"wall-{k}.yaml" for k in range(PEOPLE)]
        for one in names:
            (folder / one).write_bytes(DEMO.read_bytes())
        with served(folder) as origin:
            for title, who, pause in (
                ("one", names[:1], PAUSE), ("many", names, PAUSE), ("many_without_pause", names, 0.0),
            ):  # fmt: skip
                waits = asyncio.run(together(origin, who, pause))
                found[title] = {f"{share:g}": at(share, waits) for share in SHARES}
                found[title]["per_second"] = len(waits) * 1e3 / max(1.0, math.fsum(waits)) * len(who)  # fmt: skip
        log = (folder / "served.log").read_text()
        if "Traceback" in log:
            raise RuntimeError(log)
    found["one_over_design"] = found["one"]["0.5"] / found["design_ms"]
    found["many_over_one"] = found["many"]["0.5"] / found["one"]["0.5"]
    return found


def main(arguments: list[str] | None = None) -> int:
    """Print the table."""
    arguments = sys.argv[1:] if arguments is None else arguments
    found = table()
    if "--json" in arguments:
        print(json.dumps(found, indent=2))
        return 0
    print(f"{'ms until a drag is redrawn, at most for':44}" + "".join(f"{s:>9.0%}" for s in SHARES))
    for title, words in (
        ("one", "one person"),
        ("many", f"{PEOPLE} people, each with a pause of {PAUSE:g} s"),
        ("many_without_pause", f"{PEOPLE} people without a pause"),
    ):
        print(f"{words:44}" + "".join(f"{found[title][f'{s:g}']:9.0f}" for s in SHARES))
    print(
        f"{'redraws in a second, all together':44}{found['many_without_pause']['per_second']:9.1f}"
    )
    print(f"{'one person over a design':44}{found['one_over_design']:9.1f}")
    print(f"{f'{PEOPLE} people with pauses over one':44}{found['many_over_one']:9.1f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
