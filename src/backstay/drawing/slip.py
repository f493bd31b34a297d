"""The critical slip surface of the finished cut in a section: a thin line with its safety."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from backstay.drawing.board import Board
from backstay.drawing.clip import Window, clipped
from backstay.drawing.frame import Frame
from backstay.drawing.ground import LOG
from backstay.drawing.labels import label
from backstay.drawing.marks import Point
from backstay.drawing.works import along
from backstay.slip_tables import lettered
from backstay.stability.least_surface import METHOD_NAMES
from backstay.stability.overall_comparison import least_final, whole_surface

if TYPE_CHECKING:
    from backstay.design import SectionDesign


def draw_slip(board: Board, frame: Frame, done: SectionDesign) -> list[list[Point]]:
    """Draw the least safe slip surface of the finished cut as far as the section shows it.

    Returns the runs drawn (mm); none where overall stability was left out or no surface counts.
    """
    if done.overall is None:
        return []
    least = least_final(done.overall)
    critical = None if least is None else least.found.critical
    if critical is None:
        return []
    points = [frame.view.at(float(x), -float(y)) for x, y in whole_surface(critical)]
    runs = clipped(points, slip_window(frame))
    for run in runs:
        board.line("SLIP-SURFACE", *run)
    return runs


def slip_window(frame: Frame) -> Window:
    """Return the part of the window in which the ground stands: without the strip of strata."""
    (left, low), (right, high) = frame.window
    return (left, low), (right - LOG, high)


def label_slip(
    board: Board, frame: Frame, done: SectionDesign, runs: Sequence[Sequence[Point]]
) -> None:
    """Letter the surface with its factor of safety, the method and the state."""
    if not runs or done.overall is None:
        return
    least = least_final(done.overall)
    critical = None if least is None else least.found.critical
    if least is None or critical is None:
        return
    words = [
        "Critical slip surface",
        f"F = {lettered(critical.F)}, {METHOD_NAMES[critical.result.method]}, {least.stage.title}",
    ]
    places = [p for run in sorted(runs, key=len, reverse=True) for p in along(run)]
    label(board, words, places, frame.window)
