"""Pages, summary and register from a database: what was recorded stands on the papers."""

from __future__ import annotations

from pathlib import Path

from openpyxl import load_workbook
from pypdf import PdfReader

from backstay.quantity import UnitSystem
from backstay.records import RegisterLine, open_records
from backstay.report.field import (
    AnchorPaper,
    paper_of,
    write_anchor_pages,
    write_register,
    write_summary,
)
from backstay.stressing.judge import judge
from backstay.stressing.rules_us import US_RULES
from tests.unit.records.wall import fill


def close(text: str) -> str:
    return "".join(text.split())


def recorded(folder: Path) -> tuple[tuple[RegisterLine, ...], list[AnchorPaper]]:
    """Return a register of two anchors and their papers, read from a database."""
    names = ("A-1-001", "A-1-002")
    papers = []
    with open_records(folder / "wall.db") as records:
        fill(records, names)
        for name in names:
            record = records.test_record(name)
            papers.append(paper_of(records.anchor(name), record, judge(record, US_RULES)))
        return records.register(), papers


def test_what_was_recorded_stands_on_the_page(tmp_path: Path) -> None:
    _, papers = recorded(tmp_path)
    path = write_anchor_pages(papers, tmp_path / "a.pdf", UnitSystem.SI, US_RULES, readings=False)
    pages = PdfReader(path).pages
    assert len(pages) == 2
    text = close(pages[0].extract_text())
    for words in (
        "Anchor A-1-001", "A, row 1, number 1 · pile 1", "M-88/4", "563.0 mm²", "196.4 GPa",
        "Free, jack length 6.100 m, 0.9500 m", "J-7, G-21", "C-2024-14", "P. Jack", "E. Record",
        "Locked off on wedges: 345.0 kN at the jack, 322.0 kN in the tendon", "318.0 kN",
        "31.50, 33.00, 30.80 MPa (cube)", "Verdict issued: accepted",
    ):  # fmt: skip
        assert close(words) in text, words
    # the invented verdict says "accepted", and the invented readings do not carry it
    assert papers[0].judgement.decision != "accepted"
    assert close("differs from the judgement") in text


def test_the_register_and_the_summary_come_from_the_same_lines(tmp_path: Path) -> None:
    lines, papers = recorded(tmp_path)
    book = load_workbook(write_register(lines, tmp_path / "r.xlsx", UnitSystem.US, papers=papers))
    rows = list(book["Register"].iter_rows(min_row=4, values_only=True))
    assert [row[0] for row in rows] == ["A-1-001", "A-1-002"]
    path = write_summary(
        lines, tmp_path / "s.pdf", UnitSystem.US,
        judged=[(p.record, p.judgement) for p in papers],
    )  # fmt: skip
    text = close(" ".join(p.extract_text() for p in PdfReader(path).pages))
    assert close("2 anchors: 2 lifted off") in text
    assert close("Not to scale") in text  # the invented anchors have no place along the wall
