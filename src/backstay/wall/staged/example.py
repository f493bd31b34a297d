"""The smallest wall that can be analysed: to build the kernel with, and to try things on."""

from __future__ import annotations

import numpy as np

from backstay.wall.staged.result import StagedInput


def smallest() -> StagedInput:
    """Return a wall of 16 elements, dug 1 m in two stages, with one row."""
    z = np.linspace(0.0, 4.0, 17)
    one, nil = np.ones(1), np.zeros(1)
    stages = 2
    far = np.full(stages, 1e9)
    return StagedInput(
        z=z, h=np.diff(z), layer=np.zeros(16, np.int64), EI=np.full(16, 1e4),
        gamma=18.0 * one, gamma_sat=20.0 * one, Ka=0.3 * one, Kp=4.0 * one, c=nil, su=nil,
        su_gradient=nil, K0=0.5 * one, kh=5000.0 * one, kh_gradient=nil, layer_top=nil,
        dig=np.array([1.0, 1.0]), water_r=far, water_c=far, load=np.zeros(stages),
        seepage=np.zeros(stages), undrained=np.zeros((stages, 1), np.bool_),
        stiffness=np.ones(stages), spacing=1.0, pile_width=1.0, arching=one,
        external=np.zeros((stages, 16, 2)), node=np.array([2], np.int64),
        a_state=np.array([[0], [1]], np.int64), a_k=np.full((stages, 1), 1000.0),
        a_lock=np.full((stages, 1), 5.0), a_cap=np.full((stages, 1), 1e9),
        stage_titles=("dig to 1 m", "stress row 1"), support_names=("row 1",),
        zone_names=("sand",), rows=1, per_pile=False, H=1.0, anchor_share=(1.0,),
    )  # fmt: skip
