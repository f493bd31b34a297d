"""Movement: how far the head moves, how much of it comes back, and what length that speaks of.

At the greatest load of a cycle the head has moved by the elastic stretch of the tendon and by what
stays: slip along the bond, settling of the head, creep. Back at the alignment load only the
residual movement is left, and the difference is elastic. The length that would stretch so much,
the apparent free length, tells whether the load reaches the bond (not less than most of the free
length) and stays near its head (not far into the bond).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from backstay.cite import Citation
from backstay.quantity import Force, Length, SectionArea, SmallLength, SteelModulus
from backstay.stressing.record import TestedAnchor
from backstay.stressing.regression import line_fit
from backstay.stressing.stays import Point, Stay
from backstay.trace import formula

ELASTIC = Citation("Hooke's law", "", "formula")


@formula("delta_e", Citation("definition", "elastic movement", "formula"))
def elastic_movement(delta_t: SmallLength, delta_r: SmallLength) -> SmallLength:
    """Elastic movement of a cycle: what comes back.

    delta_t: total movement at the greatest load; delta_r: residual movement at the alignment load
    """
    return delta_t - delta_r


@formula("L_app", ELASTIC)
def apparent_free_length(
    A: SectionArea, E: SteelModulus, delta_e: SmallLength, P_t: Force, P_al: Force
) -> Length:
    """Apparent free length, jack length included.

    A: area of the tendon; E: modulus of elasticity of the tendon; delta_e: elastic movement;
    P_t: greatest load; P_al: alignment load
    """
    return A * E * delta_e / (P_t - P_al)


@formula("delta_lim", ELASTIC)
def elastic_movement_for(
    L: Length, P_t: Force, P_al: Force, A: SectionArea, E: SteelModulus
) -> SmallLength:
    """Elastic movement at which an apparent free length is just reached.

    L: apparent free length, jack length included; P_t: greatest load; P_al: alignment load;
    A: area of the tendon; E: modulus of elasticity of the tendon
    """
    return (P_t - P_al) * L / (A * E)


@formula("F_f", ELASTIC)
def friction_along(
    A: SectionArea, E: SteelModulus, delta_e: SmallLength, L_r: Length, P_t: Force, P_al: Force
) -> Force:
    """Friction along the free length that elastic movement and stiffness on reloading speak of.

    It turns round with the direction of loading, so that it takes its share from what comes back
    and not from the slope of a loading already under way.
    A: area of the tendon; E: modulus of elasticity of the tendon; delta_e: elastic movement;
    L_r: length by the slope of the reloading; P_t: greatest load; P_al: alignment load
    """
    return P_t - P_al - A * E * delta_e / L_r


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleMovement:
    """One cycle: its greatest load and the movement there; what was left on return, if read.

    load, back: kN at the greatest load and at the return to the alignment load; total: movement
    (m) at the last reading at the greatest load; residual: at the last reading of the return;
    again: which repetition of the last cycle it is, nil for the procedure itself.
    """

    cycle: int
    again: int = 0
    share: float
    load: float
    total: float
    back: float | None = None
    residual: float | None = None

    @property
    def elastic(self) -> float | None:
        """Return the elastic movement (m), nil without a return to the alignment load."""
        return None if self.residual is None else elastic_movement(self.total, self.residual)


def cycles_of(visited: Sequence[Stay], alignment_load: float) -> tuple[CycleMovement, ...]:
    """Return the movement of each cycle that went beyond the alignment load, in the order run."""
    groups: dict[tuple[int, int], list[Stay]] = {}
    for stay in visited:
        groups.setdefault((stay.again, stay.step.cycle), []).append(stay)
    found = []
    for (again, cycle), members in groups.items():
        rising = [s for s in members if s.step.up and s.step.load > alignment_load * (1 + 1e-6)]
        if not rising:
            continue
        top = max(rising, key=lambda s: s.step.load)
        rest = [
            s for s in members if not s.step.up and s.step.load <= alignment_load * (1.0 + 1e-6)
        ]
        found.append(
            CycleMovement(
                cycle=cycle + again, again=again, share=top.step.share, load=top.last.load,
                total=top.last.movement, back=rest[-1].last.load if rest else None,
                residual=rest[-1].last.movement if rest else None,
            )
        )  # fmt: skip
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reloading:
    """The stiffness on reloading below the greatest load before, as a length, and the friction.

    length: m, jack length included; friction: kN, one way, along the free length and along what has
    yielded of the bond, which nothing at the head tells apart; readings: how many the slope stands
    on; cycle: in which they were taken.
    """

    length: float
    friction: float
    readings: int
    cycle: int


def reloading(
    visited: Sequence[Stay], cycles: Sequence[CycleMovement], anchor: TestedAnchor
) -> Reloading | None:
    """Return what the last reloading tells, nil where fewer than three of its loads were read.

    The first load of a reloading is left out: friction must turn round before the whole length
    stretches again. Loads beyond the cycle before are left out: there the bond gives anew.
    """
    A, E = anchor.area, anchor.modulus
    for earlier, later in reversed(list(pairwise(cycles))):
        if earlier.back is None or earlier.elastic is None:
            continue
        points = _reloaded(visited, earlier, later)
        line = line_fit([p.load for p in points], [p.movement for p in points])
        if len(points) < 3 or line is None or line.slope <= 0.0:
            continue
        length = A * E * line.slope
        friction = friction_along(A, E, earlier.elastic, length, earlier.load, earlier.back)
        if points[0].load - earlier.back < 2.0 * friction:
            continue
        return Reloading(length=length, friction=friction, readings=len(points), cycle=later.cycle)
    return None


def _reloaded(visited: Sequence[Stay], earlier: CycleMovement, later: CycleMovement) -> list[Point]:
    """Return the points of a reloading between its first load and the greatest load before it."""
    rising = [
        s.points[0]
        for s in visited
        if s.step.up
        and s.step.cycle + s.again == later.cycle
        and s.step.share <= earlier.share + 1e-6
    ]
    lowest = min((p.load for p in rising), default=0.0)
    return [p for p in rising if p.load > lowest]
