"""Stepped load: creep rate at every step and the critical creep load (method 3 of EN ISO 22477-5).

The load goes up without coming down, each step is held, and the creep rate alpha of each is drawn
against its load. Below the critical creep load the rates lie on one line, beyond it on a steeper
one. The two lines that fit best meet at the load where the anchor begins to yield.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log10

from backstay.cite import Citation
from backstay.quantity import Force, Ratio
from backstay.stressing.regression import LineFit, line_fit
from backstay.stressing.stays import Stay
from backstay.trace import formula

CRITICAL_SHARE = 0.9
_CRITICAL = Citation("EN 1537:1999", "annex E.4, critical creep load", "memory")
LAST_PART = 4.0
"""The rate of a step is that of its readings in the last fourfold of its time."""


@formula("P_c", _CRITICAL)
def critical_creep_load(r_c: Ratio, P_x: Force) -> Force:
    """Critical creep load.

    r_c: share of the load at which the two lines meet; P_x: load at which they meet
    """
    return r_c * P_x


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRate:
    """Creep rate of one step: load (kN), movement per tenfold time (m), its standard error (m)."""

    share: float
    load: float
    rate: float
    error: float
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CriticalLoad:
    """The critical creep load (kN), nil where the rates lie on one line, and how it was found.

    meet: load at which the two lines meet; before: steps on the first line; residual: root mean
    square of the rates off their lines (m); method: in words.
    """

    load: float | None
    meet: float | None
    before: int
    first: LineFit | None
    second: LineFit | None
    residual: float
    method: str


def step_rates(visited: Sequence[Stay], alignment_load: float) -> tuple[StepRate, ...]:
    """Return the creep rate of every step that was held on the way up with readings enough."""
    found = []
    for stay in visited:
        if not stay.step.up or stay.step.load <= alignment_load * (1.0 + 1e-6):
            continue
        held = stay.held
        late = [p for p in stay.timed if p.minute >= held / LAST_PART * (1.0 - 1e-6)]
        line = line_fit([log10(p.minute) for p in late], [p.movement for p in late])
        if line is None or len(late) < 3:
            continue
        found.append(
            StepRate(
                share=stay.step.share, load=sum(p.load for p in late) / len(late), rate=line.slope,
                error=line.slope_error, minutes=held,
            )
        )  # fmt: skip
    return tuple(found)


def critical_load(rates: Sequence[StepRate], resolution: float) -> CriticalLoad:
    """Return the critical creep load by two straight lines.

    resolution: graduation of the dials (m): the last rate must lie above the first line by three
    times as much, else the rates lie on one line as far as dials can show.
    """
    x, y = [r.load for r in rates], [r.rate for r in rates]
    n = len(rates)
    one = line_fit(x, y)
    if n < 4 or one is None:
        return _none(n, "fewer than four steps: no two lines")
    best: tuple[float, int, LineFit, LineFit, float] | None = None
    for k in range(2, n - 1):
        first, second = line_fit(x[:k], y[:k]), line_fit(x[k:], y[k:])
        if first is None or second is None or second.slope <= first.slope:
            continue
        meet = (first.intercept - second.intercept) / (second.slope - first.slope)
        if not x[k - 1] * (1.0 - 1e-9) <= meet <= x[k] * (1.0 + 1e-9):
            continue
        off = sum((b - first.at(a)) ** 2 for a, b in zip(x[:k], y[:k], strict=True))
        off += sum((b - second.at(a)) ** 2 for a, b in zip(x[k:], y[k:], strict=True))
        if best is None or off < best[0]:
            best = (off, k, first, second, meet)
    if best is None:
        return _none(
            n,
            f"the rates of {n} steps lie on one line: no two lines meet between their parts, the second steeper",
        )
    off, k, first, second, meet = best
    if y[-1] - first.at(x[-1]) <= 3.0 * resolution:
        return _none(n, "the last rate lies on the line of the first, as far as dials can show")
    return CriticalLoad(
        load=critical_creep_load(CRITICAL_SHARE, meet), meet=meet, before=k, first=first,
        second=second, residual=(off / n) ** 0.5,
        method=f"two lines through {k} and {n - k} of {n} steps by least squares, the split that "
        "leaves the least",
    )  # fmt: skip


def _none(count: int, method: str) -> CriticalLoad:
    return CriticalLoad(
        load=None, meet=None, before=count, first=None, second=None, residual=0.0, method=method
    )
