"""Standing words of every presenter: cautions, limits, disclaimer."""

from __future__ import annotations

CAUTIONS = (
    "Stressing: nobody stands behind the jack or in line with the tendon, and the area behind it is closed off, "
    "while a tendon is loaded. A tendon holds enough energy to kill.",
    "No anchor is stressed before its grout has reached the required strength.",
    "Utilities, basements and neighbouring anchors are located and marked before any hole is drilled.",
    "The cut is never taken below the level given for a stage before the anchors of that stage are "
    "tested, accepted and locked off.",
    "Open excavation: edge protection, safe access, and inspection of lagging and face every day and after rain.",
)

DISCLAIMER = (
    "This calculation is an aid to a licensed engineer. Local codes, the ground met on site and the judgement "
    "of the engineer of record prevail over it. Values marked from memory are to be confirmed against "
    "the document they name before they are relied on."
)

LIMITS = (
    "Design envelopes are empirical. They cover the greatest load on a row at any stage in ordinary conditions; they "
    "are not the pressure at any one stage, and they do not cover swelling, frost, or a creeping slope.",
    "The failure surface is a plane through the bottom of the cut. A slip that passes behind the bond zones "
    "(overall stability) is to be checked separately.",
    "Toe resistance of soldier piles rests on an isolated pile; closely spaced piles are limited to the continuous wall.",
    "Water pressures are hydrostatic or from a linear head loss; artesian pressure and layered flow need a flow analysis.",
    "Presumptive bond values only size the bond zone; the load test of every anchor proves it.",
    "Movement is estimated from published experience with good workmanship; ground lost through lagging or drilling is not in it.",
    "The deflection of the cantilever stage is an estimate from a fixed-base beam, and not a prediction.",
)
