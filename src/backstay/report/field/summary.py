"""The summary of a wall: its elevation by state, numbers by row, who needs what, what stands out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from backstay.drawing.state_signs import SIGNS
from backstay.drawing.states import Face, StatePlace, state_svgs
from backstay.errors import DesignError
from backstay.fieldbook.after_lock_off import AfterLockOff
from backstay.files import atomic_write
from backstay.quantity import UnitSystem
from backstay.records.entries import RegisterLine
from backstay.report.field.summary_rows import Judged, actions, row_table
from backstay.report.field.words import heading, plain, sentence_of, short
from backstay.report.typesetting import typeset_pdf
from backstay.stressing.lift_off import LiftOffJudgement

if TYPE_CHECKING:
    from backstay.model.project import ProjectData
    from backstay.stressing.learning import Lesson
    from backstay.stressing.outliers import Outlier

_ALONG, _DOWN = 2.5, 2.5
"""Distances (m) at which anchors are drawn whose places are not recorded: not to scale."""
_NEAR = 1.0
"""A replaced anchor nearer than this (m) to the one in its place is not drawn."""


def write_summary(
    lines: Sequence[RegisterLine],
    path: Path,
    units: UnitSystem,
    *,
    judged: Sequence[Judged] = (),
    lift_offs: Mapping[str, LiftOffJudgement] | None = None,
    after: Mapping[str, AfterLockOff] | None = None,
    outliers: Sequence[Outlier] = (),
    lessons: Sequence[Lesson] = (),
    faces: Mapping[str, Face] | None = None,
    project: ProjectData | None = None,
) -> Path:
    """Write the summary of a wall; the file is whole or not there.

    lines: of the register; judged: tests with their judgements, of each anchor in order; lift_offs,
    after: by anchor, judged, and what is known since its lock-off; outliers, lessons: of the tests; faces: length and depth of the wall of each part.
    Raises DesignError where the register is empty.
    """
    content = summary_bytes(
        lines, units, judged=judged, lift_offs=lift_offs, after=after, outliers=outliers, lessons=lessons,
        faces=faces, project=project,
    )  # fmt: skip
    atomic_write(path, content)
    return path


def summary_bytes(
    lines: Sequence[RegisterLine],
    units: UnitSystem,
    *,
    judged: Sequence[Judged] = (),
    lift_offs: Mapping[str, LiftOffJudgement] | None = None,
    after: Mapping[str, AfterLockOff] | None = None,
    outliers: Sequence[Outlier] = (),
    lessons: Sequence[Lesson] = (),
    faces: Mapping[str, Face] | None = None,
    project: ProjectData | None = None,
) -> bytes:
    """Return the PDF of the summary. Raises DesignError where the register is empty."""
    if not lines:
        raise DesignError("there is no anchor in the register", "summary")
    figures: dict[str, str] = {}
    drawn = []
    standing_out = {o.anchor for o in outliers}
    for i, (part, members) in enumerate(_parts(lines).items(), start=1):
        face = (faces or {}).get(part)
        places, remark = wall_places(members, standing_out)
        if not places:
            continue
        title = f"Anchors of {plain(part)} by state"
        pictures = state_svgs(
            places, (face or Face()) if not remark else Face(), units, title=title
        )
        files = []
        for k, svg in enumerate(pictures, start=1):
            figures[f"p{i}-{k}.svg"] = svg
            files.append(f"p{i}-{k}.svg")
        drawn.append(
            {"title": f"{plain(part)}, seen from the cut", "remark": remark, "files": files}
        )
    table = row_table(lines, judged)
    page: dict[str, Any] = {
        "kind": "summary", "title": "Anchors: summary", "place": _numbers(lines), "parts": drawn,
        "head": list(table.head), "rows": [list(r) for r in table.rows], "align": list(table.align),
        "widths": list(table.weights), "actions": actions(lines, judged, lift_offs or {}, units, after),
        "outliers": [
            {"anchor": short(o.anchor, 30), "text": sentence_of(o.words, units)} for o in outliers
        ],
        "lessons": [sentence_of(lesson.words, units) for lesson in lessons],
        "signatures": [{"role": "Drawn up by", "name": ""}, {"role": "Engineer of record", "name": ""}],
    }  # fmt: skip
    data = {**heading(project, units), "title": "Summary of anchors", "pages": [page]}
    return typeset_pdf("field.typ", data, figures, what="the summary")


def _parts(lines: Sequence[RegisterLine]) -> dict[str, list[RegisterLine]]:
    found: dict[str, list[RegisterLine]] = {}
    for line in sorted(lines, key=lambda x: (x.part, x.row, x.number)):
        found.setdefault(line.part, []).append(line)
    return found


def _numbers(lines: Sequence[RegisterLine]) -> str:
    counts = Counter(line.state for line in lines)
    words = ", ".join(f"{counts[s]} {s}" for s in SIGNS if counts[s])
    return f"{len(lines)} anchors: {words}"


def wall_places(
    lines: Sequence[RegisterLine], outliers: Collection[str]
) -> tuple[list[StatePlace], str]:
    """Return the places of the anchors of a part, and what is to be said of the drawing."""
    wall = [line for line in lines if not line.trial]
    known = all(x.design.station is not None and x.design.depth is not None for x in wall)
    by_name = {line.anchor: line for line in wall}
    places, hidden = [], 0
    for line in wall:
        design = line.design
        along = design.station if known else (line.number - 0.5) * _ALONG
        depth = design.depth if known else line.row * _DOWN
        instead = by_name.get(line.replaced_by)
        if known and instead is not None and _same_place(line, instead):
            hidden += 1
            continue
        places.append(
            StatePlace(
                line.row, line.number, along or 0.0, depth or 0.0, line.state,
                line.anchor in outliers, line.anchor,
            )
        )  # fmt: skip
    remarks = []
    if not known:
        remarks.append("Not to scale: the places of the anchors on the wall are not recorded.")
    if hidden:
        remarks.append(f"{hidden} replaced, drawn as those in their place.")
    if len(wall) < len(lines):
        remarks.append(f"{len(lines) - len(wall)} trial anchors are not drawn.")
    return places, " ".join(remarks) if known else remarks[0]


def _same_place(line: RegisterLine, other: RegisterLine) -> bool:
    a, b = line.design, other.design
    if a.station is None or b.station is None or a.depth is None or b.depth is None:
        return False
    return abs(a.station - b.station) < _NEAR and abs(a.depth - b.depth) < _NEAR
