"""Which envelopes apply to the ground beside a cut, and why, in words."""

from __future__ import annotations

from math import pi

from backstay.ground import Profile
from backstay.model.project import Service
from backstay.pressure.envelopes.envelope import EnvelopeKind
from backstay.pressure.envelopes.mix import CLEAR_SHARE, LEADING_SHARE, Mix
from backstay.pressure.envelopes.soft_clay import weakest_below
from backstay.pressure.stability_number import SOFT_FROM, STIFF_UP_TO, StabilityNumber


def in_play(
    ground: Profile,
    service: Service,
    found: Mix,
    number: StabilityNumber | None,
) -> tuple[tuple[EnvelopeKind, ...], tuple[str, ...]]:
    """Return the envelopes of which the largest governs, and the reasons in words."""
    reasons = [_ground_in_words(found)]
    if found.rock_below:
        reasons.append(
            f"Rock below {{length:{found.height:.6g}}} stands by itself and gives no pressure; the"
            " envelope acts on the soil above it. Joints that dip into the cut are not covered."
        )
    if found.clay < CLEAR_SHARE or number is None:
        if found.uniform and found.level and found.granular == 1.0:
            reasons.append("Uniform granular ground, level behind the wall: the envelope of sand.")
            return ("sand",), tuple(reasons)
        why = "Layered ground" if found.level else "Ground that slopes behind the wall"
        if found.level and found.uniform:
            why = "Rock treated as ground"
        reasons.append(
            f"{why}: the total load is the active thrust of the general wedge times the published"
            " factor, spread over the trapezoid of the envelopes."
        )
        return ("total load",), tuple(reasons)
    if found.mixed and found.clay < LEADING_SHARE and number.value <= STIFF_UP_TO:
        reasons.append(
            "Layered ground, mostly granular, with stiff clay: the clay envelopes were measured in clay"
            " throughout. The total load is the active thrust of the general wedge times the published"
            " factor; the envelope of stiff clay is shown beside it."
        )
        return ("total load",), tuple(reasons)
    play, words = _clay_family(ground, service, found, number)
    reasons += words
    if found.mixed:
        play.append("total load")
        reasons.append(
            "Granular ground and clay each make a quarter of the height or more, so that neither"
            " decides alone: the clay envelope and the total load of the wedge are both candidates."
        )
    elif not found.level:
        play.append("total load")
        reasons.append(
            "The ground slopes behind the wall, which the clay envelopes do not cover: the total"
            " load of the wedge is a candidate as well."
        )
    if number.loaded > number.value:
        reasons.append(_with_surcharge(number))
    return tuple(play), tuple(reasons)


def _clay_family(
    ground: Profile, service: Service, found: Mix, number: StabilityNumber
) -> tuple[list[EnvelopeKind], list[str]]:
    N = f"The stability number is {{ratio:{number.value:.6g}}}"
    play: list[EnvelopeKind]
    if number.value <= STIFF_UP_TO:
        play, words = ["stiff clay"], [f"{N}, not above 4: the envelope of stiff to hard clay."]
        weakest = weakest_below(ground, found.height)
        if weakest is not None and (2 + pi) * weakest < number.gamma * found.height:
            play.append("soft clay")
            words.append(
                "The clay below subgrade is weak enough to yield under this cut: the envelope of"
                " soft to medium clay over a yielding base is a candidate as well."
            )
    elif number.value <= SOFT_FROM:
        play = ["stiff clay", "soft clay"]
        words = [f"{N}, between 4 and 6: the larger of the envelopes of stiff and of soft clay."]
    else:
        play, words = ["soft clay"], [f"{N}, above 6: the envelope of soft to medium clay."]
    if service.life == "permanent":
        play.append("stiff clay, long term")
        words.append(
            "The wall is permanent: the long-term envelope from drained strength is a candidate."
        )
    return play, words


def _with_surcharge(number: StabilityNumber) -> str:
    text = (
        f"With the uniform surcharge the stability number is {{ratio:{number.loaded:.6g}}}; the"
        " surcharge is a diagram of its own and does not enter the choice."
    )
    crossed = [n for n in (STIFF_UP_TO, SOFT_FROM) if number.value <= n < number.loaded]
    if crossed:
        text += (
            f" It would lift the number above {crossed[-1]:g}: compare the other candidates, and"
            " force an envelope if the surcharge is there before the cut and lasts."
        )
    return text


def _ground_in_words(found: Mix) -> str:
    parts = [
        f"{{percent:{share:.6g}}} {name}"
        for name, share in (
            ("granular ground", found.granular),
            ("clay", found.clay),
            ("rock", found.rock),
        )
        if share > 1e-9
    ]
    return (
        f"Over the {{length:{found.height:.6g}}} that load the wall there is {', '.join(parts)}"
        + (", uniform" if found.uniform else ", in layers")
        + ("; the ground behind is level." if found.level else "; the ground behind slopes.")
    )


def worth_showing(
    default: tuple[EnvelopeKind, ...], found: Mix, number: StabilityNumber | None
) -> tuple[EnvelopeKind, ...]:
    """Return the envelopes worth showing beside those in play."""
    if number is None or found.clay < CLEAR_SHARE:
        return (*default, "sand") if found.level else default
    return (*default, "stiff clay")
