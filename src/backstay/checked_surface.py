"""The slip surface that a check stands on: its ground and its analysis, so that slices can be shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from backstay.checks import Check
from backstay.design import Part, SectionDesign
from backstay.stability.slip.model import SlipModel
from backstay.stability.slip.result import SlipResult
from backstay.stability.slip.search_result import SearchResult


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """A surface that a check stands on: its ground and analysis; datum: elevation of y = 0 (m)."""

    model: SlipModel
    result: SlipResult
    datum: float


def surface_of(part: Part, check: Check) -> Checked | None:
    """Return the surface that a check of a part stands on, None where it stands on none."""
    if isinstance(part, SectionDesign):
        stages = () if part.overall is None else part.overall.stages
        checks = () if part.overall is None else part.overall.checks
        searched = [(s.model, s.found) for s in stages]
        return _critical(searched, checks, check, part.section.ground.top)
    for case, its in zip(part.cases, part.known_checks, strict=False):
        if its is check:
            return Checked(replace(case.model, anchors=part.anchored.anchors), case.tied, 0.0)
    if part.slips is None:
        return None
    searched = [(p.model, p.found) for p in part.slips.parts]
    searched += [(a.model, a.found) for a in part.slips.around]
    return _critical(searched, part.slips.checks, check, 0.0)


def _critical(
    searched: Sequence[tuple[SlipModel, SearchResult]], checks: Sequence[Check], check: Check,
    datum: float,
) -> Checked | None:  # fmt: skip
    """Return the critical surface of the search that a check is of; searches and checks go together."""
    for (model, found), its in zip(searched, checks, strict=True):
        if its is check and found.critical is not None:
            return Checked(model, found.critical.result, datum)
    return None
