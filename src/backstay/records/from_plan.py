"""The anchors of a plan of tests as facts, with which a register begins."""

from __future__ import annotations

from backstay.model.project import Service
from backstay.records.facts import DesignValues, Planned
from backstay.stressing.plan import PlannedAnchor, TestPlan, anchor_to_test
from backstay.stressing.rules import TestRules


def planned_anchors(
    plan: TestPlan, service: Service, rules: TestRules, *, project: str = ""
) -> tuple[Planned, ...]:
    """Return the registration of every anchor of a plan, with its design as it stands now.

    project: which state of the project file the design is of, to be recorded with it.
    """
    return tuple(
        Planned(
            anchor=one.identity.name, part=one.identity.part, row=one.identity.row,
            number=one.identity.number, pile=one.identity.pile, trial=one.identity.trial,
            design=design_values(one, service, rules, project=project),
        )
        for one in plan.anchors
    )  # fmt: skip


def design_values(
    planned: PlannedAnchor, service: Service, rules: TestRules, *, project: str = ""
) -> DesignValues:
    """Return the design of an anchor of a plan as it is recorded."""
    design = planned.design
    asked = anchor_to_test(planned.identity, design, service, rules)
    return DesignValues(
        service=asked.service, design_load=asked.design_load, lock_off_load=asked.lock_off_load,
        test_load=design.test_load, area=asked.area, modulus=asked.modulus,
        strength=asked.strength, free_length=asked.free_length,
        bond_length=None if design.bond_open else asked.bond_length,
        hole_diameter=asked.hole_diameter, inclination=design.inclination, skew=design.skew,
        depth=design.z, tendon=design.tendon.title, ground=asked.ground, creeps=asked.creeps,
        grouting=asked.grouting, tests=planned.tests, jack_length=asked.jack_length,
        proof_load=asked.proof_load, draw_in=asked.draw_in, project=project,
    )  # fmt: skip
