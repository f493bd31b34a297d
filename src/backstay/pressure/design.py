"""The design pressure of an anchored wall: envelope, water, surcharges and earthquake, added up.

Each part is a diagram of its own, and their sum is the design diagram from the top of wall to
subgrade. What acts below subgrade belongs to the toe.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from backstay.basis import Basis
from backstay.checks import Check
from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.ground import Profile
from backstay.model.project import Section, Service
from backstay.pressure.diagram import Diagram, total
from backstay.pressure.envelopes import Envelope, choose_envelope
from backstay.pressure.increment import earthquake_diagram
from backstay.pressure.surcharge import surcharge_diagram
from backstay.pressure.water import WaterState, net_water_diagram
from backstay.quantity import QUANTITIES
from backstay.trace import Stated, Step, heading, state, trace, untraced

_EQUAL = 1e-9
_AREA = Citation("area of a diagram", "exact integration, rounding of 64-bit numbers", "formula")


@dataclass(frozen=True, slots=True)
class DesignPressures:
    """The pressures of one design section.

    envelope: the one that governs; candidates: every one computed; reasons: why, in words;
    stability_number: gamma H / s_u, None without clay; water: net water above subgrade, None
    where there is none or where it lies inside the envelope; surcharges, earthquake: diagrams of
    their own; design: their sum over 0..H (kPa); checks: areas against totals; steps: the
    derivation.
    """

    envelope: Envelope
    candidates: tuple[Envelope, ...]
    reasons: tuple[str, ...]
    stability_number: float | None
    water: Diagram | None
    surcharges: tuple[Diagram, ...]
    earthquake: Diagram | None
    design: Diagram
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


def design_pressures(
    section: Section, ground: Profile, service: Service, rules: Basis
) -> DesignPressures:
    """Return the design pressures of a section, each part and the sum.

    Raise DesignError with the reason where an envelope, a surcharge or the earthquake cannot be
    computed, and where nothing presses the wall toward the cut.
    """
    notes: list[str] = []
    with trace() as t:
        still, toe = _water_above_toe(section, ground, notes)
        with untraced():
            net = net_water_diagram(still, toe=toe)
        choice = choose_envelope(
            section, still, service, rules, water=WaterState(still, toe, bed=ground.H), net=net
        )
        envelope = choice.envelope
        water = envelope.added_water(net)
        if net is not None and envelope.total_stress:
            notes.append(
                "Where the envelope is in total stresses, pore water is inside it and is not"
                " added. Water standing in open cracks or sand seams of clay is not covered."
            )
        if water is not None:
            heading("Water")
            net_water_diagram(still, toe=toe)
        surcharges = _surcharges(section, ground)
        earthquake = None
        if section.earthquake is not None:
            earthquake = earthquake_diagram(ground, envelope.height, section.earthquake)
            if service.life == "temporary":
                notes.append(
                    "An earthquake is given for a temporary wall; its increment is added as asked."
                )
        parts = [envelope.diagram, *surcharges, *(d for d in (water, earthquake) if d is not None)]
        design = _sum(parts, ground.H)
        heading("Design pressure")
        for part in parts:
            state("P", part.name, part.resultant(0.0, ground.H), "force per length",
                  method="area of its diagram above subgrade")  # fmt: skip
        area = state("P", "Design pressure, sum of the above", design.resultant(),
                     "force per length", method="area of the summed diagram")  # fmt: skip
        if area <= 0.0:
            raise DesignError(
                "nothing presses the wall toward the cut in this model; what joints or creep may"
                " do is for the engineer to judge",
                "design pressure",
            )
    checks = (
        *(_area_check(e.diagram.resultant(), e.total_load, e.title, e.steps)
          for e in choice.candidates),
        _area_check(area, sum(d.resultant(0.0, ground.H) for d in parts), "design diagram", ()),
    )  # fmt: skip
    return DesignPressures(
        envelope, choice.candidates, (*choice.reasons, *notes),
        choice.number.value if choice.number else None,
        water, surcharges, earthquake, design, checks, t.steps,
    )  # fmt: skip


def _water_above_toe(
    section: Section, ground: Profile, notes: list[str]
) -> tuple[Profile, float | None]:
    """Return the ground and the toe that the water above subgrade is computed with.

    While the toe is still to be found, seeping water is taken at rest: that is never less.
    """
    toe = section.wall.toe
    if toe != "auto":
        return ground, section.depth(toe)
    if ground.flow == "seepage":
        notes.append(
            "Seepage around the toe is asked for, and the toe is not fixed: above subgrade the water"
            " is taken at rest, which never gives less pressure. Give the toe to count the relief."
        )
        return replace(ground, flow="hydrostatic"), None
    return ground, None


def _surcharges(section: Section, ground: Profile) -> tuple[Diagram, ...]:
    found = []
    for surcharge in section.surcharges:
        heading(f"Surcharge: {surcharge.name} ({surcharge.acts})")
        diagram = surcharge_diagram(surcharge, section, ground).clipped(0.0, ground.H)
        found.append(diagram)
    return tuple(found)


def _sum(parts: Sequence[Diagram], H: float) -> Diagram:
    """Return the sum of the parts over the whole of 0..H, nil where no part acts."""
    frame = Diagram("", (0.0, H), (0.0, 0.0))
    return total("Design pressure", [frame, *(part.clipped(0.0, H) for part in parts)])


def _area_check(area: float, wanted: float, where: str, steps: tuple[Step, ...]) -> Check:
    """Return the check that a diagram has the area it was drawn for."""
    error = abs(area - wanted) / abs(wanted) if wanted else abs(area)
    return Check(
        "pressure.area-equality", "Area of the diagram against its total load", error, _EQUAL,
        QUANTITIES["ratio"], _AREA, where=where,
        steps=(
            *steps,
            Stated("A", f"Area of the diagram: {where}", area, QUANTITIES["force per length"],
                   "exact integration of straight pieces"),
            Stated("P", f"Load it stands for: {where}", wanted, QUANTITIES["force per length"],
                   "from its derivation above"),
        ),
        remedy="This is a fault of the program, not of the design: please report it.",
    )  # fmt: skip
