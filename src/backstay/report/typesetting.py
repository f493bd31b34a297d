"""Typesetting with Typst: offline, with the shipped fonts, the same bytes each time.

A template gets its content as data, so that text a person typed is only ever text.
"""

from __future__ import annotations

import json
import tempfile
import warnings
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from typing import Any

from backstay.errors import BackstayError
from backstay.fonts import font_folder

_SHARED = "blocks.typ"


def typeset_pdf(
    template: str, data: Mapping[str, Any], figures: Mapping[str, str], *, what: str
) -> bytes:
    """Return the PDF of a template of this folder with its data and its figures (SVG by name).

    what: is typeset, for the error. Raises BackstayError where the typesetter refuses or warns.
    """
    import typst

    with tempfile.TemporaryDirectory(prefix="backstay-") as folder:
        root = Path(folder)
        for name in (template, _SHARED):
            text = files("backstay.report").joinpath(name).read_text("utf-8")
            (root / name).write_text(text, "utf-8")
        (root / "data.json").write_text(json.dumps(data), "utf-8")
        for name, svg in figures.items():
            (root / name).write_text(svg, "utf-8")
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                pdf = typst.compile(
                    str(root / template), root=str(root), font_paths=[str(font_folder())],
                    ignore_system_fonts=True, timestamp=0,
                )  # fmt: skip
        except (typst.TypstError, typst.TypstWarning) as error:
            raise BackstayError(f"{what} could not be typeset: {error}") from error
    if not isinstance(pdf, bytes):
        raise BackstayError("the typesetter returned no document")
    return pdf
