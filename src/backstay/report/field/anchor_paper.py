"""What a page about an anchor is made from: its test with the judgement, and what else is recorded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backstay.fieldbook.after_lock_off import AfterLockOff
from backstay.fieldbook.judged import load_standing
from backstay.records.entries import RegisterLine
from backstay.records.facts import (
    DesignChanged,
    DesignValues,
    Drilled,
    Grouted,
    GroutStrength,
    LiftedOff,
    LockedOff,
    Remark,
    TendonPlaced,
    VerdictIssued,
)
from backstay.stressing.judge import Judgement
from backstay.stressing.lift_off import LiftOffJudgement
from backstay.stressing.record import TestRecord

if TYPE_CHECKING:
    from backstay.records.anchor_file import AnchorFile


@dataclass(frozen=True, slots=True, kw_only=True)
class AnchorPaper:
    """One anchor for its page. Everything but the test and its judgement may be missing.

    number: of the test; design: what was asked for; line: of the register; drilled, tendon, grouted,
    strengths: as built; locked_off, lifted_off: as recorded; lift_off: as judged; after: what is known
    since the lock-off; changed: why the design is another than at the test, by what was recorded;
    verdict: as issued, signed; remarks: typed by the crew.
    """

    record: TestRecord
    judgement: Judgement
    number: int | None = None
    design: DesignValues | None = None
    line: RegisterLine | None = None
    drilled: Drilled | None = None
    tendon: TendonPlaced | None = None
    grouted: tuple[Grouted, ...] = ()
    strengths: tuple[GroutStrength, ...] = ()
    locked_off: LockedOff | None = None
    lifted_off: LiftedOff | None = None
    lift_off: LiftOffJudgement | None = None
    after: AfterLockOff | None = None
    changed: tuple[DesignChanged, ...] = ()
    verdict: VerdictIssued | None = None
    remarks: tuple[str, ...] = ()

    @property
    def load_standing(self) -> str:
        """Return how the load of the anchor stands, empty before its lock-off was measured."""
        return load_standing(self.lift_off, self.after)


def paper_of(
    file: AnchorFile,
    record: TestRecord,
    judgement: Judgement,
    *,
    number: int | None = None,
    lift_off: LiftOffJudgement | None = None,
    after: AfterLockOff | None = None,
) -> AnchorPaper:
    """Return the paper of a test from everything that is recorded about its anchor.

    number: of the test, the last where none is given. A lock-off, lift-off or verdict stands on the
    page of the last test alone: it follows that test.
    """
    line = file.line
    test = line.test if number is None else number
    last = test == line.test
    locked, lifted = file.of(LockedOff), file.lift_offs()
    drilled, tendon = file.of(Drilled), file.of(TendonPlaced)
    verdicts = [e.fact for e in file.of(VerdictIssued) if e.fact and e.fact.test == test]
    return AnchorPaper(
        record=record, judgement=judgement, number=test, design=line.design, line=line,
        drilled=drilled[-1].fact if drilled else None,
        tendon=tendon[-1].fact if tendon else None,
        grouted=tuple(e.fact for e in file.of(Grouted) if e.fact),
        strengths=tuple(e.fact for e in file.of(GroutStrength) if e.fact),
        locked_off=locked[-1].fact if last and locked else None,
        lifted_off=lifted[-1].fact if last and lifted else None,
        lift_off=lift_off if last else None, after=after if last else None,
        changed=tuple(
            e.fact for e in file.of(DesignChanged)
            if last and e.fact and (record.on is None or (e.happened or e.recorded) > record.on)
        ),
        verdict=verdicts[-1] if verdicts else None,
        remarks=tuple(e.fact.text for e in file.of(Remark) if e.fact),
    )  # fmt: skip
