"""The critical failure surface: what moves with the wall, and where the bond zone must not be.

It starts at the bottom of the cut. In uniform, drained, level ground it is the plane of a smooth
wall, 45 degrees + phi/2 above horizontal; in clay undrained it is the plane at 45 degrees. In
layered, sloping or watered ground, or under local loads, it is the plane of the wedge that pushes
most (`backstay.pressure.wedge`), for a smooth wall as well, so that the two agree where both
apply. Where strength is to be had both drained and undrained, the flatter plane counts: it puts
the bond zone farther back.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import pi, tan

from backstay.anchors.geometry import surface_depth
from backstay.cite import GEC4, Citation
from backstay.errors import DesignError
from backstay.ground.profile import Layer, Profile
from backstay.model.loads import Line, Strip, Surcharge, Traffic, Uniform
from backstay.model.project import Section
from backstay.pressure.wedge import ActiveWedge, Strength, active_wedge
from backstay.quantity import Angle, Length
from backstay.trace import Step, formula, remark, state, trace

PLANE = Citation(GEC4, "section 5.3, location of the critical failure surface", "memory")
_NIL_PUSH = 1e-6


@dataclass(frozen=True, slots=True)
class CriticalSurface:
    """The critical failure surface in the section.

    points: (x, z) from the bottom of the cut (0, H) up to the ground surface; angle: of its
    first piece above horizontal (rad); method: how it was found, in words.
    """

    points: tuple[tuple[float, float], ...]
    angle: float
    method: str
    steps: tuple[Step, ...]


@formula("alpha", Citation("Rankine 1857", "", "formula"))
def plane_angle(phi: Angle) -> Angle:
    """Angle of the critical plane above horizontal.

    phi: effective friction angle; nil in clay undrained
    """
    return pi / 4 + phi / 2


@formula("x_0", PLANE)
def plane_exit(H: Length, alpha: Angle) -> Length:
    """Distance behind the wall at which the plane meets level ground.

    H: height of the cut
    alpha: angle of the plane above horizontal
    """
    return H / tan(alpha)


def critical_surface(section: Section, ground: Profile) -> CriticalSurface:
    """Return the critical failure surface of a section.

    Raises DesignError where a layer beside the cut has no strength to take, or where the ground
    behind is too steep for any wedge.
    """
    layers = [(layer, b - a) for layer, a, b in ground.layers_between(0.0, ground.H)]
    level = len(ground.surface) == 1 and ground.slope == 0.0
    local = any(isinstance(load, Strip | Line) for load in section.surcharges)
    angles = [_friction(layer) for layer, _ in layers]
    uniform = max(angles) - min(angles) <= 1e-9
    undrained = all(_is_undrained(layer) for layer, _ in layers)
    dry = undrained or (ground.water >= ground.H and not ground.perched)
    with trace() as t:
        if level and uniform and dry and not local:
            angle, points, method = _plane(ground, angles[0], undrained)
        else:
            angle, points, method = _searched(section, ground, layers, level)
        _note_soft_base(ground)
    return CriticalSurface(points, angle, method, t.steps)


def _is_undrained(layer: Layer) -> bool:
    return layer.su is not None and layer.kind in ("stiff clay", "soft clay")


def _friction(layer: Layer) -> float:
    """Return the friction angle that the plane takes: nil in clay undrained."""
    if _is_undrained(layer):
        return 0.0
    if layer.phi is None:
        raise DesignError(
            "there is no angle of friction and no undrained strength for the critical failure "
            "surface: give one",
            f"stratum {layer.name}",
        )
    return layer.phi


_Found = tuple[float, tuple[tuple[float, float], ...], str]


def _plane(ground: Profile, phi: float, undrained: bool) -> _Found:
    method = (
        "plane at 45 degrees from the bottom of the cut: clay undrained"
        if undrained
        else "plane at 45 degrees + phi/2 from the bottom of the cut: uniform drained level ground"
    )
    remark(f"Critical failure surface: {method}.")
    angle = plane_angle(phi)
    return angle, ((0.0, ground.H), (plane_exit(ground.H, angle), 0.0)), method


def _searched(
    section: Section, ground: Profile, layers: list[tuple[Layer, float]], level: bool
) -> _Found:
    loads: list[Surcharge] = []
    for load in section.surcharges:
        if isinstance(load, Uniform | Traffic | Strip | Line):
            loads.append(load)
        else:
            remark(f"The {load.kind} load {load.name} is too local to move the critical surface.")
    found: list[tuple[Strength, ActiveWedge]] = []
    strengths: list[Strength] = ["undrained"] if any(_is_undrained(la) for la, _ in layers) else []
    if all(layer.phi is not None for layer, _ in layers):
        strengths.append("drained")
    for strength in strengths:
        wedge = active_wedge(
            ground, z_base=ground.H, surcharges=loads, delta=0.0, strength=strength
        )
        if wedge.thrust > _NIL_PUSH * sum(la.gamma * h for la, h in layers) * ground.H:
            found.append((strength, wedge))
        else:
            remark(f"With {strength} strength the ground beside the cut does not push.")
    if not found:
        return _weighted(ground, layers, level)
    chosen, wedge = min(found, key=lambda pair: pair[1].angle)
    method = f"plane of the wedge that pushes most, {chosen} strength: {wedge.method}"
    remark(
        "Critical failure surface: the ground is layered, sloping, watered or locally loaded, so "
        "the plane is searched (smooth wall)"
        + ("; of drained and undrained the flatter counts." if len(found) > 1 else ".")
    )
    state("alpha", "Angle of the critical plane above horizontal", wedge.angle, "angle",
          method=method, cite=PLANE)  # fmt: skip
    return wedge.angle, wedge.points, method


def _weighted(ground: Profile, layers: list[tuple[Layer, float]], level: bool) -> _Found:
    """Return the plane by the friction angle averaged by thickness, where no wedge pushes."""
    phi = state(
        "phi", "Friction angle averaged by thickness over the cut",
        sum(_friction(layer) * h for layer, h in layers) / sum(h for _, h in layers), "angle",
        method="nil in clay undrained", cite=PLANE,
    )  # fmt: skip
    method = (
        "plane at 45 degrees + phi/2 with phi averaged by thickness, since no wedge pushes by the "
        "ground's own strength"
    )
    remark(f"Critical failure surface: {method}.")
    angle = plane_angle(phi)
    if level:
        return angle, ((0.0, ground.H), (plane_exit(ground.H, angle), 0.0)), method
    return angle, ((0.0, ground.H), _exit(ground, angle)), method


def _exit(ground: Profile, angle: float) -> tuple[float, float]:
    """Return where a plane from the bottom of the cut comes out of ground that is not level."""
    steep = tan(angle)
    reach = 1.0 if len(ground.surface) == 1 else ground.surface[-1][0]
    xs = [*(x for x, _ in ground.surface), reach, reach + 100.0 * ground.H]
    for x1, x2 in pairwise(xs):
        gap1 = ground.H - x1 * steep - surface_depth(ground, x1)
        gap2 = ground.H - x2 * steep - surface_depth(ground, x2)
        if gap2 <= 0.0 < gap1:
            x = x1 + (x2 - x1) * gap1 / (gap1 - gap2)
            return x, ground.H - x * steep
    raise DesignError(
        "the critical failure surface does not come out of the ground behind the wall"
    )


def _note_soft_base(ground: Profile) -> None:
    below = ground.layer_at(ground.H)
    if below.kind == "soft clay":
        remark(
            f"{below.name} is soft and continues below the cut: a failure surface may pass under "
            "the bottom of the wall and reach farther back than this plane. See the check of base "
            "heave, and have the stability of the whole examined before bond zones are fixed."
        )
