"""The envelope of stiff to hard clay in the temporary condition: p is a share of gamma H."""

from __future__ import annotations

from math import inf

from backstay.cite import GEC4, Citation
from backstay.pressure.envelopes.envelope import Envelope
from backstay.pressure.envelopes.trapezoid import describe, trapezoid, trapezoid_total
from backstay.pressure.stability_number import StabilityNumber
from backstay.quantity import Length, Ratio, Stress, UnitWeight
from backstay.trace import formula, heading, remark, state, trace

_STIFF = Citation(
    f"{GEC4}; AASHTO LRFD 3.11.5.7.2", "section 5.2, stiff to hard clay: 0.2 to 0.4", "memory"
)


@formula("p", _STIFF)
def stiff_clay_ordinate(share: Ratio, gamma: UnitWeight, H: Length) -> Stress:
    """Largest ordinate of the envelope of stiff to hard clay, temporary condition.

    share: 0.2 to 0.4, chosen by the engineer
    gamma: average total unit weight over the height
    H: height of the cut in soil
    """
    return share * gamma * H


def stiff_clay_envelope(
    number: StabilityNumber, rows: tuple[float, ...], height: float, share: float
) -> Envelope:
    """Return the short-term envelope of stiff to hard clay over 0..height.

    share: p over gamma H, between 0.2 and 0.4.
    """
    title = "Stiff to hard clay, temporary condition"
    with trace() as t:
        heading(f"Envelope: {title.lower()}")
        remark("Total stresses: pore water is inside this envelope and is not added to it.")
        share = state(
            "share",
            "Share of gamma H",
            share,
            "ratio",
            method="chosen for this section",
            cite=_STIFF,
        )
        p = stiff_clay_ordinate(share, number.gamma, height)
        total = trapezoid_total(p, height, rows)
        diagram = trapezoid(title, p, height, rows)
        describe(diagram)
    return Envelope("stiff clay", title, p, total, diagram, height, ((0.0, inf),), t.steps)
