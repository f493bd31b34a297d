"""Outliers along the wall: anchors that behave unlike the others in the same ground.

An anchor may meet every criterion and still stand out, by its creep, by what its head moves or by
the length that stretches. Its distance from the median is measured in robust standard deviations,
so that the outliers themselves do not hide each other (Iglewicz and Hoaglin 1993). It is a hint to
look at drill log, grout and readings, and no verdict.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import copysign, inf
from statistics import median
from typing import Literal

from backstay.basis import Factor
from backstay.cite import Citation
from backstay.quantity import QUANTITIES, Quantity
from backstay.stressing.judge import Judgement
from backstay.stressing.movement import apparent_free_length
from backstay.stressing.record import TestRecord

LIMIT = Factor(
    3.5, Citation("Iglewicz and Hoaglin 1993", "modified z-score above 3.5 is an outlier", "memory")
)
LEAST_GROUP = 5
"""Fewer anchors than this have no middle to stand out from."""
_MAD, _MEAN = 1.4826, 1.2533
"""Standard deviation of a normal sample over its median, and its mean, absolute deviation."""
What = Literal["creep", "apparent free length", "total movement", "residual movement"]
_QUANTITY: dict[What, Quantity] = {
    "creep": QUANTITIES["small length"], "apparent free length": QUANTITIES["ratio"],
    "total movement": QUANTITIES["ratio"], "residual movement": QUANTITIES["small length"],
}  # fmt: skip
MEANING: dict[What, str] = {
    "creep": "movement per tenfold time at the test load",
    "apparent free length": "over the free length and the length in the jack",
    "total movement": "at the test load, over the stretch of the free tendon",
    "residual movement": "back at the alignment load",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlier:
    """One anchor that stands out: by what, its value, the median of its group, and by how much.

    score: robust standard deviations off the median, with its sign; group: ground and kind of test.
    """

    anchor: str
    what: What
    group: str
    value: float
    median: float
    score: float

    @property
    def quantity(self) -> Quantity:
        """Return the quantity of value and median."""
        return _QUANTITY[self.what]

    @property
    def words(self) -> str:
        """Return it as a sentence with placeholders."""
        unit = self.quantity.name
        return (
            f"{self.what} {{{unit}:{self.value:.9g}}} ({MEANING[self.what]}), median of {self.group} "
            f"{{{unit}:{self.median:.9g}}}: {self.score:+.1f} robust standard deviations"
        )


def robust_scores(values: Mapping[str, float], resolution: float = 0.0) -> dict[str, float]:
    """Return how far each value lies off the median, in robust standard deviations.

    The deviation is that of the median absolute deviation; where more than half agree, of the mean
    one; never less than the resolution of the values.
    """
    if not values:
        return {}
    middle = median(values.values())
    off = [abs(v - middle) for v in values.values()]
    spread = _MAD * median(off) or _MEAN * sum(off) / len(off)
    spread = max(spread, resolution)
    return {
        name: (v - middle) / spread
        if spread > 0.0
        else (0.0 if v == middle else copysign(inf, v - middle))
        for name, v in values.items()
    }


def outliers(
    values: Mapping[str, float], what: What, group: str, *, limit: Factor = LIMIT,
    resolution: float = 0.0,
) -> tuple[Outlier, ...]:  # fmt: skip
    """Return the anchors of a group that stand out, farthest first; none of a group too small."""
    if len(values) < LEAST_GROUP:
        return ()
    middle = median(values.values())
    found = [
        Outlier(anchor=name, what=what, group=group, value=values[name], median=middle, score=score)
        for name, score in robust_scores(values, resolution).items()
        if abs(score) > limit.value
    ]
    return tuple(sorted(found, key=lambda o: (-abs(o.score), o.anchor)))


def outliers_of_tests(
    judged: Iterable[tuple[TestRecord, Judgement]],
    *,
    limit: Factor = LIMIT,
    resolution: float = 1e-5,
) -> tuple[Outlier, ...]:
    """Return the anchors that stand out among those tested alike in the same ground.

    resolution: graduation of the dials (m). Of an anchor tested twice the later test counts.
    """
    groups: dict[tuple[str, What], dict[str, float]] = {}
    for record, judgement in judged:
        ground = " and ".join(sorted(record.anchor.ground)) or "unknown ground"
        group = f"{record.procedure.kind} tests in {ground}, {record.anchor.grouting}"
        for what, value in _values(record, judgement).items():
            groups.setdefault((group, what), {})[record.anchor.name] = value
    found = [
        one
        for (group, what), values in groups.items()
        for one in outliers(
            values, what, group, limit=limit,
            resolution=resolution if _QUANTITY[what].name == "small length" else 1e-3,
        )
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda o: (-abs(o.score), o.anchor, o.what)))


def _values(record: TestRecord, judgement: Judgement) -> dict[What, float]:
    """Return what is compared of one test; what it does not show is left out."""
    found: dict[What, float] = {}
    evaluation, anchor, procedure = judgement.evaluation, record.anchor, record.procedure
    near = procedure.test_load * (1 - 0.05)
    held = [c for c in evaluation.creep if c.load >= near and c.rate is not None]
    if held and held[-1].rate is not None:
        found["creep"] = held[-1].rate
    tops = [c for c in evaluation.cycles if c.load >= near]
    if not tops:
        return found
    top = tops[-1]
    A, E, P_al = anchor.area, anchor.modulus, procedure.alignment_load
    length = anchor.free_length + anchor.jack_length
    stretch = (top.load - P_al) * length / (A * E)
    found["total movement"] = top.total / stretch
    if top.residual is not None and top.elastic is not None and top.back is not None:
        found["residual movement"] = top.residual
        whole = apparent_free_length(A, E, top.elastic, top.load, top.back)
        found["apparent free length"] = whole / length
    return found
