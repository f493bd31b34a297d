"""Work spread over the cores of the machine: compiled functions that let other threads run.

Each part of the work goes to a thread of ours as soon as one is free. What a part finds does not depend
on who does it, so results are the same on any number of cores.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from contextvars import ContextVar, copy_context
from functools import cache, partial
from itertools import pairwise

PARTS = 4
"""Parts for each core, so that one slow part does not keep the others waiting."""
_most: ContextVar[int | None] = ContextVar("_most", default=None)


def cores() -> int:
    """Return how many cores this process may use."""
    most = _most.get()
    there = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return min(most or 1_000_000, there or 1)


@contextmanager
def at_most(number: int) -> Iterator[None]:
    """Use no more than a number of cores while this lasts."""
    if number < 1:
        raise ValueError("work takes at least one core")
    token = _most.set(number)
    try:
        yield
    finally:
        _most.reset(token)


def over_cores(total: int, least: int, work: Callable[[int, int], None]) -> None:
    """Call work(first, end) for parts of `total` that together cover it.

    least: the smallest part worth a thread. The calling thread takes its share, and whatever no other
    has begun by then. Work that raises stops no other part; the first fault is raised when all are done.
    """
    number = cores()
    parts = min(PARTS * number, -(-total // least)) if number > 1 else 1
    if parts <= 1:
        if total:
            work(0, total)
        return
    ends = [total * part // parts for part in range(parts + 1)]
    own, *others = pairwise(ends)
    threads = _threads(number - 1)
    # a part may spread its own work in turn: it must know how many cores it may use
    handed = [(threads.submit(partial(copy_context().run, work, *part)), part) for part in others]
    faults = _fault(work, own)
    for future, part in reversed(handed):
        if future.cancel():
            faults += _fault(work, part)
        elif (fault := future.exception()) is not None:
            faults.append(fault)
    if faults:
        raise faults[0]


def _fault(work: Callable[[int, int], None], part: tuple[int, int]) -> list[BaseException]:
    try:
        work(*part)
    except Exception as fault:
        return [fault]
    return []


@cache
def _threads(number: int) -> ThreadPoolExecutor:
    return ThreadPoolExecutor(number, thread_name_prefix="backstay-core")
