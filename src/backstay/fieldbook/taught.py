"""What the tests in the records teach: the bond by ground and grouting, and the anchors to come."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from backstay.anchors import AnchorDesign
from backstay.design import Design
from backstay.fieldbook.judged import judged_tests
from backstay.records.entries import RegisterLine, State
from backstay.records.store import Records
from backstay.stressing.bond_effect import BondEffect, effect_on
from backstay.stressing.bond_priors import Group, priors_of
from backstay.stressing.bond_tests import BondTest, bond_test
from backstay.stressing.learning import Lesson, lessons
from backstay.stressing.outliers import Outlier, outliers_of_tests
from backstay.stressing.rules import TestRules

_TO_COME: frozenset[State] = frozenset({"planned", "submittal"})


@dataclass(frozen=True, slots=True)
class Taught:
    """What the tests teach. effects: on the anchors still to be made, by part."""

    tests: tuple[BondTest, ...]
    lessons: tuple[Lesson, ...]
    effects: tuple[tuple[str, BondEffect], ...]
    outliers: tuple[Outlier, ...]


def taught(
    records: Records, rules: TestRules, design: Design, lines: Sequence[RegisterLine]
) -> Taught:
    """Return what the tests of a wall teach."""
    judged = [(j.record, j.judgement) for j in judged_tests(records, rules, lines, every=True)]
    tests = [test for record, judgement in judged if (test := bond_test(record, judgement))]
    anchors = [anchor for _, mine in _parts(design) for anchor in mine]
    found = lessons(tests, priors_of(anchors))
    by_group = {(lesson.ground, lesson.grouting): lesson for lesson in found}
    return Taught(
        tuple(tests), found, tuple(_effects(design, by_group, lines)), outliers_of_tests(judged)
    )


def _parts(design: Design) -> Iterator[tuple[str, list[AnchorDesign]]]:
    for section in design.sections:
        yield section.section.name, list(section.anchors)
    for slope in design.slopes:
        yield slope.slope.name, [row.anchor for row in slope.rows]


def _effects(
    design: Design, by_group: dict[Group, Lesson], lines: Sequence[RegisterLine]
) -> Iterator[tuple[str, BondEffect]]:
    for part, anchors in _parts(design):
        for anchor in anchors:
            lesson = by_group.get((tuple(sorted(anchor.bond_kinds)), anchor.grouting))
            remaining = sum(
                (line.part, line.row) == (part, anchor.row)
                and line.state in _TO_COME
                and not line.trial
                for line in lines
            )
            if (
                lesson is None
                or lesson.before is None
                or lesson.after is None
                or lesson.value is None
            ):
                continue
            if remaining:
                yield part, effect_on(
                    anchor, lesson.before, lesson.after, design.basis, remaining=remaining,
                    value=lesson.value,
                )  # fmt: skip
