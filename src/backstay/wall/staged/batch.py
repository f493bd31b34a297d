"""Many analyses of one wall at once: arrays of parameters in, arrays of results out.

What is not given is that of the base wall in every realisation. Realisations are carried through
the stages in chunks, in parallel over the processor's cores, each on its own: results do not
depend on the number of cores or on the order, and the batch of one is the single analysis.
Beyond the arrays that are handed in and out, memory does not grow with the realisations.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from backstay.cores import over_cores
from backstay.errors import DesignError
from backstay.wall.staged.build import kernel
from backstay.wall.staged.coefficients import coefficient_table
from backstay.wall.staged.result import Floats, Ints, StagedInput, Status

CHUNK = 1024
"""Realisations whose inputs are spread out at a time."""
STATUS: tuple[Status, ...] = ("stands", "no equilibrium", "not converged")
"""Names of the codes in `BatchResult.status`."""
LEAST_PART = 8
"""Realisations that are worth a thread of their own."""
_GROUND = ("gamma", "gamma_sat", "Ka", "Kp", "c", "su", "su_gradient", "K0", "kh", "kh_gradient")
_STAGES = ("water_r", "water_c", "load", "seepage")
_SUPPORTS = ("a_k", "a_lock")
_SIGNED = frozenset({"water_r", "water_c", "seepage", "su_gradient", "kh_gradient"})


@dataclass(frozen=True, slots=True, eq=False)
class BatchResult:
    """Extremes of r realisations in each of s stages, with a supports.

    status (r): index into STATUS; stages_done (r): stages in which the wall stands.
    moment_max, moment_min (r, s): kNm, not below and not above nil; shear_max (r, s): kN;
    deflection_max (r, s): greatest magnitude, m; toe_use (r, s): called-upon share of the
    resistance in front below the dig; support_load (r, s, a): kN, horizontal.
    Per pile, or per metre of a continuous wall. NaN in stages that a wall does not reach.
    """

    status: Ints
    stages_done: Ints
    moment_max: Floats
    moment_min: Floats
    shear_max: Floats
    deflection_max: Floats
    toe_use: Floats
    support_load: Floats

    @property
    def stands(self) -> NDArray[np.bool_]:
        """Return which realisations stand through all stages (r)."""
        found: NDArray[np.bool_] = self.status == 0
        return found


def analyse_batch(
    base: StagedInput,
    *,
    Ka: ArrayLike | None = None,
    Kp: ArrayLike | None = None,
    phi: ArrayLike | None = None,
    wall_friction_ratio: ArrayLike | None = None,
    slope: float = 0.0,
    c: ArrayLike | None = None,
    su: ArrayLike | None = None,
    su_gradient: ArrayLike | None = None,
    gamma: ArrayLike | None = None,
    gamma_sat: ArrayLike | None = None,
    K0: ArrayLike | None = None,
    kh: ArrayLike | None = None,
    kh_gradient: ArrayLike | None = None,
    EI_factor: ArrayLike | None = None,
    water_r: ArrayLike | None = None,
    water_c: ArrayLike | None = None,
    seepage: ArrayLike | None = None,
    load: ArrayLike | None = None,
    a_k: ArrayLike | None = None,
    a_lock: ArrayLike | None = None,
) -> BatchResult:
    """Carry many realisations of a wall through its stages.

    Names and units are those of `StagedInput`. Shapes, where an axis of length 1 is spread out and
    trailing axes may be left away (all zones, stages or supports then get the same):

    - of the ground (r, m): Ka, Kp, c, su, su_gradient, gamma, gamma_sat, K0, kh, kh_gradient; or
      phi (rad), from which the horizontal Ka and Kp follow, with wall_friction_ratio (m) as a
      share of phi and the slope (rad) of the ground behind (see `coefficients`; within 0.1 %);
    - EI_factor (r): on the bending stiffness of every stage;
    - of the stages (r, s): water_r, water_c, seepage, load;
    - of the supports (r, s, a): a_k, a_lock; (r, a) for the same in every stage.

    K0 does not follow phi: give both where they are tied, for instance K0 = 1 - sin phi. Nor does
    seepage follow the water.

    Raises DesignError for a shape that does not fit, a number that is not finite or cannot be
    (a negative weight, Ka above Kp), or numbers of realisations that differ.
    """
    given = {
        "Ka": Ka, "Kp": Kp, "phi": phi, "c": c, "su": su, "su_gradient": su_gradient,
        "gamma": gamma, "gamma_sat": gamma_sat, "K0": K0, "kh": kh, "kh_gradient": kh_gradient,
        "EI_factor": EI_factor, "water_r": water_r, "water_c": water_c, "seepage": seepage,
        "load": load, "a_k": a_k, "a_lock": a_lock,
    }  # fmt: skip
    arrays = _arrays(base, given)
    friction = _friction(base, arrays, wall_friction_ratio)
    total = max((len(array) for array in arrays.values()), default=1)
    for name, array in arrays.items():
        if len(array) not in (1, total):
            raise DesignError(
                f"{len(array)} realisations were read of {name}, but {total} of another array", name
            )
    s, a = base.stages, len(base.node)
    stages = [np.empty((total, s)) for _ in range(5)]
    codes = np.empty(total, np.int64), np.empty(total, np.int64)
    out = BatchResult(
        *codes, stages[0], stages[1], stages[2], stages[3], stages[4], np.empty((total, s, a))
    )
    for part in _parts(total):
        _run(base, _inputs(base, arrays, friction, slope, part), out, part)
    return out


def _axes(base: StagedInput, name: str) -> tuple[tuple[str, int], ...]:
    """Return the axes that a parameter has after that of the realisations."""
    zones = ("zones", len(base.Ka))
    stages, supports = ("stages", base.stages), ("supports", len(base.node))
    if name in _GROUND or name == "phi":
        return (zones,)
    if name in _STAGES:
        return (stages,)
    return (stages, supports) if name in _SUPPORTS else ()


def _arrays(base: StagedInput, given: Mapping[str, ArrayLike | None]) -> dict[str, Floats]:
    """Return what was given as arrays with all axes, spread out or of length 1; refuse the rest."""
    found = {}
    for name, value in given.items():
        if value is None:
            continue
        axes = _axes(base, name)
        array = np.asarray(value, dtype=np.float64)
        read = array.shape
        if array.ndim == 2 and name in _SUPPORTS:
            array = array[:, None, :]
        while 0 < array.ndim <= len(axes):
            array = array[..., None]
        if array.ndim != len(axes) + 1 or any(
            have not in (1, wanted) for have, (_, wanted) in zip(array.shape[1:], axes, strict=True)
        ):
            wanted = ", ".join(["realisations", *(f"{n} {label}" for label, n in axes)])
            raise DesignError(f"the shape {read} was read of {name}; it must be ({wanted})", name)
        if len(array) == 0:
            raise DesignError(f"no realisation was read of {name}", name)
        _refuse(name, array)
        found[name] = array
    return found


def _refuse(name: str, array: Floats) -> None:
    """Refuse numbers that no wall or ground can have, and say where the first stands."""
    for wrong, why in (
        (~np.isfinite(array), "not a finite number"),
        (array < 0.0 if name not in _SIGNED else None, "negative"),
        (array <= 0.0 if name in ("Ka", "Kp", "EI_factor") else None, "nil"),
    ):
        if wrong is not None and wrong.any():
            place = tuple(int(i) for i in np.argwhere(wrong)[0])
            raise DesignError(f"{name} is {why} at {place}: {array[place]:g} was read", name)


def _friction(
    base: StagedInput, arrays: Mapping[str, Floats], ratio: ArrayLike | None
) -> tuple[float, ...]:
    """Return the wall friction ratio of each zone, or nothing where no phi is given."""
    if "phi" not in arrays:
        if ratio is not None:
            raise DesignError(
                "a wall friction ratio without phi has no effect", "wall_friction_ratio"
            )
        return ()
    if "Ka" in arrays or "Kp" in arrays:
        raise DesignError("phi was read together with Ka or Kp: give one or the other", "phi")
    if ratio is None:
        raise DesignError(
            "phi needs a wall friction ratio, as a share of phi", "wall_friction_ratio"
        )
    zones = len(base.Ka)
    values = np.asarray(ratio, dtype=np.float64)
    if values.shape not in ((), (1,), (zones,)):
        raise DesignError(
            f"the shape {values.shape} was read of wall_friction_ratio; it must be ({zones} zones)",
            "wall_friction_ratio",
        )
    return tuple(float(x) for x in np.broadcast_to(values, zones))


def _parts(total: int) -> Iterator[slice]:
    for start in range(0, total, CHUNK):
        yield slice(start, min(start + CHUNK, total))


def _inputs(
    base: StagedInput,
    arrays: Mapping[str, Floats],
    friction: tuple[float, ...],
    slope: float,
    part: slice,
) -> Mapping[str, Floats]:
    """Return every parameter of one chunk with all axes spread out, contiguous."""
    rows = part.stop - part.start

    def of(name: str) -> Floats | None:
        array = arrays.get(name)
        return array if array is None or len(array) == 1 else array[part]

    def spread(name: str) -> Floats:
        array = of(name)
        shape = (rows, *(n for _, n in _axes(base, name)))
        whole = getattr(base, name)[None] if array is None else array
        return _spread(whole, shape)

    found = {name: spread(name) for name in (*_GROUND, *_STAGES, *_SUPPORTS)}
    angles = of("phi")
    if angles is not None:
        for zone, ratio in enumerate(friction):
            table = coefficient_table(ratio, slope)
            column = angles[:, zone if angles.shape[1] > 1 else 0]
            found["Ka"][:, zone] = table.active(column)
            found["Kp"][:, zone] = table.passive(column)
    wrong = np.argwhere(found["Ka"] > found["Kp"] * (1 + 1e-12))
    if len(wrong):
        r, zone = (int(i) for i in wrong[0])
        raise DesignError(
            f"Ka {found['Ka'][r, zone]:.4g} is above Kp {found['Kp'][r, zone]:.4g} in realisation "
            f"{part.start + r}, zone {base.zone_names[zone]!r}",
            "Ka",
        )
    factor = of("EI_factor")
    stiffness = base.stiffness[None] * (1.0 if factor is None else factor[:, None])
    found["stiffness"] = _spread(stiffness, (rows, base.stages))
    return MappingProxyType(found)


def _spread(array: Floats, shape: tuple[int, ...]) -> Floats:
    """Return a copy of that shape: numba compiles anew for what is a view or cannot be written."""
    found = np.empty(shape)
    found[...] = array
    return found


def _run(base: StagedInput, p: Mapping[str, Floats], out: BatchResult, part: slice) -> None:
    """Fill a part of the results; p: inputs of that part alone."""

    def some(first: int, end: int) -> None:
        of, into = slice(first, end), slice(part.start + first, part.start + end)
        kernel().run_batch(
            base.z, base.h, base.layer, base.EI, *(p[name][of] for name in _GROUND), base.layer_top,
            base.dig, *(p[name][of] for name in _STAGES), base.undrained, p["stiffness"][of],
            base.spacing, base.pile_width, base.arching, base.external, base.node, base.a_state,
            *(p[name][of] for name in _SUPPORTS), base.a_cap, base.tolerance, base.bound,
            out.status[into], out.stages_done[into], out.moment_max[into], out.moment_min[into],
            out.shear_max[into], out.deflection_max[into], out.support_load[into],
            out.toe_use[into],
        )  # fmt: skip

    over_cores(len(p["gamma"]), LEAST_PART, some)
