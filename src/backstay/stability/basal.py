"""Stability of the base of the cut: heave in clay, piping where water flows up.

Heave is tried by every form that applies; the least factor of safety is carried. The strength
below the base is that of the weakest clay within reach of the mechanism; a stiff layer below
limits its depth. What the embedded wall adds is left out. Granular ground and rock do not heave
this way.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf, pi
from typing import TYPE_CHECKING

from backstay.basis import Basis
from backstay.checks import Check, safety_check
from backstay.ground import GAMMA_W, Layer, Profile
from backstay.model.loads import Traffic, Uniform
from backstay.model.project import Section, Service
from backstay.model.wall import ContinuousWall
from backstay.pressure.water import critical_gradient, flooded_gradient, mean_gradient
from backstay.stability.heave import (
    bjerrum_eide_heave,
    exit_gradient_deep,
    heave_factor,
    heave_width,
    piping_safety,
    shaped_heave,
    terzaghi_heave,
    terzaghi_heave_wide,
)
from backstay.stability.heave_circle import least_circle, state_circle
from backstay.trace import Step, heading, remark, state, trace

if TYPE_CHECKING:
    from backstay.wall import WallDesign

_WIDE = 3.0
"""Heights of cut within which a circle comes up where the width of the cut is not given."""


@dataclass(frozen=True, slots=True)
class BaseDesign:
    """The base of the cut.

    heave_safety, piping_safety: None where they do not apply; notes: why, and what was assumed.
    """

    heave_safety: float | None
    piping_safety: float | None
    notes: tuple[str, ...]
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


def design_base(
    section: Section, ground: Profile, wall: WallDesign, service: Service, basis: Basis
) -> BaseDesign:
    """Check the base of the cut against heave (clay) and piping (flowing water)."""
    return base_at(section, ground, wall.toe, service, basis)


def base_at(
    section: Section, ground: Profile, toe: float, service: Service, basis: Basis
) -> BaseDesign:
    """Check the base of the cut with the toe of the wall at depth `toe` (m)."""
    notes: list[str] = []
    heave = _heave(section, ground, toe, service, basis, notes)
    piping = _piping(section, ground, toe, basis, notes)
    checks = tuple(c for c in (heave, piping) if c is not None)
    return BaseDesign(
        heave.demand if heave else None,
        piping.demand if piping else None,
        tuple(notes),
        checks,
        tuple(step for c in checks for step in c.steps),
    )


@dataclass(frozen=True, slots=True)
class _Base:
    """What heaves: depth of the clay's top, its strength below and beside, stiff layer."""

    top: float
    s_ub: float
    weakest: Layer
    stiff: float


@dataclass(frozen=True, slots=True)
class _Form:
    """A form of heave with its safety, and the part of that which the side of the block gives alone."""

    title: str
    FS: float
    side: float = 0.0


def _heave(
    section: Section, ground: Profile, toe: float, service: Service, basis: Basis,
    notes: list[str],
) -> Check | None:  # fmt: skip
    H, cut = ground.H, section.cut
    B = cut.width
    reach = 0.7 * B if B is not None else H
    base = _clay_below(ground, reach)
    if base is None:
        notes.append(
            "Base heave does not apply: no clay with undrained strength lies within reach below "
            "subgrade."
        )
        return None
    q = sum(s.pressure for s in section.surcharges if isinstance(s, (Uniform, Traffic)))
    if service.life == "permanent":
        least = basis.basal_heave_safety_permanent
    else:
        least = basis.basal_heave_safety
    wanted = section.targets.heave_safety or least.value
    found: list[_Form] = []
    with trace() as t:
        heading("Heave of the base")
        q_b = state(
            "q_b", "Vertical stress behind beyond that in front, at the top of the clay that heaves",
            ground.total_stress(base.top) + q - ground.total_stress(base.top, side="cut"),
            "stress", method=f"at {{length:{base.top:.4f}}} below the top of wall, surcharge included",
        )  # fmt: skip
        s_ub = state(
            "s_ub", "Undrained strength below the base", base.s_ub, "stress",
            method=f"{base.weakest.name}: the weakest clay within {{length:{reach:.4f}}} of the base",
        )  # fmt: skip
        s_us, H_c = _side(ground, base.top)
        if base.stiff < inf:
            remark(f"A stiff layer lies {{length:{base.stiff:.4f}}} below the clay's top.")
        if B is None:
            note = (
                "The width of the cut is not given: it is taken as very wide, without strength on "
                "the side of the block, which is the safe side. Give cut.width for a closer answer."
            )
            notes.append(note)
            remark(note)
            found.append(_Form("Terzaghi", terzaghi_heave_wide(s_ub, q_b)))
            found.append(_Form("Bjerrum and Eide", bjerrum_eide_heave(5.0, s_ub, q_b)))
        else:
            L = max(cut.length or inf, B)
            if cut.length is None:
                notes.append("The length of the cut is not given: it is taken as long (strip).")
            _state_side(s_us)
            B_1 = heave_width(B, base.stiff)
            if q_b > s_us * H_c / B_1:
                found.append(_Form("Terzaghi", terzaghi_heave(s_ub, s_us, q_b, H_c, B_1)))
            else:
                remark(
                    "Strength on the side alone carries the block: Terzaghi's form gives no limit."
                )
            found.append(
                _Form(
                    "shape and stiff layer",
                    shaped_heave(s_ub, s_us, q_b, H_c, B, L, base.stiff),
                    shaped_heave.function(0.0, s_us, q_b, H_c, B, L, base.stiff),
                )
            )
            N_c = heave_factor(base.top, B, L)
            found.append(_Form("Bjerrum and Eide", bjerrum_eide_heave(N_c, s_ub, q_b)))
        if B is None:
            _state_side(s_us)
        width = _WIDE * H if B is None else B
        circle = least_circle(ground, base.top, q_b, s_us, H_c, width)
        if circle is not None:
            remark("The ground behind turns on a circle through the clay and comes up in the cut.")
            found.append(_Form("slip circle", state_circle(circle, q_b, s_us, H_c)))
        if isinstance(section.wall, ContinuousWall) and toe > base.top:
            notes.append(_beneath(ground, base.top, q_b, s_us, H_c, width, toe))
        least_form = min(found, key=lambda form: form.FS)
        form, FS = least_form.title, least_form.FS
        remark(f"The least is carried: {form}. What the embedded wall adds is left out.")

    def circles(more: float) -> float:
        """Return the safety on circles with so many times the strength below, the side as it is."""
        one = least_circle(ground, base.top, q_b / more, s_us / more, H_c, width)
        return inf if one is None else one.safety

    return safety_check(
        "stability.base-heave", "heave of the base", FS, wanted, least.cite, steps=t.steps,
        note=f"least of {len(found)} forms: {form}",
        remedy="" if wanted <= FS else (
            f"needs an undrained strength of {{stress:{s_ub * _times(found, wanted, circles):.4g}}} below the base, a "
            "wall embedded into firmer ground with a base analysis of its own, a shallower or "
            "narrower cut, or a cut dug and closed in short lengths"
        ),
    )  # fmt: skip


def _times(found: list[_Form], wanted: float, circles: Callable[[float], float]) -> float:
    """Return how many times the strength below reaches what is wanted by every form.

    circles: their safety at so many times. They move as the strength grows, and hold less than in
    proportion: each step falls short of what is wanted, the next one less.
    """
    more = max((wanted - form.side) / (form.FS - form.side) for form in found)
    for _ in range(20):
        safety = circles(more)
        if safety >= wanted * (1 - 1e-4):
            break
        more *= wanted / safety
    return more


def _state_side(s_us: float) -> None:
    state("s_us", "Undrained strength beside the cut, average", s_us, "stress",
          method="over the clay beside the cut, by thickness, at the middle of each layer")  # fmt: skip


def _beneath(
    ground: Profile, top: float, q_b: float, s_us: float, H_c: float, width: float, toe: float
) -> str:
    """Return in words what a wall would gain that holds the ground above its toe."""
    circle = least_circle(ground, top, q_b, s_us, H_c, width, beneath=toe - top)
    if circle is None:
        return "No slip circle passes beneath the toe of the wall within the clay."
    return (
        f"Slip circles that pass beneath the toe of the wall have a safety of {circle.safety:.2f} "
        "at least. They count instead only if the wall below subgrade is shown to carry the ground "
        "between; that is not done here."
    )


def _clay_below(ground: Profile, reach: float) -> _Base | None:
    """Return the clay within reach below subgrade that may heave, or None."""
    H = ground.H
    top: float | None = None
    stiff = inf
    weakest: tuple[float, Layer] | None = None
    first: Layer | None = None
    for layer, a, b in ground.layers_between(H, H + reach):
        clay = layer.su is not None and layer.kind in ("soft clay", "stiff clay")
        if not clay:
            if top is not None:
                stiff = a - top
                break
            continue
        if top is None:
            top, first = a, layer
        elif first is not None and first.kind == "soft clay" and layer.kind == "stiff clay":
            stiff = a - top
            break
        mean = layer.su_at(0.5 * (a + b))
        if weakest is None or mean < weakest[0]:
            weakest = mean, layer
    if top is None or weakest is None:
        return None
    return _Base(top, weakest[0], weakest[1], stiff)


def _side(ground: Profile, bottom: float) -> tuple[float, float]:
    """Return the average undrained strength of the clay beside the cut, and its height (m)."""
    height = area = 0.0
    for layer, a, b in ground.layers_between(0.0, bottom):
        if layer.su is not None and layer.kind in ("soft clay", "stiff clay"):
            height += b - a
            area += layer.su_at(0.5 * (a + b)) * (b - a)
    return (area / height if height else 0.0), height


def _piping(
    section: Section, ground: Profile, toe: float, basis: Basis, notes: list[str]
) -> Check | None:
    H = ground.H
    front = ground.water_cut
    h = front - ground.water
    if ground.water == inf or h <= 0.0 or toe <= max(ground.water, H):
        return None
    if not isinstance(section.wall, ContinuousWall):
        notes.append(
            "Water stands behind the wall above the water in front. It drains through lagging, "
            "so piping below the toe is not calculated: lower the water by wells or sumps, and "
            "keep fines from washing out between the boards."
        )
        return None
    if ground.flow != "seepage":
        notes.append(
            "Water is stated to be at rest on both sides: the wall is taken to cut it off, and "
            "piping is not calculated. State water.flow: seepage where it can flow below the toe."
        )
        return None
    D = toe - max(front, H)
    if D <= 0.0:
        return None
    layers = ground.layers_between(max(front, H), toe)
    gamma = sum(layer.gamma_sat * (b - a) for layer, a, b in layers) / sum(
        b - a for _, a, b in layers
    )
    with trace() as t:
        heading("Piping in front of the wall")
        remark("Ground of even permeability; layers of lower permeability change the gradient.")
        if front < H:
            i_e = flooded_gradient(ground.water, front, H, toe)
        else:
            i_e = mean_gradient(ground.water, front, toe)
        at_exit = exit_gradient_deep(h, D)
        if at_exit > i_e:
            remark("The gradient at the exit is the steeper and is carried.")
            i_e = at_exit
        i_c = critical_gradient(gamma, GAMMA_W)
        FS = piping_safety(i_c, i_e)
    wanted = basis.piping_safety.value
    return safety_check(
        "stability.piping", "piping in front of the wall", FS, wanted, basis.piping_safety.cite,
        steps=t.steps,
        remedy="" if wanted <= FS else (
            "lower the water behind the wall, or deepen the toe by about "
            f"{{length:{_deeper(h * wanted / i_c, toe - ground.water, D):.4f}}}"
        ),
    )  # fmt: skip


def _deeper(path: float, behind: float, D: float) -> float:
    """Return how much deeper (m) the toe goes until both gradients are low enough.

    path: least length over which the head may be lost (m); behind: of the path behind the wall.
    """
    return max(0.0, (path - behind - D) / 2, path / pi - D)
