"""Lock-off, lift-off and the loads read later, in sentences for the page of an anchor."""

from __future__ import annotations

from backstay.fieldbook.lock_off_words import after_words, fails_words
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.field.anchor_paper import AnchorPaper
from backstay.report.field.words import said, sentence_of, source
from backstay.stressing.strands import strand_loads

_WELL = ("", "in tolerance")


def badly_standing(paper: AnchorPaper) -> str:
    """Return how the load of an anchor stands where it is not as it should be, else nothing."""
    standing = paper.load_standing
    return "" if standing in _WELL else standing


def locked_off_lines(paper: AnchorPaper, units: UnitSystem) -> list[dict[str, object]]:
    """Return the sentences, each with whether it tells of what is wrong."""
    force, small = QUANTITIES["force"], QUANTITIES["small length"]
    lines: list[tuple[str, bool]] = []
    locked, lifted, after = paper.locked_off, paper.lifted_off, paper.after
    if locked is not None:
        words = f"Locked off on {locked.head}: {force.text(locked.jack_load, units)} at the jack"
        if locked.strands:
            words += f", {said(strand_loads(locked.strands).words, units)}"
        if locked.load is not None:
            words += f", {force.text(locked.load, units)} in the tendon"
        if locked.seating is not None:
            words += f", drawn in {small.text(locked.seating, units)}"
        load = paper.record.anchor.lock_off_load if after is None else after.wanted
        lines.append((f"{words}; wanted {force.text(load, units)}.", False))
    if paper.lift_off is not None:
        good = paper.lift_off.standing == "in tolerance"
        lines.append((f"Lift-off {said(paper.lift_off.reason, units)}.", not good))
        lines += [(f"{sentence_of(n.words, units)}.", False) for n in paper.lift_off.next]
    elif lifted is not None:
        lines.append((f"Lift-off at {force.text(lifted.load, units)}.", False))
    if after is not None:
        lines += [(f"{sentence_of(w, units)}.", False) for w in after_words(after)]
        lines += [(f"{sentence_of(w, units)}.", True) for w in fails_words(after, units)]
        lines += [(f"{sentence_of(n.words, units)} ({source(n.cite)}).", False) for n in after.next]
    return [{"text": text, "bad": bad} for text, bad in lines]
