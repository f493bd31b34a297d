"""Rules of the limits of plasticity of a stratum."""

from __future__ import annotations

from collections.abc import Iterator

from backstay.model.ground import Stratum
from backstay.model.rules.rule import Breach, Say, rule

LEAST_INDEX = 0.01
"""A plasticity index below 1 % is not plastic (0), or was written as a ratio."""


@rule
def plasticity_within_liquid_limit(stratum: Stratum, say: Say) -> Iterator[Breach]:
    """Require a plasticity index below the liquid limit, and neither written as a ratio."""
    index, liquid = stratum.plasticity_index, stratum.liquid_limit
    if index is None:
        return
    if 0.0 < index < LEAST_INDEX:
        yield Breach(
            ("plasticity_index",), "this size does not occur", "0 (not plastic), or 1 % and more",
            "it is a water content in %: 25, not 0.25",
        )  # fmt: skip
    elif liquid is not None and index >= liquid:
        yield Breach(
            ("plasticity_index",), "the plasticity index is the liquid limit less the plastic limit",
            f"less than {say('percent', liquid)}",
        )  # fmt: skip
