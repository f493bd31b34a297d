"""Safety of given slip surfaces: closed forms, published circles, integrals, and a second method."""

from __future__ import annotations

from collections.abc import Callable
from math import asin, cos, radians, sin, sqrt, tan
from typing import Any

import numpy as np
from benchmarks.slip_plain import PlainSlope, factors
from scipy.integrate import quad

from backstay.cite import Provenance
from backstay.stability.slip import (
    AnchorForce,
    Method,
    PressureGrid,
    SlipModel,
    analyse_circle,
    analyse_surface,
)
from tests.verification.catalogue import Case

GROUND = np.array([(-30.0, 0.0), (0.0, 0.0), (15.0, 10.0), (50.0, 10.0)])
CIRCLE = (6.0, 18.0, sqrt(373.0))
NOTES = "lecture notes on the method of slices, recomputed"
MOMENTS = "moments about the centre of the circle; integrals by adaptive quadrature"
PLANE = "equilibrium of a block on a plane"
WYLLIE = "Wyllie and Mah, Rock Slope Engineering (2004), chapter 7; recomputed from the closed form"
KRAHN = "Fredlund and Krahn, Canadian Geotechnical Journal 14 (1977), example of comparison"
SLICED = "50 slices"


def slope(ground: np.ndarray = GROUND, gamma: float = 18.0, c: float = 0.0, phi: float = 0.0,
          su: float = 0.0, **more: Any) -> SlipModel:  # fmt: skip
    """Return a homogeneous slope; phi in degrees."""
    one = {
        k: np.array([v]) for k, v in {"gamma": gamma, "c": c, "phi": radians(phi), "su": su}.items()
    }
    return SlipModel(surface=ground, **one, **more)


def on_circle(method: Method, circle: tuple[float, float, float] = CIRCLE, **given: Any) -> float:
    return analyse_circle(slope(**given), circle, method).F


def on_line(points: list[tuple[float, float]], method: Method = "spencer", **given: Any) -> float:
    return analyse_surface(slope(**given), np.array(points), method).F


def anchor(total: float, convention: Any = "active") -> tuple[AnchorForce, ...]:
    t = radians(15.0)
    return (AnchorForce(x=7.5, y=5.0, dx=cos(t), dy=-sin(t), total=total, convention=convention),)


# --- the undrained circle by integrals, with nothing of the program ---------------------------------
def height(x: float) -> float:
    return float(np.interp(x, GROUND[:, 0], GROUND[:, 1]))


def base(x: float) -> float:
    return CIRCLE[1] - sqrt(CIRCLE[2] ** 2 - (x - CIRCLE[0]) ** 2)


def integral(f: Callable[[float], float], a: float, b: float, *kinks: float) -> float:
    return float(quad(f, a, b, points=kinks or None, epsabs=1e-10, epsrel=1e-10, limit=200)[0])


LEFT, RIGHT = 6.0 - sqrt(373.0 - 18.0**2), 6.0 + sqrt(373.0 - 8.0**2)
KINKS = (0.0, 15.0)


def weight_moment(end: float = RIGHT) -> float:
    return 18.0 * integral(lambda x: (height(x) - base(x)) * (x - 6.0), LEFT, end, *KINKS)


def angle(x: float) -> float:
    return asin((x - 6.0) / CIRCLE[2])


def strength_moment(su: Callable[[float, float], float], end: float = RIGHT) -> float:
    """Return the moment of su(y, alpha) along the arc."""
    R = CIRCLE[2]
    return R * R * integral(lambda t: su(18.0 - R * cos(t), t), angle(LEFT), angle(end))


def cracked(share: float) -> float:
    """Return F of the circle, cut by a crack 3 m deep that is full to a share of its depth."""
    end = 6.0 + sqrt(373.0 - 11.0**2)
    water = share * 3.0
    push = 0.5 * 9.81 * water**2 * (18.0 - (7.0 + water / 3.0))
    return strength_moment(lambda y, t: 40.0, end) / (weight_moment(end) + push)


def shaken(k: float) -> float:
    middle = integral(
        lambda x: (height(x) - base(x)) * (18.0 - 0.5 * (height(x) + base(x))), LEFT, RIGHT, *KINKS
    )
    return strength_moment(lambda y, t: 40.0) / (weight_moment() + k * 18.0 * middle)


def loaded() -> float:
    strip = 20.0 * integral(lambda x: x - 6.0, 16.0, 20.0)
    return strength_moment(lambda y, t: 40.0) / (weight_moment() + strip)


def deepening() -> float:
    return strength_moment(lambda y, t: 20.0 + 2.5 * (10.0 - y)) / weight_moment()


def anisotropic() -> float:
    def su(y: float, t: float) -> float:
        return 40.0 * (0.75 + 0.25 * sin(2.0 * t))

    return strength_moment(su) / weight_moment()


# --- a plane in rock (Wyllie and Mah), written out ---------------------------------------------------
CREST = 12.0 / tan(radians(60.0))
CRACK_X = CREST + 4.0
ROCK = np.array([(-20.0, 0.0), (0.0, 0.0), (CREST, 12.0), (60.0, 12.0)])
RISE = CRACK_X * tan(radians(35.0))
SLIDE = [(0.0, 0.0), (CRACK_X, RISE)]


def rock(c: float, water: float = 0.0, **more: Any) -> float:
    grid = None
    if water:
        ramp = np.array([0.0, 9.81 * water])
        grid = PressureGrid(
            x=np.array([0.0, CRACK_X]), y=np.array([0.0, 20.0]), u=np.vstack([ramp, ramp])
        )
    return on_line(
        SLIDE, ground=ROCK, gamma=26.0, c=c, phi=37.0, grid=grid,
        crack_water=water / (12.0 - RISE), **more,
    )  # fmt: skip


def held(dip: float) -> float:
    t = radians(dip)
    row = AnchorForce(x=3.0, y=3.0 * tan(radians(60.0)), dx=cos(t), dy=-sin(t), total=400.0)
    return rock(0.0, anchors=(row,))


# --- a block of an endless slope, free at both ends ---------------------------------------------------
def endless(z: float, beta: float, **given: Any) -> float:
    s = tan(radians(beta))
    face = [(0.0, 0.0), (0.0, z), (40.0, z + 40.0 * s), (60.0, z + 60.0 * s)]
    ground = np.array([(-20.0, 0.0), *face])
    if given.pop("seepage", False):
        given |= {"water": ground, "flow": "along the table"}
    return on_line([(0.0, 0.0), (40.0, 40.0 * s)], ground=ground, **given)


def cut(H: float, face: float, plane: float, **given: Any) -> float:
    """Return F of a plane through the toe of a cut."""
    x = H / tan(radians(face)) if face < 90.0 else 0.0
    ground = np.array([(-20.0, 0.0), (0.0, 0.0), (x, H), (90.0, H)])
    out = H / tan(radians(plane))
    return on_line([(0.0, 0.0), (out, H)], ground=ground, **given)


# --- a slope that slides to the right, in feet and pounds ---------------------------------------------
KRAHN_GROUND = np.array([(-20.0, 60.0), (60.0, 60.0), (140.0, 20.0), (220.0, 20.0)])


def krahn(method: Method, ru: float = 0.0) -> float:
    model = slope(KRAHN_GROUND, 120.0, 600.0, 20.0, ru=np.array([ru]), gamma_w=62.4)
    return analyse_circle(model, (120.0, 90.0, 80.0), method, side_force="constant").F


SECOND = {
    "ru": {"ru": 0.3},
    "earthquake": {"kh": 0.15},
    "water-table": {"water": -0.5},
}


def second(name: str, which: int) -> float:
    """Return F of the plain implementation: Bishop (0) or Spencer (1)."""
    plain = PlainSlope(GROUND, 18.0, 10.0, radians(30.0), **SECOND[name])
    return factors(plain, *CIRCLE, n=200)[which]


def ours(name: str, method: Method) -> float:
    given: dict[str, Any] = dict(SECOND[name])
    if "ru" in given:
        given["ru"] = np.array([given["ru"]])
    if "water" in given:
        level = given["water"]
        given["water"] = np.array([(-30.0, level), (50.0, level)])
    return on_circle(method, c=10.0, phi=30.0, **given)


def case(name: str, title: str, source: str, provenance: Provenance, inputs: str,
         compute: Callable[[], float], expected: float, tolerance: float, why: str = "",
         note: str = "") -> Case:  # fmt: skip
    return Case(f"stability.slip-{name}", "stability", title, source, provenance, inputs, compute,
                expected, tolerance, "-", why, note)  # fmt: skip


_FIXED = "ground (-30,0)(0,0)(15,10)(50,10), centre (6,18), R sqrt(373), gamma 18"
_DRAINED = _FIXED + ", c 10, phi 30"
_CLAY = _FIXED + ", su 40"
_EACH: tuple[Method, ...] = ("ordinary", "bishop", "spencer", "morgenstern-price")
_F = "Factor of safety"

CASES: tuple[Case, ...] = (
    case("ordinary", f"{_F}, ordinary slices", NOTES, "published", _DRAINED,
         lambda: on_circle("ordinary", c=10.0, phi=30.0), 1.888, 0.0005, "printed to four digits"),
    case("bishop", f"{_F}, simplified Bishop", NOTES, "published", _DRAINED,
         lambda: on_circle("bishop", c=10.0, phi=30.0), 2.063, 0.0005, "printed to four digits"),
    case("spencer", f"{_F}, Spencer", NOTES, "published", _DRAINED,
         lambda: on_circle("spencer", c=10.0, phi=30.0), 2.059, 0.001, SLICED),
    case("spencer-inclination", "Inclination of the side forces (deg), Spencer", NOTES, "published", _DRAINED,
         lambda: float(np.degrees(np.arctan(
             analyse_circle(slope(c=10.0, phi=30.0), CIRCLE).lambda_))), 18.3, 0.003, "three digits"),
    *(case(f"undrained-{m}", f"{_F}, undrained circle, {m}", MOMENTS, "formula", _CLAY,
           lambda m=m: on_circle(m, su=40.0), 1.43752, 1e-5) for m in _EACH),
    *(case(f"undrained-active-anchor-{m}", f"{_F}, undrained circle, anchor off the driving side, {m}",
           MOMENTS, "formula", _CLAY + "; 200 kN/m from (7.5, 5) at 15 deg",
           lambda m=m: on_circle(m, su=40.0, anchors=anchor(200.0)), 1.7008, 1e-4) for m in _EACH),
    *(case(f"undrained-passive-anchor-{m}", f"{_F}, undrained circle, anchor on the holding side, {m}",
           MOMENTS, "formula", _CLAY + "; 200 kN/m from (7.5, 5) at 15 deg",
           lambda m=m: on_circle(m, su=40.0, anchors=anchor(200.0, "passive")), 1.5923, 1e-4)
      for m in _EACH),
    case("anchor-bishop", f"{_F} with an anchor, Bishop", NOTES, "formula", _DRAINED + "; 100 kN/m at 15 deg",
         lambda: on_circle("bishop", c=10.0, phi=30.0, anchors=anchor(100.0)), 2.277, 0.001, SLICED),
    case("anchor-spencer", f"{_F} with an anchor, Spencer", NOTES, "formula",
         _DRAINED + "; 100 kN/m at 15 deg",
         lambda: on_circle("spencer", c=10.0, phi=30.0, anchors=anchor(100.0)), 2.272, 0.001, SLICED),
    case("crack-dry", f"{_F}, tension crack, dry", MOMENTS, "formula", _CLAY + ", crack 3 m",
         lambda: on_circle("spencer", su=40.0, crack=3.0), cracked(0.0), 1e-5),
    case("crack-water", f"{_F}, tension crack, full of water", MOMENTS, "formula", _CLAY + ", crack 3 m",
         lambda: on_circle("spencer", su=40.0, crack=3.0, crack_water=1.0), cracked(1.0), 1e-5),
    case("crack-half", f"{_F}, tension crack, half full", MOMENTS, "formula", _CLAY + ", crack 3 m",
         lambda: on_circle("bishop", su=40.0, crack=3.0, crack_water=0.5), cracked(0.5), 1e-5),
    case("earthquake", f"{_F}, horizontal acceleration", MOMENTS, "formula", _CLAY + ", kh 0.2",
         lambda: on_circle("spencer", su=40.0, kh=0.2), shaken(0.2), 1e-5),
    case("strip", f"{_F}, strip load", MOMENTS, "formula", _CLAY + ", 20 kPa from x 16 to 20",
         lambda: on_circle("spencer", su=40.0, strips=np.array([(16.0, 20.0, 20.0)])), loaded(), 1e-5),
    case("su-depth", f"{_F}, strength with depth", MOMENTS, "formula", _FIXED + ", su 20 + 2.5 (10 - y)",
         lambda: on_circle("spencer", su=20.0, su_gradient=np.array([2.5]), su_datum=np.array([10.0])),
         deepening(), 0.001, SLICED),
    case("su-anisotropic", f"{_F}, anisotropic strength", MOMENTS + "; Casagrande and Carillo 1944",
         "formula", _CLAY + ", passive half of active",
         lambda: on_circle("morgenstern-price", su=40.0, anisotropy=np.array([(1.0, 0.75, 0.5)])),
         anisotropic(), 0.001, SLICED,
         "side forces of one inclination cannot balance this circle: Spencer reports no solution"),
    case("plane-water", f"{_F}, plane in rock, water in the crack", WYLLIE, "memory",
         "H 12 m, face 60, plane 35, crack 4 m behind the crest, c 25, phi 37, gamma 26, water 3 m",
         lambda: rock(25.0, 3.0), 1.247, 0.0005, "printed to four digits"),
    case("plane-drained", f"{_F}, plane in rock, drained", WYLLIE, "memory", "as before, no water",
         lambda: rock(25.0), 1.544, 0.0005, "printed to four digits"),
    case("plane-sand", f"{_F}, plane in rock, no cohesion", WYLLIE, "memory", "as before, c 0",
         lambda: rock(0.0), 1.076, 0.0005, "printed to four digits"),
    case("plane-anchor-10", f"{_F}, plane in rock, anchors at 10 deg", WYLLIE, "memory",
         "as before, 400 kN/m, active", lambda: held(10.0), 2.282, 0.0005, "printed to four digits"),
    case("plane-anchor-2", f"{_F}, plane in rock, anchors at the best inclination", WYLLIE, "memory",
         "as before, 400 kN/m at 2 deg", lambda: held(2.0), 2.413, 0.0005, "printed to four digits"),
    case("endless", f"{_F}, endless slope", PLANE, "formula", "c 10, phi 30, gamma 18, z 5, 30 deg",
         lambda: endless(5.0, 30.0, c=10.0, phi=30.0), 1.2566, 5e-5),
    case("endless-seepage", f"{_F}, endless slope, seepage along it", PLANE, "formula",
         "c 5, phi 30, gamma 20, z 3, 20 deg",
         lambda: endless(3.0, 20.0, gamma=20.0, c=5.0, phi=30.0, seepage=True), 1.0675, 5e-5),
    case("culmann", f"{_F} at Culmann's critical height", "Culmann 1875; closed form", "formula",
         "face 60, plane 40, c 20, phi 20, gamma 18, H 15.460",
         lambda: cut(15.460, 60.0, 40.0, c=20.0, phi=20.0), 1.0, 1e-4),
    case("vertical-cut", f"{_F} of a plane behind a vertical cut in clay", PLANE, "formula",
         "H 8 m = 4 su / gamma, su 36, plane 45 deg", lambda: cut(8.0, 90.0, 45.0, su=36.0), 1.0, 1e-6),
    case("vertical-cut-drained", f"{_F} of a plane behind a vertical cut", PLANE, "formula",
         "H = 4 c tan(45 + phi/2) / gamma, c 15, phi 24, plane 57 deg",
         lambda: cut(4.0 * 15.0 / 18.0 * tan(radians(57.0)), 90.0, 57.0, c=15.0, phi=24.0), 1.0, 1e-6),
    *(case(f"comparison-{m}", f"{_F}, {m}", KRAHN, "memory",
           "2:1, H 40 ft, c 600 psf, phi 20, gamma 120 pcf", lambda m=m: krahn(m), value, 0.0025,
           "slices of the source are not known")
      for m, value in (("ordinary", 1.928), ("bishop", 2.080), ("spencer", 2.073),
                       ("morgenstern-price", 2.076))),
    *(case(f"comparison-ru-{m}", f"{_F}, ru 0.25, {m}", KRAHN, "memory",
           "2:1, H 40 ft, c 600 psf, phi 20, gamma 120 pcf", lambda m=m: krahn(m, 0.25), value, 0.004,
           "slices of the source are not known")
      for m, value in (("ordinary", 1.607), ("bishop", 1.766), ("spencer", 1.761),
                       ("morgenstern-price", 1.764))),
    *(case(f"second-{name}-{m}", f"{_F}, {name}, {m}",
           "Fredlund and Krahn 1977, general formulation in plain numpy with 200 slices", "formula",
           f"{_DRAINED}, {SECOND[name]}", lambda name=name, m=m: ours(name, m), second(name, which), 0.001,
           "200 slices of mean height against 50")
      for name in SECOND for which, m in ((0, "bishop"), (1, "spencer"))),
)  # fmt: skip
