"""A process that writes readings until it is killed, again and again, and counts what is lost.

Usage: python -m tests.robustness.crashing URL ROUNDS SEED

Every round a child process opens the records and adds readings, a remark now and then, and says
over a pipe what was confirmed. It is killed without warning (SIGKILL) at a random moment. Then the
records are opened again: everything it said must be there, and every hash must hold.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time

from backstay.records import JackCertified, Remark, open_records
from backstay.stressing.record import Reading
from tests.unit.records.wall import BY, JACK, begun, planned

A = "A-1-001"


def write(url: str, pipe: int, first: int, seed: int) -> None:
    """Add readings until killed; say each once it is confirmed."""
    chance = random.Random(seed)  # noqa: S311
    records = open_records(url)
    number = first
    while True:
        many = chance.choice((1, 1, 1, 5, 40))
        read = [
            Reading(number=number + i, cycle=1, target=0.5, phase="hold", minute=float(i),
                    dials=(0.001 * i, 0.002), gauge=1000.0 + i)
            for i in range(many)
        ]  # fmt: skip
        records.add_readings(A, read, by=BY)
        said = " ".join(f"r{r.number}" for r in read)
        if chance.random() < 0.2:
            said += f" e{records.add(Remark(anchor=A, text='going on'), by=BY).id}"
        os.write(pipe, f"{said} \n".encode())
        number += many


def one_round(url: str, first: int, seed: int) -> list[str]:
    """Let a child write and kill it; return what it said was confirmed."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            write(url, writing, first, seed)
        finally:
            os._exit(1)
    os.close(writing)
    said = os.read(reading, 1 << 16)  # it has begun to write
    time.sleep(random.Random(seed).random() * 0.08)  # noqa: S311
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status), "the child ended by itself"
    while more := os.read(reading, 1 << 16):
        said += more
    os.close(reading)
    return said.decode().rpartition("\n")[0].split()


def main(url: str, rounds: int, seed: int) -> int:
    """Print how much was confirmed and how much of it was lost."""
    with open_records(url) as records:
        records.add_all([JackCertified(jack=JACK), planned(), begun()], by=BY, exception="test")
    confirmed: set[str] = set()
    lost: set[str] = set()
    beyond = 0
    first = 1
    faults: list[str] = []
    for i in range(rounds):
        confirmed.update(one_round(url, first, seed + i))
        with open_records(url) as records:
            entries = records.history(A)
            there = {f"e{e.id}" for e in entries if e.kind == "remark"}
            numbers = {e.fact.number for e in entries if e.kind == "reading"}
            there |= {f"r{n}" for n in numbers}
            lost |= confirmed - there
            beyond = len(there - confirmed)
            faults += records.verify().faults
            first = 1 + max(numbers, default=0)
    found = {"confirmed": len(confirmed), "lost": sorted(lost), "beyond": beyond, "faults": faults}
    sys.stdout.write(json.dumps(found))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3])))
