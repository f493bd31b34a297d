"""Movement: troughs and damage as published."""

from __future__ import annotations

from backstay.movement import damage_of, trough_shape
from backstay.movement.strain import principal_strain, wall_movement
from tests.verification.catalogue import Case

_TROUGHS = tuple(
    Case(
        f"movement.{kind.replace(' ', '-')}-{d:g}", "movement", f"{kind} trough at d/H {d:g}", source,
        provenance, f"d/H {d:g}", lambda kind=kind, d=d: trough_shape(kind).at(d), ratio, 0.0011, "",
        absolute=True,
    )
    for kind, source, provenance, points in (
        ("concave", "Hsieh and Ou 1998", "published", ((0.0, 0.5), (0.25, 0.75), (0.5, 1.0), (2.0, 0.1))),
        ("concave", "Hsieh and Ou 1998", "memory", ((4.0, 0.0),)),
        ("spandrel", "Ou et al. 1993: 1 - 0.636 sqrt, 0.342 - 0.171 sqrt", "memory",
         ((0.0, 1.0), (0.5, 0.5503), (1.0, 0.364), (2.0, 0.1005), (3.0, 0.0458))),
        ("sand", "Clough and O'Rourke 1990", "memory", ((0.0, 1.0), (1.0, 0.5), (2.0, 0.0))),
        ("stiff clay", "Clough and O'Rourke 1990", "memory", ((1.5, 0.5), (3.0, 0.0))),
        ("soft clay", "Clough and O'Rourke 1990", "memory", ((0.75, 1.0), (1.375, 0.5), (2.0, 0.0))),
    )
    for d, ratio in points
)  # fmt: skip

_DAMAGE = tuple(
    Case(
        f"movement.damage-{percent:g}", "movement", f"Severity of damage at {percent:g} % strain",
        "Boscardin and Cording 1989", "published", f"tensile strain {percent:g} %",
        lambda percent=percent: float(damage_of(percent / 100).severity), severity, 1e-9, "",
        absolute=True,
    )
    for percent, severity in ((0.04, 0.0), (0.06, 1.0), (0.10, 2.0), (0.20, 3.0), (0.40, 4.0))
)  # fmt: skip

CASES = (
    *_TROUGHS,
    *_DAMAGE,
    Case(
        "movement.distortion-onset", "movement", "Strain of pure distortion 1/1000, where damage begins",
        "Boscardin and Cording 1989: beta 1.0e-3 bounds negligible damage", "memory",
        "angular distortion 0.001, no extension", lambda: 100 * principal_strain(0.0, 0.001), 0.05,
        1e-9, "%",
    ),
    Case(
        "movement.extension", "movement", "Strain of pure extension", "geometry", "formula",
        "extension 0.15 %", lambda: 100 * principal_strain(0.0015, 0.0), 0.15, 1e-9, "%",
    ),
    Case(
        "movement.combined", "movement", "Principal strain of extension and shear",
        "Mohr's circle: 0.1 + sqrt(0.1^2 + 0.15^2)", "formula", "extension 0.2 %, distortion 0.3 %",
        lambda: 100 * principal_strain(0.002, 0.003), 0.280278, 1e-5, "%",
    ),
    Case(
        "movement.typical", "movement", "Typical wall movement in stiff ground",
        "Clough and O'Rourke 1990: 0.2 % of the height", "memory", "H 10 m",
        lambda: 1000 * wall_movement(0.002, 10.0), 20.0, 1e-9, "mm",
    ),
)  # fmt: skip
