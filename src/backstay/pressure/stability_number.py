"""The stability number of the cut, which tells stiff clay from soft in the sense of the envelopes.

N_s = gamma H / s_u, with averages over the height that loads the wall. Up to 4 the ground stays
elastic and the envelope of stiff clay holds; above 6 the ground below the cut yields and the
envelope of soft clay holds; between, the larger of the two.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.ground import Profile
from backstay.model.loads import Surcharge, Traffic, Uniform
from backstay.pressure.averages import average_strength, average_unit_weight
from backstay.quantity import Length, Ratio, Stress, UnitWeight
from backstay.trace import formula

STIFF_UP_TO = 4.0
SOFT_FROM = 6.0
_PECK = Citation("Peck 1969, deep excavations and tunneling in soft ground", "", "memory")


@dataclass(frozen=True, slots=True)
class StabilityNumber:
    """The stability number and what it was made from.

    value: gamma H / s_u; gamma: average total unit weight (kN/m3); su: average undrained
    strength of the clays (kPa); loaded: the number with the uniform surcharge, for comparison.
    """

    value: float
    gamma: float
    su: float
    loaded: float


@formula("N_s", _PECK)
def stability_number(gamma: UnitWeight, H: Length, s_u: Stress) -> Ratio:
    """Stability number of the cut.

    gamma: average total unit weight over the height
    H: height of the cut in soil
    s_u: average undrained strength over the height
    """
    return gamma * H / s_u


@formula("N_s_q", _PECK)
def loaded_stability_number(gamma: UnitWeight, H: Length, q: Stress, s_u: Stress) -> Ratio:
    """Stability number of the cut with the uniform surcharge.

    gamma: average total unit weight over the height
    H: height of the cut in soil
    q: uniform surcharge behind the wall
    s_u: average undrained strength over the height
    """
    return (gamma * H + q) / s_u


def find_stability_number(
    ground: Profile, height: float, surcharges: Sequence[Surcharge] = ()
) -> StabilityNumber:
    """Return the stability number of the clays over 0..height.

    Raise DesignError where there is no clay, or a clay has no undrained strength.
    """
    gamma = average_unit_weight(ground, height)
    su = average_strength(ground, 0.0, height)
    if su <= 0.0:
        raise DesignError("the average undrained strength is nil", "stability number")
    number = stability_number(gamma, height, su)
    q = sum(s.pressure for s in surcharges if isinstance(s, Uniform | Traffic))
    loaded = loaded_stability_number(gamma, height, q, su) if q else number
    return StabilityNumber(number, gamma, su, loaded)
