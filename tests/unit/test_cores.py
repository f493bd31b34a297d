"""Work spread over the cores: all of it is done, once, whoever does it."""

from __future__ import annotations

from threading import Barrier, Lock, get_ident

import numpy as np
import pytest

from backstay.cores import PARTS, at_most, cores, over_cores
from backstay.stability.slip import SlipModel, analyse_batch


@pytest.mark.parametrize("total", [0, 1, 15, 16, 17, 1000])
@pytest.mark.parametrize("most", [1, 2])
def test_parts_cover_the_whole_once(total: int, most: int) -> None:
    done = np.zeros(total, int)

    def work(first: int, end: int) -> None:
        assert end > first
        done[first:end] += 1

    with at_most(most):
        over_cores(total, 16, work)
    assert (done == 1).all()


def test_parts_are_worth_a_thread() -> None:
    sizes, lock = [], Lock()

    def work(first: int, end: int) -> None:
        with lock:
            sizes.append(end - first)

    over_cores(10_000, 16, work)
    assert len(sizes) == (PARTS * cores() if cores() > 1 else 1)
    sizes.clear()
    over_cores(15, 16, work)
    assert sizes == [15]


@pytest.mark.skipif(cores() < 2, reason="one core")
def test_parts_run_side_by_side() -> None:
    """Two parts wait for each other: one after the other they would wait in vain."""
    meet, threads = Barrier(2), set()

    def work(first: int, end: int) -> None:
        threads.add(get_ident())
        meet.wait(timeout=20.0)

    with at_most(2):
        over_cores(2, 1, work)
    assert len(threads) == 2


def test_a_fault_is_raised_when_all_are_done() -> None:
    done = []

    def work(first: int, end: int) -> None:
        if first == 0:
            raise ValueError("first part")
        done.append(end)

    with at_most(2), pytest.raises(ValueError, match="first part"):
        over_cores(64, 8, work)
    assert cores() == 1 or max(done) == 64


def test_cores_are_never_none() -> None:
    with pytest.raises(ValueError, match="at least one"), at_most(0):
        pass
    with at_most(1):
        assert cores() == 1
    assert cores() >= 1


def test_what_is_found_does_not_depend_on_cores() -> None:
    one = np.ones(1)
    ground = np.array([(-9.0, 0.0), (0.0, 0.0), (5.0, 5.0), (20.0, 5.0)])
    slope = SlipModel(surface=ground, gamma=20.0 * one, phi=0.5 * one, c=10.0 * one)
    x = np.linspace(-1.0, 1.0, 200)
    circles = np.column_stack([x, 8.0 + x, 8.5 + x])
    found = analyse_batch(slope, circles)
    with at_most(1):
        alone = analyse_batch(slope, circles)
    np.testing.assert_array_equal(found.F, alone.F)
    assert np.unique(found.F).size > 100


def test_work_within_work_knows_how_many_cores_it_may_use() -> None:
    seen: list[int] = []

    def inner(first: int, end: int) -> None:
        seen.append(end - first)

    def outer(first: int, end: int) -> None:
        assert cores() <= 2
        for _ in range(first, end):
            over_cores(6, 1, inner)

    with at_most(2):
        over_cores(8, 1, outer)
    assert sum(seen) == 48
