"""The staged analysis: the wall as a beam between elastic-plastic ground, carried through the dig.

Design envelopes give loads that no stage exceeds in ordinary conditions; the staged analysis follows
what the wall does: below at-rest while it leans as a cantilever, above at-rest near a stressed anchor,
redistributed by each deeper lift. `staged_input` turns a design section into flat arrays, `analyse`
carries them through the stages. The kernel is compiled (numba) and loaded only when an analysis
runs; `kernel_is_built` says whether that will take a moment, `build_kernel` builds it.
"""

from backstay.wall.staged.analysis import analyse
from backstay.wall.staged.build import build_kernel, kernel_is_built
from backstay.wall.staged.inputs import staged_input, with_stiffness
from backstay.wall.staged.result import (
    Accident,
    Envelope,
    Extreme,
    FailedStage,
    StagedInput,
    StagedResult,
    StageResult,
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
    "build_kernel",
    "kernel_is_built",
    "staged_input",
    "with_stiffness",
]
