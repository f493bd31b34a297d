"""The least lengths, by row, with which searches find no slip surface below its target.

Rows are lengthened against every surface met so far (`lengthening`), the ground is searched anew
with them, and so on until no worse surface turns up.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import inf

from backstay.stability.crossing import missing
from backstay.stability.lengthening import STEP, Lengthened, least_lengths
from backstay.stability.slip.model import SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.search_result import Minimum, SearchResult
from backstay.stability.slope import analysed
from backstay.trace import untraced

ROUNDS = 8
"""Greatest number of searches anew with longer anchors."""
Search = Callable[[SlipModel, SearchOptions], SearchResult]


@dataclass(frozen=True, slots=True, eq=False)
class Searched:
    """One case: its model for rows longer by so much (m, by row), its target, and the search made."""

    model: Callable[[dict[int, float]], SlipModel]
    target: float
    options: SearchOptions
    found: SearchResult


@dataclass(frozen=True, slots=True)
class _Row:
    row: int
    added: float = 0.0

    def longer(self, added: float) -> _Row:
        return _Row(self.row, self.added + added)


@dataclass(frozen=True, slots=True)
class _Judged:
    """A surface with its safety over the target, and the row that would help it soonest."""

    safety: float
    corners: tuple[int, ...]


def least_added(
    cases: Sequence[Searched], rows: Sequence[int], search: Search, *, most: float
) -> Lengthened | None:
    """Return the least lengths by row that bring every case to its target, or None within `most` (m).

    The safety of the result is the least over the targets of the cases: one where all are reached.
    """
    met: list[tuple[Searched, Minimum]] = []
    current = [case.found for case in cases]
    tried = 0
    for _ in range(ROUNDS):
        for case, found in zip(cases, current, strict=True):
            met += [(case, m) for m in found.minima if case.target > m.F]

        def judge(
            longer: Sequence[_Row], met: Sequence[tuple[Searched, Minimum]] = tuple(met)
        ) -> list[_Judged]:
            added = {r.row: r.added for r in longer}
            return [_judged(case, least, added) for case, least in met]

        with untraced():
            lengths = least_lengths(judge, [_Row(r) for r in rows], 1.0, most)
        if lengths is None:
            return None
        tried += lengths.tried
        added = dict(lengths.added)
        current = [search(case.model(added), case.options) for case in cases]
        least = min(
            ((f.critical.F if f.critical else inf) / case.target
             for case, f in zip(cases, current, strict=True)), default=inf
        )  # fmt: skip
        if least >= 1.0 - 1e-3:
            return Lengthened(_once(added), least, tried)
    return None


def _once(added: Mapping[int, float]) -> dict[int, float]:
    return {row: length for row, length in added.items() if length > 0.0}


def _judged(case: Searched, least: Minimum, added: dict[int, float]) -> _Judged:
    model = case.model(added)
    surface = least.points if least.circle is None else least.circle
    result = analysed(model, surface, case.options.method, case.options.slices)
    safety = result.F / case.target if result.converged else -inf
    if result.status == "does not drive":  # held by more than pushes: nothing slides here any more
        safety = inf
    helps = {int(a.name.split()[-1]): missing(a, least.points) for a in model.anchors}
    short = {row: length for row, length in helps.items() if length > STEP}
    # where no row gives more however long, name one: its length will not do
    pool = short or helps
    return _Judged(safety, (min(pool, key=lambda r: pool[r]) if short else min(helps, default=1),))
