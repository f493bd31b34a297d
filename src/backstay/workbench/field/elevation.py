"""The elevation of a wall by state, each anchor on it a link to its page."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from itertools import groupby

from markupsafe import Markup

from backstay.drawing.labels import NoRoomError
from backstay.drawing.state_signs import RADIUS, SIGNS
from backstay.drawing.states import Face, StatePicture, state_pictures
from backstay.drawing.svg import svg
from backstay.quantity import UnitSystem
from backstay.records.entries import RegisterLine
from backstay.report.field.summary import wall_places
from backstay.report.field.words import plain
from backstay.workbench.markup import joined, tag

_ABOVE, _HIGH = 2.6 * RADIUS, 3.9 * RADIUS
"""Top of what is touched above the middle of a sign, and its height (mm): sign and number together."""
_LEAST, _MOST = 2.4 * RADIUS, 4.5 * RADIUS
"""Width of what is touched (mm): as wide as neighbours leave room for, for a glove."""


def elevation(
    lines: Sequence[RegisterLine],
    faces: Mapping[str, Face],
    units: UnitSystem,
    address: Callable[[str], str],
    outliers: Collection[str] = (),
) -> Markup:
    """Return the elevation of every part.

    address: of the page of an anchor; outliers: anchors that stand out among those tested alike.
    """
    parts = []
    for part, members in groupby(lines, key=lambda line: line.part):
        mine = list(members)
        places, remark = wall_places(mine, outliers)
        if not places:
            continue
        face = faces.get(part, Face()) if not remark.startswith("Not to scale") else Face()
        title = f"Anchors of {plain(part)} by state"
        try:
            pictures = state_pictures(places, face, units, title=title)
        except NoRoomError as error:
            parts.append(tag("p", f"{part}: {error}; the table lists them.", class_="quiet"))
            continue
        named = {line.anchor: line for line in mine}
        parts.append(tag("h3", f"{part}, seen from the cut"))
        if remark:
            parts.append(tag("p", remark, class_="quiet"))
        parts += [_picture(one, named, address) for one in pictures]
    return joined(parts)


def _picture(
    picture: StatePicture, lines: Mapping[str, RegisterLine], address: Callable[[str], str]
) -> Markup:
    drawing = picture.drawing
    links = []
    for place, (x, y) in picture.signs:
        line = lines[place.anchor]
        near = [abs(x - u) for _, (u, v) in picture.signs if abs(y - v) < _HIGH and u != x]
        across = min(_MOST, max(_LEAST, min(near, default=_MOST)))
        left = 100.0 * (x - across / 2.0) / drawing.width
        top = 100.0 * (drawing.height - y - _ABOVE) / drawing.height
        wide, high = 100.0 * across / drawing.width, 100.0 * _HIGH / drawing.height
        out = ", stands out among those tested alike" if place.outlier else ""
        words = f"{line.anchor}: {SIGNS[line.state].words}{out}"
        links.append(
            tag(
                "a", href=address(line.anchor), aria_label=words, title=words, class_="spot",
                style=f"left:{left:.3f}%;top:{top:.3f}%;width:{wide:.3f}%;height:{high:.3f}%",
            )
        )  # fmt: skip
    figure = tag("div", Markup(svg(drawing)), class_="drawing")  # noqa: S704  # our own drawing
    label = f"Anchors on the elevation, {lines[picture.signs[0][0].anchor].part}"
    return tag(
        "div",
        tag("div", figure, tag("nav", links, aria_label=label), class_="by-state"),
        class_="scrolls",
    )
