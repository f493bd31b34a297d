"""Papers of the field: pages of anchors, the summary of a wall, field sheets, submittal, register.

Each function writes one file, whole or not at all, from plain values of the analysis and of the
records; none needs a database. Nothing is computed here. PDF by Typst, the register by XlsxWriter;
both are loaded when a paper is made.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from backstay.report.field.anchor_pages import write_anchor_pages
    from backstay.report.field.anchor_paper import AnchorPaper, paper_of
    from backstay.report.field.field_sheets import write_field_sheets
    from backstay.report.field.register_book import write_register
    from backstay.report.field.submittal_page import write_submittal_page
    from backstay.report.field.summary import write_summary

__all__ = [
    "AnchorPaper",
    "paper_of",
    "write_anchor_pages",
    "write_field_sheets",
    "write_register",
    "write_submittal_page",
    "write_summary",
]
_WHERE = {
    "AnchorPaper": "anchor_paper", "paper_of": "anchor_paper",
    "write_anchor_pages": "anchor_pages", "write_field_sheets": "field_sheets",
    "write_register": "register_book", "write_submittal_page": "submittal_page",
    "write_summary": "summary",
}  # fmt: skip


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"{__name__}.{_WHERE[name]}"), name)
