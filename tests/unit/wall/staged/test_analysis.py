"""Results of the analysis: balance, envelope, memory, and stages cut in two."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from backstay.wall.staged import StagedInput, analyse, build_kernel, kernel_is_built
from backstay.wall.staged.build import kernel
from backstay.wall.staged.mesh import halved
from tests.unit.wall.staged.site import CLAY, SAND, arrays, section

DEMO = arrays(section())
WITH_LOAD = section(
    surcharges=[{"kind": "uniform", "name": "yard", "pressure": 30.0}],
    stages=[
        {"kind": "excavate", "level": 97.0}, {"kind": "stress row", "row": 1},
        {"kind": "excavate", "level": 94.5}, {"kind": "stress row", "row": 2},
        {"kind": "excavate", "level": 92.0},
        {"kind": "add surcharge", "name": "yard"}, {"kind": "remove surcharge", "name": "yard"},
        {"kind": "add surcharge", "name": "yard"}, {"kind": "remove surcharge", "name": "yard"},
    ],
)  # fmt: skip


def repeated(given: StagedInput, stage: int) -> StagedInput:
    """Return the same stages with one of them (from 0) cut in two: the second changes nothing."""
    order = [*range(stage + 1), *range(stage, given.stages)]
    changed: dict[str, Any] = {
        name: getattr(given, name)[order]
        for name in (
            "dig", "water_r", "water_c", "load", "seepage", "undrained", "stiffness", "external",
            "a_state", "a_k", "a_lock", "a_cap",
        )
    }  # fmt: skip
    return replace(given, stage_titles=tuple(given.stage_titles[i] for i in order), **changed)


def test_every_stage_is_in_balance() -> None:
    found = analyse(DEMO)
    assert found.stands
    for stage in found.stages:
        assert stage.force_balance < 1e-8
        assert stage.moment_balance < 1e-8
        assert stage.residual < 1e-8
        assert (stage.p_retained >= stage.active_retained - 1e-9).all()
        assert (stage.p_retained <= stage.passive_retained + 1e-9).all()
        assert 0.0 <= stage.toe_use <= 1.0


def test_shear_is_the_slope_of_the_moment_and_moment_the_curvature() -> None:
    stage = analyse(DEMO).stages[-1]
    middle = 0.5 * (stage.V[:-1, 1] + stage.V[1:, 0])
    slope = -np.diff(stage.M) / np.diff(stage.z)
    assert slope == pytest.approx(middle, abs=0.02 * np.abs(middle).max())
    # EI w'' = -M where the wall sags toward the cut
    curvature = np.diff(stage.theta) / np.diff(stage.z)
    at = 0.5 * (stage.M[1:] + stage.M[:-1])
    assert -DEMO.EI * curvature == pytest.approx(at, abs=0.03 * np.abs(at).max())


def test_the_envelope_holds_every_stage() -> None:
    found = analyse(DEMO)
    env = found.envelope
    assert env is not None
    assert env.M_max.value == max(s.M.max() for s in found.stages)
    assert env.M_min.value == min(s.M.min() for s in found.stages)
    assert abs(env.V_max.value) == max(np.abs(s.V).max() for s in found.stages)
    assert env.w_max.value == max(s.w.max() for s in found.stages)
    governing = found.stages[env.M_min.stage - 1]
    assert governing.M[np.abs(governing.z - env.M_min.depth).argmin()] == env.M_min.value
    assert found.support_history == tuple(s.T for s in found.stages)


def test_the_error_of_the_mesh_is_told_and_small() -> None:
    found = analyse(DEMO)
    finer = analyse(halved(DEMO), mesh_error="left out")
    assert found.mesh_error is not None
    assert finer.mesh_error is None
    assert found.mesh_error < 5e-3
    assert found.envelope is not None
    assert finer.envelope is not None
    assert finer.envelope.M_min.value == pytest.approx(found.envelope.M_min.value, rel=5e-3)


@pytest.mark.parametrize("stage", range(5))
def test_a_stage_cut_in_two_ends_the_same(stage: int) -> None:
    once = analyse(DEMO, mesh_error="left out").stages[-1]
    twice = analyse(repeated(DEMO, stage), mesh_error="left out").stages[-1]
    assert twice.w == pytest.approx(once.w, abs=1e-7 * np.abs(once.w).max())
    assert pytest.approx(once.M, abs=1e-6 * np.abs(once.M).max()) == twice.M
    assert pytest.approx(once.T, rel=1e-7) == twice.T


def test_a_load_that_is_taken_away_leaves_plastic_set_and_nothing_else() -> None:
    """The first loading yields; the second runs up and down the stiff path and leaves no trace."""
    found = analyse(arrays(WITH_LOAD))
    before, after, again = (found.stages[i].w for i in (4, 6, 8))
    scale = np.abs(found.stages[5].w - before).max()
    assert np.abs(after - before).max() > 0.05 * scale  # a set is left
    assert np.abs(again - after).max() < 1e-3 * scale


def test_in_ground_that_does_not_yield_nothing_is_left() -> None:
    given = arrays(WITH_LOAD)
    # nothing is dug, so that ground and wall never part
    strong = replace(
        given, Ka=np.zeros_like(given.Ka), Kp=np.full_like(given.Kp, 1e4),
        dig=np.zeros_like(given.dig), a_state=np.zeros_like(given.a_state),
    )  # fmt: skip
    found = analyse(strong)
    assert all((s.p_retained > s.active_retained).all() for s in found.stages)
    scale = np.abs(found.stages[5].w - found.stages[4].w).max()
    assert scale > 1e-4
    assert found.stages[6].w == pytest.approx(found.stages[4].w, abs=1e-6 * scale)


def test_stiffer_ground_moves_less() -> None:
    w = [analyse(arrays(section(), stiffness_factor=f)).envelope for f in (0.5, 1.0, 2.0)]
    most = [e.w_max.value for e in w if e is not None]
    assert most[0] > most[1] > most[2]


def test_anchor_loads_are_along_the_anchor() -> None:
    found = analyse(DEMO)
    for stage in found.stages:
        for a, load in enumerate(stage.anchor_loads):
            assert load == pytest.approx(stage.T[a] * DEMO.anchor_share[a])


@pytest.mark.parametrize("strata", [[CLAY], [{**SAND}, {**CLAY, "top": 95.0}]])
def test_clay_stands_too(strata: list[dict[str, Any]]) -> None:
    found = analyse(arrays(section(ground={"top": 100.0, "strata": strata})))
    assert found.stands
    assert max(s.force_balance for s in found.stages) < 1e-8


def test_the_kernel_builds_once() -> None:
    build_kernel()
    assert kernel_is_built()
    assert kernel() is kernel()
    with pytest.raises(ValueError, match="run_batch"):
        kernel_is_built("walk")


@pytest.mark.parametrize("both", [False, True])
def test_the_kernel_finds_a_place_for_its_code(both: bool) -> None:
    """Where the package cannot be written the user's cache serves, or a folder of the process."""
    unwritable = "InTreeCacheLocator" + (" UserWideCacheLocator" if both else "")
    code = f"""
from numba.core import caching
def refuse(self):
    raise OSError("read only")
for name in "{unwritable}".split():
    getattr(caching, name).ensure_cache_path = refuse
from backstay.wall.staged.build import kernel
print(kernel().run._cache.cache_path)
"""
    environment = {k: v for k, v in os.environ.items() if k != "NUMBA_CACHE_DIR"}
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=False,
            env={**environment, "XDG_CACHE_HOME": folder, "TMPDIR": folder},
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        assert done.stdout.startswith(folder)
