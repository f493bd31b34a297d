"""What acts on the toe below subgrade in one condition of strength, as running sums."""

from __future__ import annotations

from dataclasses import dataclass, replace

from backstay.trace import remark, state
from backstay.wall.limits import Condition, Level, Sums, is_undrained
from backstay.wall.resistance import Mechanism, active_at, continuous_at, isolated_at


@dataclass(frozen=True, slots=True)
class ToeCase:
    """One condition: running sums of what acts below subgrade, and what they require."""

    condition: Condition
    slope: float
    levels: tuple[Level, ...]
    fronts: tuple[tuple[Mechanism, Sums], ...]
    active: Sums
    water: Sums

    def least(self, z: float) -> tuple[Mechanism, Sums]:
        """Return the mechanism with the least passive resistance down to z, and its sums."""
        return min(self.fronts, key=lambda item: item[1].to(z)[0])

    def least_moment(self, z: float, pivot: float) -> tuple[Mechanism, float]:
        """Return the mechanism with the least moment about the pivot, and that moment."""
        found = [(name, sums.about(z, pivot)) for name, sums in self.fronts]
        return min(found, key=lambda item: item[1])

    @property
    def isolated(self) -> bool:
        """Say whether single piles stand in front, and not a continuous wall."""
        return self.fronts[0][0] != "continuous wall"

    def spare(self, z: float, T: float, wanted: float) -> float:
        """Return what resists beyond what is wanted (kN); nil at the required embedment."""
        P_p, P_a, P_w = self.least(z)[1].to(z)[0], self.active.to(z)[0], self.water.to(z)[0]
        if self.isolated:
            return P_p - P_a - P_w - wanted * T
        return P_p - wanted * (T + P_a + P_w)

    def spare_moment(self, z: float, T: float, wanted: float, pivot: float, H: float) -> float:
        """Return the same of moments about the lowest anchor (kNm)."""
        M_p = self.least_moment(z, pivot)[1]
        M_a, M_w = self.active.about(z, pivot), self.water.about(z, pivot)
        if self.isolated:
            return M_p - M_a - M_w - wanted * T * (H - pivot)
        return M_p - wanted * (T * (H - pivot) + M_a + M_w)


def record_ordinates(case: ToeCase, z: float, width: float, mechanism: Mechanism) -> None:
    """Record the ordinates at the ends of each layer and at the toe, for a check by hand."""
    for level in _ends(case.levels, z):
        undrained = is_undrained(level.layer, case.condition)
        remark(
            f"At {{length:{level.x:.4f}}} below subgrade, {level.layer.name}: vertical total "
            f"stress {{stress:{level.retained:.4g}}} behind, {{stress:{level.cut:.4g}}} in front; "
            f"pore pressure {{stress:{level.u_retained:.4g}}} and {{stress:{level.u_cut:.4g}}}."
        )
        state(
            "p_a", "Active pressure of the ground, not less than nil",
            active_at(level, case.condition, case.slope), "stress",
            method="total stress less twice the undrained strength" if undrained
            else "the larger of the line above and nil",
        )  # fmt: skip
        if not undrained and level.cut <= level.u_cut and level.layer.c == 0.0:
            remark("No effective stress in front here: no passive resistance.")
            continue
        if mechanism != "continuous wall":
            isolated_at(level, case.condition, width)
        state(
            "p_p", "Passive pressure of a continuous wall (times the spacing, the cap)",
            continuous_at(level, case.condition), "stress",
            method="total stress and twice the undrained strength" if undrained
            else "horizontal component, from the lines above",
        )  # fmt: skip


def _ends(levels: tuple[Level, ...], z: float) -> list[Level]:
    """Return the levels at the ends of each layer down to z, and that at z itself."""
    inside = [level for level in levels if level.z <= z + 1e-9]
    last = inside[-1]
    below = levels[len(inside) :]
    if z - last.z > 1e-9 and below:
        t = (z - last.z) / (below[0].z - last.z)
        inside.append(
            replace(
                last,
                z=z,
                x=last.x + z - last.z,
                retained=last.retained + t * (below[0].retained - last.retained),
                u_retained=last.u_retained + t * (below[0].u_retained - last.u_retained),
                cut=last.cut + t * (below[0].cut - last.cut),
                u_cut=last.u_cut + t * (below[0].u_cut - last.u_cut),
            )
        )
    return [
        level
        for i, level in enumerate(inside)
        if i == 0
        or i + 1 == len(inside)
        or inside[i - 1].layer is not level.layer
        or inside[i + 1].layer is not level.layer
    ]
