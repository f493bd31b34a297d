"""All papers of a wall from its records: the pages of its anchors, the summary, the register."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property

from backstay.fieldbook.judged import JudgedTest, judged_tests
from backstay.model.project import Project
from backstay.quantity import UnitSystem
from backstay.records.entries import RegisterLine
from backstay.records.facts import Remark
from backstay.records.store import Records
from backstay.report.field.anchor_pages import anchor_pages_bytes
from backstay.report.field.anchor_paper import AnchorPaper, paper_of
from backstay.report.field.faces import faces_of
from backstay.report.field.register_book import register_bytes
from backstay.report.field.summary import summary_bytes
from backstay.stressing.bond_tests import bond_test
from backstay.stressing.learning import lessons
from backstay.stressing.outliers import outliers_of_tests
from backstay.stressing.rules import TestRules


@dataclass(frozen=True)
class WallPapers:
    """The register of a wall and every test of it, judged: what its papers are written from."""

    project: Project
    rules: TestRules
    lines: tuple[RegisterLine, ...]
    tests: tuple[JudgedTest, ...]

    @cached_property
    def papers(self) -> tuple[AnchorPaper, ...]:
        """Return the paper of every test."""
        return tuple(
            paper_of(
                one.file,
                one.record,
                one.judgement,
                number=one.number,
                lift_off=one.lift_off,
                after=one.after,
            )
            for one in self.tests
        )

    def of(self, anchors: Collection[str] = ()) -> list[AnchorPaper]:
        """Return the papers of some anchors, of all where none is named."""
        return [p for p in self.papers if not anchors or p.record.anchor.name in anchors]

    def pages(
        self, papers: Sequence[AnchorPaper], units: UnitSystem, *, readings: bool = True
    ) -> bytes:
        """Return the pages of some tests as PDF. Raises DesignError where there is none."""
        about = self.project.project
        return anchor_pages_bytes(papers, units, self.rules, project=about, readings=readings)

    def summary(self, units: UnitSystem) -> bytes:
        """Return the summary of the wall as PDF. Raises DesignError where the register is empty."""
        judged = [(one.record, one.judgement) for one in self.tests]
        held = [test for record, judgement in judged if (test := bond_test(record, judgement))]
        return summary_bytes(
            self.lines, units, judged=judged, project=self.project.project,
            lift_offs={one.line.anchor: one.lift_off for one in self.tests if one.lift_off},
            after={one.line.anchor: one.after for one in self.tests if one.after},
            outliers=outliers_of_tests(judged), lessons=lessons(held, {}),
            faces=faces_of(self.project),
        )  # fmt: skip

    def register(self, units: UnitSystem) -> bytes:
        """Return the register as a workbook."""
        remarks = {
            one.line.anchor: [e.fact.text for e in one.file.of(Remark) if e.fact]
            for one in self.tests
        }
        return register_bytes(
            self.lines, units, papers=self.papers, remarks=remarks, project=self.project.project
        )


def wall_papers(
    records: Records, lines: Sequence[RegisterLine], rules: TestRules, project: Project
) -> WallPapers:
    """Return the papers of a wall out of its records. lines: its register."""
    tests = tuple(judged_tests(records, rules, lines, every=True))
    return WallPapers(project, rules, tuple(lines), tests)
