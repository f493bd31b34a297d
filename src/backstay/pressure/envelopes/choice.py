"""Which envelope the wall is designed for, and why, in words.

Every envelope that the ground allows is computed and kept. Those that apply to this ground are in
play; the one with the largest total (water added where the envelope is in effective stresses)
governs. An engineer who names an envelope is obeyed, and told what the default would be.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from backstay.basis import Basis
from backstay.errors import DesignError
from backstay.ground import Profile
from backstay.model.project import Section, Service
from backstay.pressure.diagram import Diagram
from backstay.pressure.envelopes.applies import in_play, worth_showing
from backstay.pressure.envelopes.envelope import Envelope, EnvelopeKind
from backstay.pressure.envelopes.mix import CLEAR_SHARE, Mix, mix
from backstay.pressure.envelopes.sand import long_term_envelope, sand_envelope
from backstay.pressure.envelopes.soft_clay import soft_clay_envelope
from backstay.pressure.envelopes.stiff_clay import stiff_clay_envelope
from backstay.pressure.envelopes.total_load import total_load_envelope
from backstay.pressure.rows import refuse_bad_rows
from backstay.pressure.stability_number import StabilityNumber, find_stability_number
from backstay.pressure.water import WaterState
from backstay.pressure.wedge import Strength
from backstay.trace import heading, untraced


@dataclass(frozen=True, slots=True)
class Choice:
    """The governing envelope, all that were computed, the reasons, and the stability number."""

    envelope: Envelope
    candidates: tuple[Envelope, ...]
    reasons: tuple[str, ...]
    number: StabilityNumber | None


def choose_envelope(
    section: Section,
    ground: Profile,
    service: Service,
    rules: Basis,
    *,
    water: WaterState,
    net: Diagram | None,
) -> Choice:
    """Return the governing envelope of a design section, with its reasons.

    water: pore pressures behind the wall; net: net water pressure above subgrade, for the
    comparison of envelopes in effective stresses with those in total stresses.

    Raise DesignError where an envelope in play cannot be computed, with what is missing.
    """
    depths = tuple(section.depth(row.elevation) for row in section.anchors)
    refuse_bad_rows(depths, ground.H)
    found = mix(ground)
    rows = tuple(z for z in depths if z < found.height)
    if not rows:
        raise DesignError(
            f"no row of anchors lies in the soil above rock at {{length:{found.height:.6g}}}; the"
            " published envelopes need one",
            "row 1",
        )
    number = _number(section, ground, found)
    makers = _makers(section, ground, service, rules, found, rows, number, water, net)
    default, reasons = in_play(ground, service, found, number)
    forced = section.pressure.envelope
    if forced == "auto":
        play = default
    else:
        play = _forced(forced, service, found)
        reasons = (
            f"The engineer has chosen the envelope: {forced}.",
            f"By default it would be: {' or '.join(default)}.",
            *reasons,
        )
    made = {kind: makers[kind]() for kind in play}
    for kind in (k for k in worth_showing(default, found, number) if k not in made):
        try:
            made[kind] = makers[kind]()
        except DesignError as error:
            reasons = (*reasons, f"Not computed: {kind} ({error.reason}).")
    governing = max((made[kind] for kind in play), key=lambda e: _carried(e, net))
    if len(play) > 1:
        reasons = (*reasons, _comparison([made[kind] for kind in play], governing, net))
    return Choice(governing, tuple(made.values()), reasons, number)


def _carried(envelope: Envelope, net: Diagram | None) -> float:
    added = envelope.added_water(net)
    return envelope.total_load + (added.resultant() if added else 0.0)


def _comparison(play: list[Envelope], governing: Envelope, net: Diagram | None) -> str:
    listed = "; ".join(
        f"{e.title} {{force per length:{_carried(e, net):.6g}}}"
        + (" with water" if e.added_water(net) else "")
        for e in play
    )
    return f"Total loads: {listed}. The largest governs: {governing.title}."


def _number(section: Section, ground: Profile, found: Mix) -> StabilityNumber | None:
    if found.clay <= 0.0:
        return None
    heading("Stability number")
    forced = section.pressure.envelope in ("sand", "total load")
    try:
        return find_stability_number(ground, found.height, section.surcharges)
    except DesignError:
        if forced or found.clay < CLEAR_SHARE:
            return None
        raise


def _makers(
    section: Section,
    ground: Profile,
    service: Service,
    rules: Basis,
    found: Mix,
    rows: tuple[float, ...],
    number: StabilityNumber | None,
    water: WaterState,
    net: Diagram | None,
) -> dict[EnvelopeKind, Callable[[], Envelope]]:
    choice = section.pressure
    height = found.height

    def pore(z: float) -> float:
        with untraced():
            return water.pressure(z)

    def clay() -> StabilityNumber:
        return number or find_stability_number(ground, height, section.surcharges)

    return {
        "sand": lambda: sand_envelope(ground, rows, height, rules, pore),
        "stiff clay": lambda: stiff_clay_envelope(clay(), rows, height, choice.stiff_clay_share),
        "stiff clay, long term": lambda: long_term_envelope(ground, rows, height, rules, pore),
        "soft clay": lambda: soft_clay_envelope(
            ground, clay(), height, m=choice.m, width=section.cut.width
        ),
        "total load": lambda: _total_load(ground, service, rules, found, rows, water, net),
    }


def _total_load(
    ground: Profile,
    service: Service,
    rules: Basis,
    found: Mix,
    rows: tuple[float, ...],
    water: WaterState,
    net: Diagram | None,
) -> Envelope:
    """Return the total-load envelope: temporary walls undrained, permanent ones the larger."""
    strengths: tuple[Strength, ...] = ("undrained",) if found.clay > 0.0 else ("drained",)
    if service.life == "permanent" and found.clay > 0.0:
        strengths = ("undrained", "drained")
    with untraced():
        gradient = water.gradient()
    made = [
        total_load_envelope(ground, rows, found.height, rules, strength=strength, gradient=gradient)
        for strength in strengths
    ]
    return max(made, key=lambda e: _carried(e, net))


def _forced(name: str, service: Service, found: Mix) -> tuple[EnvelopeKind, ...]:
    if name == "stiff clay" and service.life == "permanent":
        return ("stiff clay", "stiff clay, long term")
    kinds: dict[str, EnvelopeKind] = {
        "sand": "sand", "stiff clay": "stiff clay", "soft clay": "soft clay",
        "total load": "total load",
    }  # fmt: skip
    if name in ("stiff clay", "soft clay") and found.clay == 0.0:
        raise DesignError(f"the envelope {name} is chosen, but no clay lies beside the cut")
    return (kinds[name],)
