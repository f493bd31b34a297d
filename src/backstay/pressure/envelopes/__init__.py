"""Design envelopes: the apparent earth pressures of anchored walls.

An envelope is not the pressure of any one day; it encloses what the rows of anchors have been
observed to carry as the cut went down. Its shape comes from the depths of the rows, its size from
the ground: sand, stiff to hard clay (temporary and long term), soft to medium clay (with a
yielding base by Henkel), or, for layered and sloping ground, a multiple of the active thrust of
the general wedge. `choose_envelope` computes those that the ground allows and explains which one
governs. Every envelope is exact: the area of its diagram is its total load.
"""

from backstay.pressure.envelopes.choice import Choice, choose_envelope
from backstay.pressure.envelopes.envelope import Envelope, EnvelopeKind
from backstay.pressure.envelopes.henkel import WeakBase, henkel_coefficient, weak_base
from backstay.pressure.envelopes.mix import Mix, mix
from backstay.pressure.envelopes.sand import long_term_envelope, sand_envelope
from backstay.pressure.envelopes.soft_clay import soft_clay_envelope
from backstay.pressure.envelopes.stiff_clay import stiff_clay_envelope
from backstay.pressure.envelopes.total_load import total_load_envelope
from backstay.pressure.envelopes.trapezoid import soft_shape, trapezoid

__all__ = [
    "Choice",
    "Envelope",
    "EnvelopeKind",
    "Mix",
    "WeakBase",
    "choose_envelope",
    "henkel_coefficient",
    "long_term_envelope",
    "mix",
    "sand_envelope",
    "soft_clay_envelope",
    "soft_shape",
    "stiff_clay_envelope",
    "total_load_envelope",
    "trapezoid",
    "weak_base",
]
