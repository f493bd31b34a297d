"""The slip model of a slope, as the project file describes it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from backstay.errors import DesignError
from backstay.ground import GAMMA_W
from backstay.model.ground import UndrainedStrength
from backstay.model.slope import KnownSurface, Slope, SlopePoint, SlopeStratum
from backstay.stability.slip.model import Circle, Floats, SlipModel


def slope_model(slope: Slope, *, shaken: bool = False) -> SlipModel:
    """Return the model of a slope. Raises DesignError where a stratum has no strength or no top."""
    surface = points_of(slope.profile)
    strata = slope.strata
    tops = tuple(_top(s, surface) for s in strata[1:])
    lines = (surface, *tops)
    for s in strata:
        _refuse_without_strength(s)
    undrained = [_undrained(s) for s in strata]
    return SlipModel(
        surface=surface,
        tops=tops,
        gamma=np.array([s.moist_unit_weight for s in strata]),
        gamma_sat=np.array([s.saturated_unit_weight for s in strata]),
        phi=np.array([0.0 if u[0] else s.friction_angle or 0.0 for s, u in zip(strata, undrained, strict=True)]),
        c=np.array([0.0 if u[0] else s.cohesion for s, u in zip(strata, undrained, strict=True)]),
        su=np.array([u[0] for u in undrained]),
        su_gradient=np.array([u[1] for u in undrained]),
        su_datum=np.array([float(line[:, 1].max()) for line in lines]),
        impenetrable=np.array([s.slides == "no" for s in strata]),
        water=points_of(slope.water) if slope.water else None,
        gamma_w=GAMMA_W,
        kh=slope.earthquake.kh if shaken and slope.earthquake else 0.0,
        kv=slope.earthquake.kv if shaken and slope.earthquake else 0.0,
    )  # fmt: skip


def known_surface(known: KnownSurface) -> Circle | Floats:
    """Return the known slip surface. Raises DesignError unless it is given in one way."""
    if known.centre is not None and known.radius is not None and not known.points:
        return Circle(known.centre.x, known.centre.elevation, known.radius)
    if len(known.points) >= 2 and known.centre is None and known.radius is None:
        return points_of(known.points)
    raise DesignError("give the slip surface as centre and radius, or as points", "slip surface")


def points_of(points: Sequence[SlopePoint]) -> Floats:
    """Return points as an array (n, 2)."""
    return np.array([(p.x, p.elevation) for p in points], dtype=float)


def _top(stratum: SlopeStratum, surface: Floats) -> Floats:
    left, right = float(surface[0, 0]), float(surface[-1, 0])
    if stratum.top is not None and not stratum.top_line:
        return np.array([(left, stratum.top), (right, stratum.top)])
    if stratum.top is None and len(stratum.top_line) >= 2:
        line = points_of(stratum.top_line)
        ends = np.array([(left, line[0, 1]), (right, line[-1, 1])])
        before = ends[:1] if line[0, 0] > left else ends[:0]
        after = ends[1:] if line[-1, 0] < right else ends[:0]
        return np.concatenate((before, line, after))
    raise DesignError("a stratum below the first needs top, or top_line", f"stratum {stratum.name}")


def _undrained(stratum: SlopeStratum) -> tuple[float, float]:
    given = stratum.undrained_strength
    if isinstance(given, UndrainedStrength):
        return given.at_top, given.gradient
    return given or 0.0, 0.0


def _refuse_without_strength(stratum: SlopeStratum) -> None:
    strong = stratum.friction_angle or stratum.cohesion or _undrained(stratum)[0]
    if not strong and stratum.slides == "yes":
        raise DesignError(
            "no strength is given: friction_angle, cohesion or undrained_strength",
            f"stratum {stratum.name}",
        )
