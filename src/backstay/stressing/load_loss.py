"""Load loss: load with time after lock-off, at constant length (method 2 of EN ISO 22477-5).

The anchor is judged by the share of its load that is lost up to each of several times, and by the
share lost per tenfold time where a national annex limits that. Load goes with the movement of the
head: a wall that moves while the load is read must be measured and is not corrected here.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log10

from backstay.cite import Citation
from backstay.quantity import Force, Minutes, Percent
from backstay.stressing.creep import at_minute
from backstay.stressing.regression import LineFit, line_fit
from backstay.stressing.rules import LossByTime
from backstay.stressing.stays import Stay
from backstay.trace import formula

LOSS = Citation("EN ISO 22477-5:2018", "method 2, load loss", "formula")


@formula("r_l", LOSS)
def load_loss(P_0: Force, P: Force) -> Percent:
    """Share of the load that is lost.

    P_0: load at lock-off; P: load at the time
    """
    return (P_0 - P) / P_0


@formula("k_l", LOSS)
def load_loss_rate(P_0: Force, P_1: Force, P_2: Force, t_1: Minutes, t_2: Minutes) -> Percent:
    """Share of the load that is lost per tenfold time.

    P_0: load at lock-off; P_1: load at the earlier minute; P_2: at the later; t_1: earlier
    minute; t_2: later minute
    """
    return (P_1 - P_2) / (P_0 * log10(t_2 / t_1))


@dataclass(frozen=True, slots=True, kw_only=True)
class LossAt:
    """Loss up to a minute and its limit, as shares; read: whether that very minute was read."""

    minute: float
    load: float
    limit: float
    read: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadLoss:
    """Load with time after lock-off.

    initial: load at the first reading (kN), at `since` minutes; points: (minute, load) by time;
    by_time: at the times of the rule that the readings enclose; fit: line of load against log10 of
    the minute.
    """

    initial: float
    since: float
    points: tuple[tuple[float, float], ...]
    by_time: tuple[LossAt, ...]
    fit: LineFit | None

    @property
    def rate(self) -> float | None:
        """Return the share lost per tenfold time by regression."""
        return None if self.fit is None else -self.fit.slope / self.initial


def loss_of(stay: Stay, limits: LossByTime | None) -> LoadLoss | None:
    """Return the load loss of a stay, nil before its second reading."""
    ordered = sorted(stay.points, key=lambda p: p.minute)
    if len(ordered) < 2 or ordered[0].load <= 0.0:
        return None
    timed = stay.timed
    found = []
    for minute, limit in limits.limits if limits else ():
        at = at_minute(timed, minute)
        if at is not None:
            found.append(LossAt(minute=minute, load=at.load, limit=limit, read=at.read))
    return LoadLoss(
        initial=ordered[0].load, since=ordered[0].minute,
        points=tuple((p.minute, p.load) for p in ordered), by_time=tuple(found),
        fit=line_fit([log10(p.minute) for p in timed], [p.load for p in timed]),
    )  # fmt: skip
