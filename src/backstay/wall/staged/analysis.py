"""The analysis of a wall through its stages: arrays in, results out.

A wall that cannot stand is a result: `StagedResult.failed` names stage, mechanism, depth and the
nearest remedy. The kernel is compiled and loaded when the first analysis runs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from backstay.wall.staged.build import kernel
from backstay.wall.staged.mesh import halved
from backstay.wall.staged.result import (
    Accident,
    Envelope,
    Extreme,
    FailedStage,
    Floats,
    Ints,
    StagedInput,
    StagedResult,
    StageResult,
    Status,
)

__all__ = [
    "Accident",
    "Envelope",
    "Extreme",
    "FailedStage",
    "StageResult",
    "StagedInput",
    "StagedResult",
    "analyse",
]

ABSENT = 0
NEIGHBOURS = 1.5
"""Load of either neighbour of a failed anchor over its load before: half of it each."""
_STATUS: tuple[Status, ...] = ("stands", "no equilibrium", "not converged")


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """The arrays that one run of the kernel fills (see `kernel.run`), and how far it came.

    done: stages completed; status: 0 stands, 1 no equilibrium, 2 not converged.
    """

    w: Floats
    V: Floats
    M: Floats
    p_r: Floats
    p_c: Floats
    low_r: Floats
    high_r: Floats
    low_c: Floats
    high_c: Floats
    T: Floats
    residual: Floats
    count: Ints
    done: int
    status: int


def run(given: StagedInput) -> Run:
    """Carry the wall through its stages, and return the arrays alone."""
    s, n, ne = given.stages, len(given.z), len(given.h)
    w, V, M = np.empty((s, n, 2)), np.empty((s, n, 2)), np.empty((s, n))
    pressures = [np.empty((s, 2 * ne)) for _ in range(6)]
    T, residual = np.empty((s, len(given.node))), np.empty(s)
    count = np.zeros(2, np.int64)
    done, status = kernel().run(*given.arguments(), w, V, M, *pressures, T, residual, count)
    if status:
        for array in (w, V, M, *pressures, T, residual):
            array[done + 1 :] = 0.0  # stages that were not reached
    p_r, p_c, low_r, high_r, low_c, high_c = (p.reshape(s, ne, 2) for p in pressures)
    return Run(
        w, V, M, p_r, p_c, low_r, high_r, low_c, high_c, T, residual, count, int(done), int(status)
    )


def analyse(
    given: StagedInput, *, mesh_error: Literal["computed", "left out"] = "computed"
) -> StagedResult:
    """Carry a wall through its stages.

    mesh_error: computed by a second run with every element halved, unless left out.
    Stages after one that fails are not analysed; the failed one is given as it was left.
    """
    ran = run(given)
    last = min(ran.done + 1, given.stages)
    depth_g = _gauss_depths(given)
    stages = tuple(_stage(given, ran, s, depth_g) for s in range(last))
    envelope = _envelope(given, ran)
    failed = None
    if ran.status:
        from backstay.wall.staged.failure import explain

        failed = explain(given, ran)
    error = None
    if mesh_error == "computed" and envelope is not None:
        error = _mesh_error(given, ran)
    return StagedResult(
        given, stages, ran.status == 0, failed, envelope, tuple(stage.T for stage in stages),
        _accidents(given, ran), error, int(ran.count[0]), int(ran.count[1]),
    )  # fmt: skip


def _gauss_depths(given: StagedInput) -> Floats:
    gauss = 0.5 / 3**0.5
    z = np.empty((len(given.h), 2))
    z[:, 0] = given.z[:-1] + given.h * (0.5 - gauss)
    z[:, 1] = given.z[:-1] + given.h * (0.5 + gauss)
    return z.ravel()


def _stage(given: StagedInput, ran: Run, s: int, depth_g: Floats) -> StageResult:
    T = tuple(float(t) for t in ran.T[s])
    size = force_sum(given, ran, s)
    size = size if size > 0.0 else 1.0
    return StageResult(
        number=s + 1,
        title=given.stage_titles[s],
        dig=float(given.dig[s]),
        status="stands" if s < ran.done else _STATUS[ran.status],
        residual=float(ran.residual[s]),
        z=given.z,
        w=ran.w[s, :, 0],
        theta=ran.w[s, :, 1],
        V=ran.V[s],
        M=ran.M[s],
        depth_g=depth_g,
        p_retained=ran.p_r[s].ravel(),
        p_cut=ran.p_c[s].ravel(),
        active_retained=ran.low_r[s].ravel(),
        passive_retained=ran.high_r[s].ravel(),
        active_cut=ran.low_c[s].ravel(),
        passive_cut=ran.high_c[s].ravel(),
        T=T,
        anchor_loads=_anchor_loads(given, T, s),
        toe_use=float(
            kernel().passive_share(
                given.z, given.h, given.dig[s], ran.p_c[s].ravel(), ran.high_c[s].ravel()
            )
        ),
        force_balance=float(abs(ran.V[s, -1, 1])) / size,
        moment_balance=float(abs(ran.M[s, -1])) / (size * float(given.z[-1])),
    )


def _anchor_loads(given: StagedInput, T: Sequence[float], s: int) -> tuple[float, ...]:
    """Return the load of one anchor of each row; by an accident two carry three spacings."""
    loads = [T[a] * given.anchor_share[a] for a in range(given.rows)]
    for stage, row in given.accidents:
        if stage == s:
            loads[row] *= NEIGHBOURS
    return tuple(loads)


def force_sum(given: StagedInput, ran: Run, s: int) -> float:
    """Return the sum of the absolute forces of a stage, against which what is left over is held."""
    width_r = np.where(given.z[:-1] < given.dig[s] - 1e-9, given.spacing, given.pile_width)
    forces = (np.abs(ran.p_r[s]) + np.abs(ran.p_c[s])) * width_r[:, None] + np.abs(
        given.external[s]
    )
    return float((forces.sum(axis=1) * 0.5 * given.h).sum() + np.abs(ran.T[s]).sum())


def _envelope(given: StagedInput, ran: Run) -> Envelope | None:
    """Return the extremes over the stages that stand, or None if none does."""
    if ran.done == 0:
        return None
    M, w = ran.M[: ran.done], ran.w[: ran.done, :, 0]
    V = ran.V[: ran.done]

    def at(values: Floats, index: int) -> Extreme:
        s, i = divmod(index, values.shape[1])
        return Extreme(float(values[s, i]), s + 1, float(given.z[i]))

    sides = np.where(np.abs(V[:, :, 0]) >= np.abs(V[:, :, 1]), V[:, :, 0], V[:, :, 1])
    return Envelope(
        M_max=at(M, int(M.argmax())),
        M_min=at(M, int(M.argmin())),
        V_max=at(sides, int(np.abs(sides).argmax())),
        w_max=at(w, int(w.argmax())),
        w_min=at(w, int(w.argmin())),
    )


def _mesh_error(given: StagedInput, ran: Run) -> float:
    """Return the relative change of the extreme moment and deflection with elements halved."""
    finer = run(halved(given))
    done = min(ran.done, finer.done)
    if done == 0:
        return float("inf")
    change = 0.0
    for coarse, fine in ((ran.M, finer.M), (ran.w[:, :, 0], finer.w[:, :, 0])):
        most = float(np.abs(fine[:done]).max())
        if most > 0.0:
            change = max(change, abs(float(np.abs(coarse[:done]).max()) - most) / most)
    return change


def _accidents(given: StagedInput, ran: Run) -> tuple[Accident, ...]:
    found = []
    for s, row in given.accidents:
        if s >= ran.done:
            continue
        share = given.anchor_share[row]
        before = float(ran.T[s - 1, row]) * share if s else 0.0
        alone = run(without_row(given, s, row))
        stands = alone.done > s
        found.append(
            Accident(
                s + 1, row + 1, before, float(ran.T[s, row]) * share * NEIGHBOURS,
                NEIGHBOURS * before, stands,
                float(np.abs(alone.M[s]).max()) if stands else None,
            )
        )  # fmt: skip
    return tuple(found)


def without_row(given: StagedInput, stage: int, row: int) -> StagedInput:
    """Return the stages up to one (from 0), in which a whole row is gone."""
    state = given.a_state[: stage + 1].copy()
    state[stage, row] = ABSENT
    return first_stages(replace(given, a_state=_padded(given, state)), stage + 1)


def _padded(given: StagedInput, state: Ints) -> Ints:
    whole = given.a_state.copy()
    whole[: len(state)] = state
    return whole


def first_stages(given: StagedInput, stages: int) -> StagedInput:
    """Return the same wall with its first stages alone."""
    cut: dict[str, Any] = {
        name: getattr(given, name)[:stages]
        for name in (
            "dig", "water_r", "water_c", "load", "seepage", "undrained", "stiffness", "external",
            "a_state", "a_k", "a_lock", "a_cap", "stage_titles",
        )
    }  # fmt: skip
    accidents = tuple(pair for pair in given.accidents if pair[0] < stages)
    return replace(given, accidents=accidents, **cut)
