"""The least lengths by row, on blocks whose safety is a plain sum of lengths."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backstay.stability.lengthening import Lengthened, least_lengths

TARGET, MOST = 1.5, 20.0


@dataclass(frozen=True)
class Row:
    row: int
    added: float = 0.0

    def longer(self, added: float) -> Row:
        return Row(self.row, self.added + added)


@dataclass(frozen=True)
class Block:
    """Safety without longer rows, what a metre of each row adds, the rows its surface runs to."""

    bare: float
    gains: dict[int, float]
    corners: tuple[int, ...]


@dataclass(frozen=True)
class Judged:
    safety: float
    corners: tuple[int, ...]


def judged(blocks: Sequence[Block], added: dict[int, float]) -> list[Judged]:
    return [
        Judged(b.bare + sum(g * added[row] for row, g in b.gains.items()), b.corners)
        for b in blocks
    ]


def least(
    *blocks: Block, rows: int = 1, target: float = TARGET, most: float = MOST
) -> Lengthened | None:
    return least_lengths(
        lambda longer: judged(blocks, {r.row: r.added for r in longer}),
        [Row(i) for i in range(1, rows + 1)], target, most,
    )  # fmt: skip


@pytest.mark.parametrize("gain", [0.031, 0.07, 0.2])
def test_a_row_alone_is_lengthened_to_the_centimetre_above(gain: float) -> None:
    """(1.5 - 1.0) / gain, rounded up."""
    found = least(Block(1.0, {1: gain}, (1,)))
    assert found is not None
    assert found.added[1] == pytest.approx(ceil(0.5 / gain * 100 - 1e-9) / 100)
    assert found.safety == pytest.approx(1.0 + gain * found.added[1])


def test_the_greatest_length_still_counts_and_more_does_not() -> None:
    block = Block(1.0, {1: 0.05}, (1,))  # needs 10 m
    exactly = least(block, most=10.0 + 1e-9)
    assert exactly is not None
    assert exactly.added[1] == pytest.approx(10.0, abs=0.011)
    assert least(block, most=9.9) is None


def test_the_row_at_the_end_of_the_surface_is_lengthened() -> None:
    found = least(Block(1.0, {1: 0.3, 2: 0.1}, (1, 2)), Block(2.0, {}, (1,)), rows=2)
    assert found is not None
    assert found.added[1] == 0.0
    assert found.added[2] == pytest.approx(5.0, abs=0.011)


def test_a_row_is_shortened_again_where_another_has_to_be_longer_anyway() -> None:
    """Row 2 first needs 5 m for the worst block; row 1 then has to have 10 m, with which it needs none."""
    found = least(
        Block(1.0, {2: 0.1, 1: 0.06}, (1, 2)), Block(1.1, {1: 0.04}, (1,)), rows=2
    )  # fmt: skip
    assert found is not None
    assert found.added == {1: pytest.approx(10.0, abs=0.011), 2: 0.0}


def test_ground_that_holds_needs_nothing() -> None:
    found = least(Block(1.5, {1: 0.1}, (1,)))
    assert found is not None
    assert found.added == {1: 0.0}
    assert found.safety == 1.5


gains = st.fixed_dictionaries({1: st.floats(0.0, 0.1), 2: st.floats(0.0, 0.1)})
blocks = st.builds(Block, st.floats(0.9, 1.6), gains, st.sampled_from([(1,), (2,), (1, 2), (2, 1)]))


@settings(max_examples=200, deadline=None)
@given(st.lists(blocks, min_size=1, max_size=4))
def test_all_blocks_hold_and_no_row_could_be_shorter_by_itself(ground: list[Block]) -> None:
    found = least(*ground, rows=2)
    if found is None:
        return
    holds = [b.safety for b in judged(ground, dict(found.added))]
    assert min(holds) >= TARGET - 1e-9
    assert found.safety == pytest.approx(min(holds))
    for row, length in found.added.items():
        if length > 0.0:
            shorter = {**found.added, row: max(0.0, length - 0.0101)}
            assert min(b.safety for b in judged(ground, shorter)) < TARGET + 1e-9
