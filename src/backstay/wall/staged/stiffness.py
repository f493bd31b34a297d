"""How stiffly the ground bears on the wall: the horizontal subgrade modulus, and how far it is known.

The modulus is no property of the ground alone: it goes down as the width that bears goes up. For
piles that width is the pile or its hole; for continuous walls the modulus follows from the
stiffness of wall and ground, or from the embedment. No correlation is better than a factor of two
either way, so that an analysis with half and one with twice the modulus belong to every result.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import degrees
from typing import Literal

from backstay.cite import Citation, common_practice
from backstay.errors import DesignError
from backstay.ground import Layer
from backstay.quantity import (
    BendingStiffness,
    Count,
    Length,
    Modulus,
    Ratio,
    Stress,
    SubgradeModulus,
    SubgradeModulusGradient,
)
from backstay.trace import Step, formula, remark, state, trace, untraced

LOW_FACTOR, HIGH_FACTOR = 0.5, 2.0
"""Factors on the subgrade modulus of the runs that show what its uncertainty does."""
RANGE = common_practice("subgrade moduli are known within a factor of two either way")
POISSON = 0.3
"""Poisson's ratio of drained ground where none is given."""
CLAY_POISSON = 0.4
"""The same for clay, between drained and undrained."""
UNDRAINED_RATIO = 400.0
"""Undrained Young's modulus over undrained strength; 200 to 800 occur."""

_TERZAGHI = Citation("Terzaghi 1955", "Evaluation of coefficients of subgrade reaction", "memory")
_VESIC = Citation("Vesic 1961", "beams on an elastic half-space", "formula")
_SCHMITT = Citation("Schmitt 1995", "Revue Francaise de Geotechnique 71", "memory")
_DAVISSON = Citation("Davisson 1970", "lateral load capacity of piles, clays", "memory")
_BOWLES = Citation("Bowles 1996", "Foundation Analysis and Design, table 5-6", "memory")
_SCHMERTMANN = Citation("Schmertmann 1978", "E = 2.5 q_c under square footings", "memory")
_DUNCAN = Citation("Duncan and Buchignani 1976", "E_u / s_u between 200 and 800", "memory")
_ELASTIC = Citation("theory of elasticity", "", "formula")

PILE_GROWTH = {
    "loose": (2200.0, 1300.0), "medium": (6600.0, 4400.0), "dense": (17600.0, 10700.0),
}  # fmt: skip
"""n_h of sand for piles, moist and submerged, kN/m3 (Terzaghi 1955, from memory)."""
WALL_GROWTH = {
    "loose": (785.0, 500.0), "medium": (2510.0, 1570.0), "dense": (6280.0, 4080.0),
}  # fmt: skip
"""l_h of sand in front of anchored walls, moist and submerged, kN/m3 (Terzaghi 1955, from memory)."""
WEAK_ROCK = 500_000.0
"""Young's modulus of rock where none is given, kPa: that of weak rock."""


@formula("k_g", _TERZAGHI)
def growth_for_pile(n_h: SubgradeModulus, B: Length) -> SubgradeModulusGradient:
    """Growth of the subgrade modulus with depth, sand, for a pile.

    n_h: constant of the sand; B: width of pile or hole
    """
    return n_h / B


@formula("k_g", _TERZAGHI)
def growth_for_wall(l_h: SubgradeModulus, D: Length) -> SubgradeModulusGradient:
    """Growth of the subgrade modulus with depth, sand, for a continuous wall.

    l_h: constant of the sand; D: embedment below the cut
    """
    return l_h / D


@formula("k_h", _VESIC)
def modulus_for_pile(E_s: Modulus, B: Length, EI: BendingStiffness, nu: Ratio) -> SubgradeModulus:
    """Subgrade modulus of a pile in elastic ground.

    E_s: Young's modulus of the ground; B: width of pile or hole; EI: of the pile; nu: Poisson's
    ratio of the ground
    """
    r: Ratio = (E_s * B**4 / EI) ** (1 / 12)
    return 0.65 * r * E_s / (B * (1 - nu**2))


@formula("k_h", _ELASTIC)
def modulus_over_width(E_s: Modulus, B: Length) -> SubgradeModulus:
    """Subgrade modulus as Young's modulus over the width that bears.

    E_s: Young's modulus of the ground; B: width that bears
    """
    return E_s / B


@formula("E_oed", _ELASTIC)
def confined_modulus(E_s: Modulus, nu: Ratio) -> Modulus:
    """Modulus of ground that cannot spread (oedometer).

    E_s: Young's modulus; nu: Poisson's ratio
    """
    return E_s * (1 - nu) / ((1 + nu) * (1 - 2 * nu))


@formula("k_h", _SCHMITT)
def modulus_for_wall(E_oed: Modulus, EI: BendingStiffness, b: Length) -> SubgradeModulus:
    """Subgrade modulus of a continuous wall.

    E_oed: confined modulus of the ground; EI: bending stiffness of a strip; b: width of the strip
    """
    k: SubgradeModulus = 2.1 * E_oed ** (4 / 3) / (EI / b) ** (1 / 3)
    return k


@formula("k_h", _DAVISSON)
def modulus_of_clay_for_pile(s_u: Stress, B: Length) -> SubgradeModulus:
    """Subgrade modulus of a pile in clay.

    s_u: undrained strength; B: width of pile or hole
    """
    return 67 * s_u / B


@formula("E_u", _DUNCAN)
def undrained_modulus(s_u: Stress, r: Ratio) -> Modulus:
    """Young's modulus of undrained clay.

    s_u: undrained strength; r: modulus over strength
    """
    return r * s_u


@formula("E_s", _BOWLES, empirical=True)
def modulus_from_spt(N: Count) -> Modulus:
    """Young's modulus of sand (kPa) from the blow count.

    N: SPT blows per 300 mm or 1 ft
    """
    return 500 * (N + 15)


@formula("E_s", _SCHMERTMANN)
def modulus_from_cpt(q_c: Stress) -> Modulus:
    """Young's modulus of sand from the cone.

    q_c: cone resistance
    """
    return 2.5 * q_c


@dataclass(frozen=True, slots=True)
class Bearing:
    """What bears on the ground below the cut.

    width: m (1 of a continuous wall); EI: kNm2, of the pile or of 1 m of wall; embedment: m;
    isolated: a pile by itself, not a continuous wall.
    """

    width: float
    EI: float
    embedment: float
    isolated: bool


@dataclass(frozen=True, slots=True)
class SubgradeChoice:
    """The subgrade modulus of a stratum (or part of one), and why it.

    top: depth (m) from which it holds; k_h: at the surface of the ground, kN/m3; growth: with
    depth below the ground of either side, kN/m4; depth: at which `others`, what other methods
    would give (kN/m3), are compared.
    """

    stratum: str
    top: float
    k_h: float
    growth: float
    method: str
    reason: str
    depth: float
    others: tuple[tuple[str, float], ...]
    steps: tuple[Step, ...]

    def at(self, depth: float) -> float:
        """Return the modulus at a depth below the ground (kN/m3)."""
        return self.k_h + self.growth * depth


@dataclass(frozen=True, slots=True)
class _Method:
    """A way to the modulus: its name, why it is taken, and what computes modulus and growth."""

    name: str
    reason: str
    compute: Callable[[], tuple[float, float]]


def subgrade_modulus(
    layer: Layer, bearing: Bearing, *, top: float, depth: float, submerged: bool
) -> SubgradeChoice:
    """Choose the subgrade modulus of a stratum, from `top` down.

    depth: for which clay's strength is taken and methods are compared (m). The order: given; from
    Young's modulus; sand by its density where that is given (Terzaghi), from CPT or SPT, or by its
    angle of friction; clay from its undrained strength; presumed for rock. Raises DesignError
    where nothing is known.
    """
    found = _methods(layer, bearing, depth, submerged)
    if not found:
        raise DesignError(
            "no stiffness is known: give its subgrade_modulus or stiffness",
            f"stratum {layer.name}",
        )
    with trace() as t:
        remark(f"Subgrade modulus of {layer.name}: {found[0].name}; {found[0].reason}.")
        k, growth = found[0].compute()
    others = []
    with untraced():
        for method in found[1:]:
            k_other, growth_other = method.compute()
            others.append((method.name, k_other + growth_other * depth))
    return SubgradeChoice(
        layer.name, top, k, growth, found[0].name, found[0].reason, depth, tuple(others), t.steps
    )


def _methods(layer: Layer, bearing: Bearing, depth: float, submerged: bool) -> list[_Method]:
    """Return every method that applies, best first."""
    stratum = layer.stratum
    found: list[_Method] = []
    if stratum.subgrade_modulus is not None or stratum.subgrade_gradient is not None:
        found.append(_Method("given", "it stands in the project file", lambda: _given(layer)))
    if stratum.stiffness is not None:
        E = stratum.stiffness
        found.append(_from_modulus(layer, bearing, "Young's modulus", "that is given", lambda: E))
    if layer.kind == "granular":
        found += _sand(layer, bearing, submerged)
    if layer.su is not None and layer.su_at(depth) > 0.0:
        found.append(_clay(layer, bearing, depth))
    if layer.kind == "rock" and stratum.stiffness is None:
        found.append(
            _from_modulus(
                layer, bearing, "the modulus of weak rock",
                "no modulus is given, and sound rock is not softer", lambda: WEAK_ROCK,
            )
        )  # fmt: skip
    return found


def _given(layer: Layer) -> tuple[float, float]:
    stratum = layer.stratum
    return (
        state("k_h", f"Subgrade modulus of {layer.name}", stratum.subgrade_modulus or 0.0,
              "subgrade modulus", method="given"),
        state("k_g", "Its growth with depth", stratum.subgrade_gradient or 0.0,
              "subgrade modulus gradient", method="given"),
    )  # fmt: skip


def _from_modulus(
    layer: Layer, bearing: Bearing, source: str, reason: str, modulus: Callable[[], float]
) -> _Method:
    def compute() -> tuple[float, float]:
        E = state("E_s", f"Young's modulus of {layer.name}", modulus(), "modulus", method=source)
        nu = state("nu", "Poisson's ratio", POISSON if layer.su is None else CLAY_POISSON, "ratio",
                   method="presumed")  # fmt: skip
        if bearing.isolated:
            return modulus_for_pile(E, bearing.width, bearing.EI, nu), 0.0
        return modulus_for_wall(confined_modulus(E, nu), bearing.EI, bearing.width), 0.0

    author = "Vesic" if bearing.isolated else "Schmitt"
    return _Method(f"{author}, from {source}", reason, compute)


def _sand(layer: Layer, bearing: Bearing, submerged: bool) -> list[_Method]:
    stratum = layer.stratum
    density = stratum.density or density_of(layer.phi)

    def growth() -> tuple[float, float]:
        table = PILE_GROWTH if bearing.isolated else WALL_GROWTH
        constant = state(
            "n_h" if bearing.isolated else "l_h", f"Constant of {density} sand", table[density][submerged],
            "subgrade modulus", method="submerged" if submerged else "moist", cite=_TERZAGHI,
        )  # fmt: skip
        if bearing.isolated:
            return 0.0, growth_for_pile(constant, bearing.width)
        return 0.0, growth_for_wall(constant, bearing.embedment)

    by_density = _Method(
        f"Terzaghi, {density} sand",
        "no modulus is given; relative density as given"
        if stratum.density
        else "no modulus is given; relative density by the angle of friction",
        growth,
    )
    found: list[_Method] = []
    if (q_c := stratum.cpt_resistance) is not None:
        found.append(
            _from_modulus(layer, bearing, "CPT", "no modulus is given",
                          lambda: modulus_from_cpt(q_c))
        )  # fmt: skip
    if (N := stratum.spt_n) is not None:
        found.append(
            _from_modulus(layer, bearing, "SPT", "no modulus is given",
                          lambda: modulus_from_spt(N))
        )  # fmt: skip
    return [by_density, *found] if stratum.density else [*found, by_density]


def density_of(phi: float | None) -> Literal["loose", "medium", "dense"]:
    """Return the relative density that an angle of friction (rad) stands for (common practice)."""
    if phi is None or degrees(phi) < 31.5:
        return "loose"
    return "medium" if degrees(phi) < 36.5 else "dense"


def _clay(layer: Layer, bearing: Bearing, depth: float) -> _Method:
    def compute() -> tuple[float, float]:
        s_u = state("s_u", f"Undrained strength of {layer.name}", layer.su_at(depth), "stress",
                    method=f"at {{length:{depth:.4g}}} below the top of wall")  # fmt: skip
        if bearing.isolated:
            return modulus_of_clay_for_pile(s_u, bearing.width), 0.0
        E = undrained_modulus(s_u, UNDRAINED_RATIO)
        return modulus_for_wall(confined_modulus(E, CLAY_POISSON), bearing.EI, bearing.width), 0.0

    author = "Davisson" if bearing.isolated else "Schmitt"
    return _Method(
        f"{author}, from undrained strength", "no modulus is given; clay by its strength", compute
    )
