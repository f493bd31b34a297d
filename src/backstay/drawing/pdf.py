"""A composed drawing as PDF on a page of the sheet's true size, so that it prints to scale."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from backstay.drawing.marks import Drawing
from backstay.errors import BackstayError
from backstay.fonts import font_folder

_PAGE = """#set document(title: sys.inputs.title)
#set page(width: {width}mm, height: {height}mm, margin: 0mm)
#image(bytes(sys.inputs.svg), format: "svg", width: 100%, alt: sys.inputs.title)
"""


@lru_cache(maxsize=1)
def _fonts() -> Any:
    import typst

    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(font_folder())]
    )


def pdf(drawing: Drawing, picture: str) -> bytes:
    """Return the PDF of a drawing and its SVG; the same input gives the same bytes.

    Raises BackstayError if the typesetter refuses or warns.
    """
    import typst

    page = _PAGE.format(width=drawing.width, height=drawing.height)
    try:
        made, warnings = typst.compile_with_warnings(
            page.encode(), font_paths=_fonts(), timestamp=0,
            sys_inputs={"svg": picture, "title": drawing.title},
        )  # fmt: skip
    except typst.TypstError as error:
        raise BackstayError(f"the drawing could not be typeset: {error}") from error
    if warnings:
        raise BackstayError(f"the drawing was typeset with warnings: {warnings[0].message}")
    if not isinstance(made, bytes):
        raise BackstayError("the typesetter returned no document")
    return made
