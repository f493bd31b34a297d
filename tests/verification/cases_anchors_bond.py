"""Bond of anchors: presumptive values, factors of safety, lengths, and corrosion protection."""

from __future__ import annotations

from math import pi, radians, sin
from typing import Any

from backstay.anchors.bond import length_in_grout
from backstay.anchors.presumptive import ground_bond, transfer_of_stress
from backstay.anchors.protection import LEVEL, required_class
from backstay.data import bond_stress_of
from backstay.ground import profile
from backstay.model.project import Service
from tests.unit.anchors.example import SAND, anchors, check, merged, section
from tests.verification.catalogue import Case

TABLE_T = "FHWA-IF-99-015 (1999), table of presumptive ultimate load transfer"
TABLE_S = "FHWA-IF-99-015 (1999), table of presumptive average ultimate bond stress"
HOLE = 0.15


def _transfer(grouting: Any, **stratum: Any) -> float:
    made = section(ground={"strata": [merged(SAND, {"density": None, **stratum})]})
    return ground_bond(profile(made).layers[0], grouting, HOLE).transfer


def _slug(name: str) -> str:
    return name.replace(" ", "-").replace(",", "")


TRANSFERS = tuple(
    Case(
        f"anchors.transfer-{_slug(name)}", "anchors", f"Ultimate load transfer, {name}", TABLE_T,
        "memory", "gravity grouting, row named for the stratum",
        lambda n=name, k=kind: _transfer("gravity", kind=k, bond_class=n), value, 1e-12, "kN/m",
        "a printed value",
    )
    for name, kind, value in (
        ("sand and gravel loose", "granular", 145.0), ("sand and gravel medium", "granular", 220.0),
        ("sand and gravel dense", "granular", 290.0), ("sand loose", "granular", 100.0),
        ("sand medium", "granular", 145.0), ("sand dense", "granular", 190.0),
        ("sand and silt loose", "granular", 70.0), ("sand and silt medium", "granular", 100.0),
        ("sand and silt dense", "granular", 130.0), ("silt-clay stiff", "stiff clay", 30.0),
        ("silt-clay hard", "stiff clay", 60.0), ("granite or basalt", "rock", 730.0),
    )
)  # fmt: skip

INFERRED = tuple(
    Case(
        f"anchors.inferred-{slug}", "anchors", f"Ultimate load transfer inferred: {words}", TABLE_T,
        "memory", words, lambda s=stratum: _transfer("gravity", **s), value, 1e-12, "kN/m",
        "a printed value",
    )
    for slug, words, stratum, value in (
        ("dense-sand", "dense sand", {"density": "dense"}, 190.0),
        ("sand-n-20", "sand with N 20", {"spt_n": 20}, 145.0),
        ("silty-sand", "medium dense silty sand", {"density": "medium", "description": "silty SAND"}, 100.0),
        ("trace-silt", "medium dense sand, trace silt",
         {"density": "medium", "description": "SAND, trace silt"}, 145.0),
        ("stiff-clay", "clay with N 14", {"kind": "stiff clay", "spt_n": 14, "undrained_strength": 80.0}, 30.0),
        ("hard-clay", "clay with N 30", {"kind": "stiff clay", "spt_n": 30, "undrained_strength": 200.0}, 60.0),
        ("soft-shale", "shale", {"kind": "rock", "name": "Grey shale"}, 150.0),
        ("sandstone", "sandstone", {"kind": "rock", "name": "Sandstone"}, 440.0),
        ("dolomite", "dolomite", {"kind": "rock", "name": "Dolomite"}, 580.0),
        ("limestone", "limestone", {"kind": "rock", "name": "Limestone"}, 440.0),
        ("slate", "slate", {"kind": "rock", "name": "Slate"}, 360.0),
    )
)  # fmt: skip

STRESSES = tuple(
    case
    for name, low, high in (
        ("granite and basalt", 1.7, 3.1), ("dolomitic limestone", 1.4, 2.1),
        ("soft limestone", 1.0, 1.4), ("slate and hard shale", 0.8, 1.4), ("soft shale", 0.2, 0.8),
        ("sandstone", 0.8, 1.7), ("weathered sandstone", 0.7, 0.8), ("chalk", 0.2, 1.1),
        ("weathered marl", 0.15, 0.25), ("cohesive gravity", 0.03, 0.07),
        ("soft silty clay", 0.03, 0.07), ("silty clay", 0.03, 0.07),
        ("stiff clay medium to high plasticity", 0.03, 0.10),
        ("very stiff clay medium to high plasticity", 0.07, 0.17),
        ("stiff clay medium plasticity", 0.10, 0.25),
        ("very stiff clay medium plasticity", 0.14, 0.35),
        ("very stiff sandy silt medium plasticity", 0.28, 0.38), ("cohesionless gravity", 0.07, 0.14),
        ("fine to medium sand", 0.08, 0.38),
        ("medium to coarse sand with gravel medium dense", 0.11, 0.66),
        ("medium to coarse sand with gravel dense", 0.25, 0.97), ("silty sand", 0.17, 0.41),
        ("dense glacial till", 0.30, 0.52), ("sandy gravel medium dense", 0.21, 1.38),
        ("sandy gravel dense", 0.28, 1.38),
    )
    for case in (
        Case(
            f"anchors.bond-stress-low-{_slug(name)}", "anchors",
            f"Low end of the ultimate bond stress, {name}", TABLE_S, "memory", "as printed, MPa",
            lambda n=name: bond_stress_of(n).low / 1e3, low, 1e-12, "MPa", "a printed value",
        ),
        Case(
            f"anchors.bond-stress-high-{_slug(name)}", "anchors",
            f"High end of the ultimate bond stress, {name}", TABLE_S, "memory", "as printed, MPa",
            lambda n=name: bond_stress_of(n).high / 1e3, high, 1e-12, "MPa", "a printed value",
        ),
    )
)  # fmt: skip


def _layered() -> float:
    """Return the allowable load of a bond zone of 8 m in two strata, row at 2.5 m, 15 degrees."""
    strata = [SAND, merged(SAND, {"name": "Dense sand", "top": 95.5, "density": "dense"})]
    made = section({"unbonded_length": 6.0}, ground={"strata": strata})
    return float(check(anchors(made)[0], "bond-ground").capacity)


_IN_FIRST = 2.0 / sin(radians(15)) - 6.0
_ROCK = merged(SAND, {"kind": "rock", "name": "Sandstone", "density": None})

PROTECTION = tuple(
    Case(
        f"anchors.protection-{life}-{aggressive}-{failure}", "anchors",
        f"Corrosion protection: {life}, aggressive {aggressive}, failure {failure}",
        "FHWA-IF-99-015 (1999), decision tree", "memory", "none 0, class II 1, class I 2",
        lambda li=life, a=aggressive, f=failure: LEVEL[
            required_class(a, Service(life=li, failure=f))[0]  # type: ignore[arg-type]
        ],
        level, 1e-12, "–", "a class", absolute=True,
    )
    for life, aggressive, failure, level in (
        ("permanent", "yes", "ordinary", 2), ("permanent", "unknown", "ordinary", 2),
        ("permanent", "no", "serious", 2), ("permanent", "no", "ordinary", 1),
        ("temporary", "yes", "ordinary", 1), ("temporary", "no", "serious", 0.0),
    )
)  # fmt: skip

CASES: tuple[Case, ...] = (
    *TRANSFERS,
    *INFERRED,
    *STRESSES,
    *PROTECTION,
    Case(
        "anchors.transfer-of-stress-lake-lynn", "anchors", "Load carried by an average bond stress",
        "Lake Lynn Dam pre-production test, published abstract: 831.8 kips over 9.7 ft", "published",
        "308 psi in a hole of 7-3/8 in",
        lambda: transfer_of_stress(308 * 6.894757293168, 7.375 * 0.0254)
        * 0.3048 / 4.4482216152605, 85.8, 0.004, "kip/ft", "308 psi is rounded to three figures",
    ),
    Case(
        "anchors.bond-two-strata", "anchors", "Allowable load of a bond zone that crosses two strata",
        "sum over strata by hand", "formula",
        "145 kN/m down to 4.5 m, 190 kN/m below, factor 2.0; starts 6 m along, 8 m long",
        _layered, (145 * _IN_FIRST + 190 * (8 - _IN_FIRST)) / 2, 1e-9, "kN", "closed form",
    ),
    Case(
        "anchors.bond-safety-soil", "anchors", "Factor of safety on bond in soil", "FHWA-IF-99-015",
        "memory", "ultimate over allowable load",
        lambda: float(check(anchors(section())[0], "bond-test").capacity)
        / float(check(anchors(section())[0], "bond-ground").capacity), 2.0, 1e-12, "–", "a stated factor",
    ),
    Case(
        "anchors.bond-safety-rock", "anchors", "Factor of safety on bond in rock", "FHWA-IF-99-015",
        "memory", "ultimate over allowable load",
        lambda: float(check(anchors(section(ground={"strata": [_ROCK]}))[0], "bond-test").capacity)
        / float(check(anchors(section(ground={"strata": [_ROCK]}))[0], "bond-ground").capacity),
        3.0, 1e-12, "–", "a stated factor",
    ),
    Case(
        "anchors.bond-length-soil", "anchors", "Least bond length in soil", "FHWA-IF-99-015", "memory",
        "15 ft", lambda: float(check(anchors(section())[0], "bond-length-least").capacity), 4.5, 1e-12,
        "m", "a stated limit",
    ),
    Case(
        "anchors.bond-length-rock", "anchors", "Least bond length in rock", "FHWA-IF-99-015", "memory",
        "10 ft",
        lambda: float(
            check(anchors(section(ground={"strata": [_ROCK]}))[0], "bond-length-least").capacity
        ), 3.0, 1e-12, "m", "a stated limit",
    ),
    Case(
        "anchors.bond-required-one-stratum", "anchors", "Bond length required in one stratum",
        "design load times safety over transfer", "formula", "medium sand, gravity, 120 kN/m at 2 m, 15 degrees",
        lambda: anchors(
            section({"bond": {"length": None, "grouting": "open"}}), 240.0
        )[0].bond_required[0].length,
        240.0 * 2.0 / (1 - sin(radians(15)) ** 2) ** 0.5 * 2.0 / 145.0, 1e-9, "m", "closed form",
    ),
    Case(
        "anchors.length-in-grout", "anchors", "Bond length of a bar in grout", "mean stress on its surface",
        "formula", "400 kN, 40 mm bar, 1 MPa, factor 2",
        lambda: length_in_grout(400.0, 1, 0.040, 1000.0, 2.0), 20.0 / pi * 1.0, 1e-9, "m",
        "closed form",
    ),
)  # fmt: skip
