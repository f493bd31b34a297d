"""A composed drawing as DXF: the model at true size in m or ft, the sheet in a layout at scale.

x is the distance behind the wall (or along it), y the elevation. The layout holds the frame, the
title block and a viewport at the drawing's scale. Layers carry absolute line weights, line types
are defined in mm on paper, and dimensions are real dimensions in a style of our own.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from math import atan2, cos, degrees, pi, sin
from typing import TYPE_CHECKING, Any

from backstay.drawing.layers import ACCENT, FAINT, INK, LAYERS, TONE
from backstay.drawing.lettering import LEADING
from backstay.drawing.marks import Dimension, Drawing, Hatch, Mark, Point, Ring, Stroke, Text
from backstay.drawing.patterns import PATTERNS
from backstay.fonts import BOLD, FAMILY, REGULAR
from backstay.quantity import UnitSystem

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

_FILLS = {"ink": INK, "tone": TONE, "accent": ACCENT}
_ALIGN = {"left": 7, "centre": 8, "right": 9}
_FOOT = 0.3048
_INCH = 25.4


def dxf(drawing: Drawing) -> bytes:
    """Return the drawing as a DXF file (R2010).

    Raises ValueError if the document that was built does not pass its own audit.
    """
    stream = io.StringIO()
    with _no_clock():
        doc = document(drawing)
        errors = doc.audit().errors
        if errors:
            raise ValueError(f"the DXF document is faulty: {errors[0].message}")
        doc.write(stream)
    return stream.getvalue().encode("utf-8")


def document(drawing: Drawing) -> Document:
    """Return the drawing as an ezdxf document."""
    from ezdxf.filemanagement import new

    us = drawing.units is UnitSystem.US
    doc = new("R2010", units=2 if us else 6)
    doc.header["$MEASUREMENT"] = 0 if us else 1
    doc.header["$LUNITS"] = 2
    doc.header["$LWDISPLAY"] = 1
    doc.header["$PSLTSCALE"] = 0
    doc.set_wipeout_variables(frame=0)  # type: ignore[no-untyped-call]
    unit = _FOOT if us else 1.0
    per_mm = 1.0 / drawing.view.mm / unit
    _layers(doc)
    _styles(doc, per_mm * _text_size(drawing))
    paper_unit = 1.0 / _INCH if us else 1.0
    model = _Writer(doc.modelspace(), per_mm, lambda p: drawing.view.model(p, unit))
    doc.layouts.rename("Layout1", "Sheet")
    layout: Any = doc.paperspace("Sheet")
    layout.page_setup(
        size=(drawing.width * paper_unit, drawing.height * paper_unit),
        margins=(0, 0, 0, 0), units="inch" if us else "mm",
    )  # fmt: skip
    sheet = _Writer(layout, paper_unit, lambda p: (p[0] * paper_unit, p[1] * paper_unit))
    for mark in _texts_last(drawing):
        (model if mark.space == "model" else sheet).write(mark)
    _viewport(layout, drawing, paper_unit, per_mm, unit)
    return doc


def _texts_last(drawing: Drawing) -> list[Mark]:
    return sorted(drawing.marks, key=lambda mark: isinstance(mark, Text))


def _text_size(drawing: Drawing) -> float:
    return next((m.text.size for m in drawing.marks if isinstance(m, Dimension)), 2.0)


@contextmanager
def _no_clock() -> Iterator[None]:
    """Write dates and identifiers that are always the same: the same design gives the same file.

    The library has this as a global option only, so it is put back afterwards.
    """
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _layers(doc: Document) -> None:
    from ezdxf.colors import rgb2int

    for layer in LAYERS.values():
        line_type = "Continuous"
        if layer.dash:
            line_type = "-".join(f"{d:g}" for d in layer.dash)
            if line_type not in doc.linetypes:
                steps = [d if i % 2 == 0 else -d for i, d in enumerate(layer.dash)]
                doc.linetypes.add(
                    line_type, [sum(layer.dash), *steps], description=f"{line_type} mm on paper"
                )
        entry = doc.layers.add(layer.name, linetype=line_type, lineweight=round(100 * layer.weight))
        entry.description = layer.title
        if layer.colour == INK:
            entry.color = 7
        else:
            entry.dxf.color = 8 if layer.colour == FAINT else 1
            entry.dxf.true_color = rgb2int(_rgb(layer.colour))
    view = doc.layers.add("SHEET-VIEW", color=8)
    view.dxf.plot = 0
    view.description = "frame of the view, not plotted"


def _rgb(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _styles(doc: Document, size: float) -> None:
    for name, file, bold in (("REGULAR", REGULAR, False), ("BOLD", BOLD, True)):
        style = doc.styles.add(name, font=file)
        style.set_extended_font_data(FAMILY, bold=bold)
    dimensions = doc.dimstyles.new("BACKSTAY")
    dimensions.dxf.dimtxsty = "REGULAR"
    for key, value in (
        ("dimtxt", size), ("dimtsz", 0.35 * size), ("dimasz", 0.35 * size), ("dimexo", 0.5 * size),
        ("dimexe", 0.5 * size), ("dimgap", 0.4 * size), ("dimdec", 2), ("dimzin", 0),
        ("dimlunit", 2), ("dimdsep", ord(".")), ("dimscale", 1.0), ("dimtad", 1), ("dimtih", 0),
        ("dimtoh", 0), ("dimlfac", 1.0), ("dimclrd", 256), ("dimclre", 256), ("dimclrt", 256),
        ("dimlwd", 13), ("dimlwe", 13), ("dimtofl", 1),
    ):  # fmt: skip
        dimensions.dxf.set(key, value)


def _viewport(layout: Any, drawing: Drawing, paper: float, per_mm: float, unit: float) -> None:
    """Show the whole sheet's extent of the model at the drawing's scale."""
    w, h = drawing.width, drawing.height
    centre = drawing.view.model((w / 2, h / 2), unit)
    viewport = layout.add_viewport(
        center=(w / 2 * paper, h / 2 * paper), size=(w * paper, h * paper),
        view_center_point=centre, view_height=h * per_mm, status=2,
    )  # fmt: skip
    viewport.dxf.layer = "SHEET-VIEW"


class _Writer:
    """Writes marks to one space. size: its units per mm on paper."""

    def __init__(self, space: Any, size: float, place: Any) -> None:
        self.space = space
        self.size = size
        self.place = place

    def write(self, mark: Mark) -> None:
        if isinstance(mark, Stroke):
            self._stroke(mark)
        elif isinstance(mark, Ring):
            self._ring(mark)
        elif isinstance(mark, Text):
            self._text(mark)
        elif isinstance(mark, Dimension):
            self._dimension(mark)
        else:
            self._hatch(mark)

    def _on(self, layer: str) -> dict[str, Any]:
        return {"layer": layer, "ltscale": self.size}

    def _fill(self, layer: str, colour: str) -> Any:
        from ezdxf.colors import rgb2int

        fill = self.space.add_hatch(color=256, dxfattribs={"layer": layer})
        fill.set_solid_fill(color=256)
        if colour == "ink":
            fill.dxf.color = 7
        else:
            fill.dxf.true_color = rgb2int(_rgb(_FILLS[colour]))
        return fill

    def _blank(self, points: list[Point], layer: str) -> None:
        """Hide what was drawn before inside a closed line."""
        self.space.add_wipeout(points, dxfattribs={"layer": layer})

    def _stroke(self, mark: Stroke) -> None:
        points = [self.place(p) for p in mark.points]
        if mark.fill == "paper":
            self._blank(points, mark.layer)
        if mark.fill in _FILLS:
            self._fill(mark.layer, mark.fill).paths.add_polyline_path(points, is_closed=True)
        if mark.outlined:
            self.space.add_lwpolyline(points, close=mark.closed, dxfattribs=self._on(mark.layer))

    def _ring(self, mark: Ring) -> None:
        centre, radius = self.place(mark.centre), mark.radius * self.size
        if mark.fill == "paper":
            turns = [2 * pi * i / 24 for i in range(24)]
            x, y = centre
            self._blank([(x + radius * cos(t), y + radius * sin(t)) for t in turns], mark.layer)
        if mark.fill in _FILLS:
            path = self._fill(mark.layer, mark.fill).paths.add_edge_path()
            path.add_arc(centre, radius, 0, 360)
        self.space.add_circle(centre, radius, dxfattribs=self._on(mark.layer))

    def _text(self, mark: Text) -> None:
        from ezdxf.colors import rgb2int
        from ezdxf.enums import TextEntityAlignment as Alignment

        attributes: dict[str, Any] = {
            "layer": mark.layer, "style": "BOLD" if mark.bold else "REGULAR",
            "rotation": mark.rotation,
        }  # fmt: skip
        if mark.colour in _FILLS:
            attributes["true_color"] = rgb2int(_rgb(_FILLS[mark.colour]))
        height = mark.size * self.size
        if mark.masked:
            self._masked(mark, height, attributes)
            return
        align = {
            "left": Alignment.LEFT, "centre": Alignment.CENTER, "right": Alignment.RIGHT,
        }[mark.align]  # fmt: skip
        entity = self.space.add_text(mark.words, height=height, dxfattribs=attributes)
        entity.set_placement(self.place(mark.at), align=align)

    def _masked(self, mark: Text, height: float, attributes: dict[str, Any]) -> None:
        entity = self.space.add_mtext(
            mark.words,
            dxfattribs={
                **attributes, "char_height": height, "attachment_point": _ALIGN[mark.align],
                "line_spacing_factor": LEADING * 0.6, "width": 0,
            },
        )  # fmt: skip
        entity.set_location(self.place(mark.at))
        entity.set_bg_color("canvas", scale=1.1)

    def _dimension(self, mark: Dimension) -> None:
        first, second = self.place(mark.first), self.place(mark.second)
        base = self.place(mark.line[0])
        true = ((second[0] - first[0]) ** 2 + (second[1] - first[1]) ** 2) ** 0.5
        words = "<>" if f"{true:.2f}" == mark.text.words else mark.text.words
        override = {"dimtfill": 1} if mark.text.masked else {}
        if not mark.extended:
            override |= {"dimse1": 1, "dimse2": 1}
        made = self.space.add_linear_dim(
            base=base, p1=first, p2=second, text=words, dimstyle="BACKSTAY",
            angle=degrees(atan2(second[1] - first[1], second[0] - first[0])),
            location=self.place(_middle(mark.text)), text_rotation=mark.text.rotation,
            override=override, dxfattribs={"layer": mark.layer},
        )  # fmt: skip
        made.render()

    def _hatch(self, mark: Hatch) -> None:
        pattern = PATTERNS[mark.pattern]
        k = self.size
        lines = []
        for angle, (x1, y1, x2, y2), period in pattern.families():
            step = (0.0, pattern.height) if y1 == y2 else (pattern.width, 0.0)
            length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
            dashes = [] if period - length < 1e-9 else [k * length, k * (length - period)]
            lines.append([angle, (k * x1, k * y1), (k * step[0], k * step[1]), dashes])
        entity = self.space.add_hatch(dxfattribs={"layer": mark.layer})
        entity.set_pattern_fill(mark.pattern.upper().replace(" ", "_"), color=256, definition=lines)
        entity.paths.add_polyline_path([self.place(p) for p in mark.points], is_closed=True)


def _middle(text: Text) -> Point:
    """Return the middle of the capitals of a text, where a dimension's text is anchored."""
    (x1, y1), (x2, y2), (x3, y3), (x4, y4) = text.quad
    low = (0.30 + 0.5) / (1.12 + 0.30)
    a, b = ((x1 + x2) / 2, (y1 + y2) / 2), ((x3 + x4) / 2, (y3 + y4) / 2)
    return (a[0] + low * (b[0] - a[0]), a[1] + low * (b[1] - a[1]))
