"""The cantilever stage: before its first row is stressed every tied-back wall is a cantilever.

Simplified method for a cantilever in ground: active pressure on the full spacing above the dig
level and on the pile width below it, passive pressure (divided by its factor) on three pile
widths, not more than the spacing. Moments vanish at a depth D0 below the dig level, where the
toe reaction is taken to act; 20 % is added for that reaction to develop.

The deflection is an estimate: the curvature of the moment diagram with passive pressure not
factored, integrated twice, with the wall held fixed where those moments vanish. The ground in
front is at its limit in it, so it is large where the wall is far from failing. Strength by
undrained and by drained values is tried where clay states both, and the larger embedment governs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf

from backstay.basis import Basis
from backstay.checks import Check, Sense
from backstay.cite import Citation
from backstay.ground import Profile
from backstay.model.project import Section
from backstay.pressure.diagram import Diagram, total
from backstay.quantity import QUANTITIES, Length, Ratio
from backstay.trace import Step, formula, heading, remark, state, trace, untraced
from backstay.wall.limits import (
    ONE_METRE,
    Condition,
    Sums,
    at_stage,
    conditions,
    first_at_least,
    known_to,
    levels,
    uniform_surcharge,
    unknown_strength,
)
from backstay.wall.resistance import active_at, front, net_water_on

SIMPLIFIED = Citation(
    "simplified method for cantilever walls (fixed earth; Blum 1931)", "", "memory"
)
ADDED_SHARE = 0.2
"""Share added to the embedment D0 of the simplified method."""


@dataclass(frozen=True, slots=True)
class CantileverStage:
    """The wall as a cantilever. Per pile (per metre for a continuous wall).

    depth: dig level z (m); embedment_zero: D0 where moments vanish; embedment_required: below the
    dig level, inf where there is no equilibrium; embedment_provided: None where the toe is not
    known yet; moment: greatest (kNm), at depth moment_z; deflection: of the head (m), inf where
    there is no equilibrium; pressure: net ordinates (kN per metre of depth) with factored
    passive pressure; condition: that governs.
    """

    depth: float
    embedment_zero: float
    embedment_required: float
    embedment_provided: float | None
    moment: float
    moment_z: float
    shear: float
    deflection: float
    pressure: Diagram
    condition: Condition
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


@formula("D", SIMPLIFIED)
def cantilever_embedment(D_0: Length, f: Ratio) -> Length:
    """Embedment of the cantilever with the share added for the toe reaction to develop.

    D_0: depth below the dig level where moments vanish
    f: share added
    """
    return D_0 * (1 + f)


@dataclass(frozen=True, slots=True)
class _Case:
    """One condition at the cantilever stage: running sums per pile."""

    condition: Condition
    active: Sums
    water: Sums
    extra: Sums
    passive: Sums
    factor: float

    def tipping(self, z: float) -> float:
        """Return the moment in the wall at depth z; positive bends it into the cut."""
        push = sum(
            sums.to(z)[0] * z - sums.to(z)[1] for sums in (self.active, self.water, self.extra)
        )
        area, moment = self.passive.to(z)
        return push - (area * z - moment) / self.factor

    def shear(self, z: float) -> float:
        push = sum(sums.to(z)[0] for sums in (self.active, self.water, self.extra))
        return push - self.passive.to(z)[0] / self.factor

    def zero(self, dig_level: float, reach: float) -> tuple[float, float, int]:
        """Return the depth below the dig level where moments vanish, residual and halvings."""
        return first_at_least(lambda D: -self.tipping(dig_level + D), 0.0, 0.0, reach, 0.25)

    def net(self) -> Diagram:
        z = self.active.z
        extra = Diagram("", self.extra.z, self.extra.p)
        return Diagram(
            "net pressure, cantilever stage",
            z,
            tuple(
                a
                + w
                + (extra.at(depth, below=False) if depth > 0 else extra.at(depth))
                - q / self.factor
                for depth, a, w, q in zip(
                    z, self.active.p, self.water.p, self.passive.p, strict=True
                )
            ),
        )


def cantilever_stage(
    section: Section,
    ground: Profile,
    *,
    dig_level: float,
    pile_width: float,
    spacing: float,
    stiffness: float,
    basis: Basis,
    toe: float | None = None,
    isolated: bool = True,
    surcharges: Sequence[Diagram] = (),
    passive_factor: float | None = None,
) -> CantileverStage:
    """Analyse the wall as a cantilever dug to `dig_level`, before the first row is stressed.

    dig_level: depth (m), of the first row and its over-excavation; pile_width: that bears below
    the dig level (m); spacing: m; stiffness: EI per pile (kNm2; per metre for a continuous wall
    with pile_width = spacing = 1); toe: depth of the toe, None where not known yet; surcharges:
    pressures (kPa) of local loads, in addition to the uniform surcharge of the section that acts
    through the active coefficient; passive_factor: on passive pressure, by default the basis'.

    Where no embedment gives equilibrium, the check fails and moment is that at the dig level.
    Raises DesignError where a stratum states no strength.
    """
    factor = passive_factor or basis.cantilever_safety.value
    stage = at_stage(ground, dig_level)
    q = uniform_surcharge(section)
    with untraced():
        found: list[tuple[_Case, float, float, int]] = []
        deepest, unknown = known_to(stage, 0.0, dig_level + max(5.0 * dig_level, 15.0))
        if deepest <= dig_level:
            raise unknown_strength(unknown, "cantilever stage")
        for reach in (min(deepest - dig_level, max(1.5 * dig_level, 3.0)), deepest - dig_level):
            bottom = dig_level + reach
            points = levels(stage, 0.0, bottom, dug_to=dig_level, surcharge=q)
            z = [p.z for p in points]
            buried = [i > 0 and p.z >= dig_level and points[i - 1].z >= dig_level
                      for i, p in enumerate(points)]  # fmt: skip
            widths = [pile_width if b else spacing for b in buried]
            found = []
            for condition in conditions(stage, 0.0, bottom):
                below = [p for p, b in zip(points, buried, strict=True) if b]
                _, resisting = front(
                    below, condition, width=pile_width, spacing=spacing, isolated=isolated
                )[-1]
                active = [
                    w * active_at(p, condition, stage.slope)
                    for p, w in zip(points, widths, strict=True)
                ]
                water = net_water_on(points, condition, 1.0).p
                case = _Case(
                    condition,
                    Sums.of(z, active),
                    Sums.of(z, [w * u for w, u in zip(widths, water, strict=True)]),
                    _extra(surcharges, spacing, pile_width, dig_level),
                    _padded(resisting, z),
                    factor,
                )
                zero, residual, halvings = case.zero(dig_level, reach)
                found.append((case, zero, residual, halvings))
            if all(item[1] < inf for item in found):
                break
        if unknown and any(item[1] == inf for item in found):
            raise unknown_strength(unknown, "cantilever stage")
        case, zero, residual, halvings = max(
            found, key=lambda item: (item[1], item[0].tipping(dig_level))
        )
        # the condition that needs the deepest toe need not bend the wall most
        bent = [_greatest(item[0], dig_level, item[1]) for item in found]
        moment_z, moment, _ = max(bent, key=lambda item: item[1])
        shear = max(item[2] for item in bent)
        deflection, fixed = max(
            _head_deflection(item[0], dig_level, item[1], stiffness) for item in found
        )
    with trace() as t:
        heading("Cantilever stage, before the first row is stressed")
        if not isolated:
            remark(ONE_METRE)
        if len(found) > 1:
            for (other, depth, _, _), (_, most, _) in zip(found, bent, strict=True):
                remark(
                    f"{other.condition.capitalize()} strength: moments vanish "
                    f"{{length:{depth:.4f}}} below the dig level; greatest moment "
                    f"{{moment:{most:.4g}}}."
                )
            remark("Moment, shear and deflection are the greatest of both.")
        remark(f"Embedment: {case.condition} strength.")
        state(
            "z",
            "Dig level below the top of wall",
            dig_level,
            "length",
            method="dug to before row 1 is stressed",
        )
        state(
            "FS", "Factor on passive pressure", factor, "ratio", cite=basis.cantilever_safety.cite
        )
        state("P_a", "Force that pushes, above the dig level", sum(
            s.to(dig_level)[0] for s in (case.active, case.water, case.extra)), "force",
            method="active pressure, net water and surcharges on the full spacing")  # fmt: skip
        state("M_dig", "Moment at the dig level", case.tipping(dig_level), "moment",
              method="moment of that force about the dig level")  # fmt: skip
        state(
            "D_0", "Depth below the dig level where moments vanish", zero, "length",
            method=f"bisection, {halvings} halvings, residual {{moment:{-residual:.3g}}}"
            if zero < inf else "no equilibrium within the depth searched", cite=SIMPLIFIED,
        )  # fmt: skip
        required = cantilever_embedment(zero, ADDED_SHARE) if isolated or zero else zero
        state(
            "M_max", "Greatest moment", moment, "moment",
            method=f"where shear vanishes, at {{length:{moment_z:.4f}}} below the top of wall",
        )  # fmt: skip
        state(
            "y", "Deflection of the head, an estimate", deflection, "small length",
            method="curvature M/EI of the moments with passive pressure not factored, integrated "
            "twice by straight pieces; the wall is held fixed where those moments vanish, "
            f"{{length:{fixed:.4f}}} below the dig level",
        )  # fmt: skip
    provided = None if toe is None else toe - dig_level
    checks: tuple[Check, ...] = ()
    if provided is not None:
        checks = (
            Check(
                "wall.cantilever-embedment", "embedment at the cantilever stage", provided, required,
                QUANTITIES["length"], basis.cantilever_safety.cite, Sense.AT_LEAST,
                where="before row 1 is stressed", steps=t.steps,
                remedy=_remedy(provided, required),
            ),
        )  # fmt: skip
    return CantileverStage(
        dig_level, zero, required, provided, moment, moment_z, shear, deflection, case.net(),
        case.condition, checks, t.steps,
    )  # fmt: skip


def _remedy(provided: float, required: float) -> str:
    if required == inf:
        return (
            "the wall does not stand as a cantilever to this depth: raise the first row, or dig "
            "less below it before stressing"
        )
    if provided >= required - 1e-9:
        return ""
    return (
        f"embedment below this dig level {{length:{provided:.4f}}}, needs {{length:{required:.4f}}}; "
        "or raise the first row, or dig less below it before stressing"
    )


def _extra(surcharges: Sequence[Diagram], spacing: float, width: float, dig_level: float) -> Sums:
    """Return the local surcharges: on the full spacing above the dig level, on the pile below."""
    parts = [d.clipped(0.0, dig_level).scaled(spacing) for d in surcharges]
    parts += [d.clipped(dig_level, inf).scaled(width) for d in surcharges]
    parts = [d for d in parts if d.z]
    if not parts:
        return Sums.of((0.0,), (0.0,))
    whole = total("surcharges", parts)
    return Sums.of(whole.z, whole.p)


def _padded(sums: Sums, z: Sequence[float]) -> Sums:
    """Return the sums with a nil part in front, so that all ordinates share the depths z."""
    missing = len(z) - len(sums.z)
    nil = (0.0,) * missing
    return Sums(tuple(z), nil + sums.p, nil + sums.area, nil + sums.moment)


def _greatest(case: _Case, dig_level: float, zero: float) -> tuple[float, float, float]:
    """Return depth and value of the greatest moment, and the greatest shear."""
    if zero == inf:
        return dig_level, case.tipping(dig_level), case.shear(dig_level)
    depth, _, _ = first_at_least(lambda D: -case.shear(dig_level + D), 0.0, 0.0, zero, 0.25)
    if depth == inf:
        depth = 0.0
    return (
        dig_level + depth,
        case.tipping(dig_level + depth),
        max(case.shear(dig_level), -case.shear(dig_level + zero)),
    )


def _head_deflection(
    case: _Case, dig_level: float, zero: float, stiffness: float
) -> tuple[float, float]:
    """Return the deflection of the head and the depth below the dig level where it is held fixed.

    First moment of M/EI about the head, with passive pressure not divided by its factor.
    """
    if zero == inf:
        return inf, inf
    likely = replace(case, factor=1.0)
    fixed, _, _ = likely.zero(dig_level, zero + 0.25)
    bottom = dig_level + fixed
    z = sorted({0.0, bottom, *(depth for depth in case.active.z if depth < bottom)})
    M = [likely.tipping(depth) for depth in z]
    return Sums.of(z, M).to(bottom)[1] / stiffness, fixed
