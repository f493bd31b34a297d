"""The pieces of placement: boxes, stacks, labels, lettering, sheets, patterns."""

from __future__ import annotations

from math import cos, pi, sin

import pytest
from ezdxf.math import Vec2, area
from ezdxf.math.clipping import ConvexClippingPolygon2d
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from backstay.drawing.board import Board
from backstay.drawing.boxes import quads_meet, segment_meets_box, stacked
from backstay.drawing.labels import NoRoomError, label
from backstay.drawing.lettering import CAP_HEIGHT, shortened, text_width, wrapped
from backstay.drawing.patterns import PATTERNS
from backstay.drawing.sheet import SCALES, figure, scale_text, scale_that_fits, sheet
from backstay.errors import DesignError
from backstay.fonts import REGULAR, font_folder
from backstay.quantity import UnitSystem

places = st.floats(-20, 20)
sizes = st.floats(0.5, 10)


def rectangle(x: float, y: float, w: float, h: float, turn: float):
    return tuple(
        (x + u * cos(turn) - v * sin(turn), y + u * sin(turn) + v * cos(turn))
        for u, v in ((0, 0), (w, 0), (w, h), (0, h))
    )


@given(places, places, sizes, sizes, st.floats(0, pi), places, places, sizes, sizes)
def test_boxes_meet_if_they_share_area(x, y, w, h, turn, x2, y2, w2, h2) -> None:
    """Checked by polygon clipping in a general-purpose library."""
    a, b = rectangle(x, y, w, h, turn), rectangle(x2, y2, w2, h2, 0.0)
    clip = ConvexClippingPolygon2d([Vec2(p) for p in b]).clip_polygon([Vec2(p) for p in a])
    shared = sum(abs(area(p)) for p in clip if len(p) > 2)
    if shared > 1e-6:
        assert quads_meet(a, b)
    if not quads_meet(a, b):
        assert shared < 1e-6


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(0.5, 8)), min_size=1, max_size=12))
def test_stacked_blocks_keep_order_and_do_not_overlap(blocks) -> None:
    blocks = sorted(blocks, reverse=True)
    wanted, heights = [b[0] for b in blocks], [b[1] for b in blocks]
    centres = stacked(wanted, heights, 0.0, 100.0)
    assert centres is not None
    for c, h in zip(centres, heights, strict=True):
        assert c - h / 2 >= -1e-6
        assert c + h / 2 <= 100 + 1e-6
    for i in range(len(centres) - 1):
        assert centres[i] - centres[i + 1] >= (heights[i] + heights[i + 1]) / 2 - 1e-6


def test_stacked_leaves_free_blocks_where_they_are_and_shares_the_move() -> None:
    assert stacked([9.0, 5.0, 1.0], [1.0, 1.0, 1.0], 0.0, 10.0) == [9.0, 5.0, 1.0]
    assert stacked([5.0, 5.0], [2.0, 2.0], 0.0, 10.0) == pytest.approx([6.0, 4.0])
    assert stacked([5.0, 5.0], [6.0, 6.0], 0.0, 10.0) is None


def test_segment_and_box() -> None:
    box = (0.0, 0.0, 2.0, 1.0)
    assert segment_meets_box(((-1, 0.5), (3, 0.5)), box)
    assert segment_meets_box(((1, 0.5), (1, 0.6)), box)
    assert not segment_meets_box(((-1, 2), (3, 2)), box)
    assert not segment_meets_box(((-1, 0), (0, 3)), box)


def test_label_avoids_text_then_lines_and_refuses_when_full() -> None:
    board = Board(2.0)
    window = ((0.0, 0.0), (60.0, 40.0))
    for _ in range(6):
        label(board, ["Water main"], [(30.0, 20.0)], window)
    assert len(board.texts) == 6
    for i, a in enumerate(board.texts):
        assert not any(quads_meet(a, b) for b in board.texts[i + 1 :])
    with pytest.raises(NoRoomError, match="Water main"):
        label(Board(2.0), ["Water main"], [(1.0, 1.0)], ((0.0, 0.0), (5.0, 5.0)))


def test_label_prefers_a_place_off_the_lines() -> None:
    board = Board(2.0)
    for k in range(8):
        board.line("LEADER", (30.0, 21.0 + k), (60.0, 21.0 + k))
    label(board, ["Sewer"], [(30.0, 20.0)], ((0.0, 0.0), (60.0, 40.0)))
    text = board.texts[0]
    assert max(y for _, y in text) < 21.0 or max(x for x, _ in text) < 30.0


def test_cap_height_is_that_of_the_font() -> None:
    font = TTFont(font_folder() / REGULAR)
    assert font["OS/2"].sCapHeight / font["head"].unitsPerEm == CAP_HEIGHT


def test_text_width_agrees_with_another_measurement() -> None:
    from ezdxf.fonts import fonts

    fonts.font_manager.build([str(font_folder())], support_dirs=False)
    font = fonts.make_font(REGULAR, 2.0)
    for words in ("Critical failure surface", "R1: design load 437.2 kN", "12.00"):
        assert text_width(words, 2.0) == pytest.approx(font.text_width(words), rel=0.03)


def test_wrapping_keeps_words_and_width() -> None:
    words = "Brown laminated silty sand with shells and Donaudampfschifffahrtsgesellschaftskapitän"
    lines = wrapped(words, 2.0, 30.0)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")
    assert all(text_width(line, 2.0) <= 30.0 for line in lines)
    assert wrapped("", 2.0, 30.0) == []
    cut = shortened(words, 2.0, 20.0)
    assert cut.endswith("…")
    assert text_width(cut, 2.0) <= 20.0


def test_scales_are_the_largest_standard_ones_that_fit() -> None:
    assert scale_that_fits(SCALES[UnitSystem.SI], 20.0, 10.0, 250.0, 200.0) == 100
    assert scale_that_fits(SCALES[UnitSystem.SI], 26.0, 10.0, 250.0, 200.0) == 200
    assert scale_text(120, UnitSystem.US) == "1 in = 10 ft"
    assert scale_text(200, UnitSystem.SI) == "1:200"
    with pytest.raises(DesignError, match="no drawing scale"):
        scale_that_fits((100,), 1e4, 1.0, 100.0, 100.0)


def test_sheets_have_their_standard_sizes() -> None:
    """ISO 216 A3 and ASME Y14.1 size B (17 x 11 in)."""
    assert (sheet(UnitSystem.SI).width, sheet(UnitSystem.SI).height) == (420.0, 297.0)
    us = sheet(UnitSystem.US)
    assert (us.width / 25.4, us.height / 25.4) == pytest.approx((17.0, 11.0))
    assert figure().is_figure


def test_patterns_repeat_without_a_seam() -> None:
    """Every segment stays in its cell, and its family of lines repeats by the cell."""
    for pattern in PATTERNS.values():
        for (x1, y1, x2, y2), (_, segment, period) in zip(
            pattern.segments, pattern.families(), strict=True
        ):
            assert segment == (x1, y1, x2, y2)
            assert 0 <= min(x1, x2) <= max(x1, x2) <= pattern.width
            assert 0 <= min(y1, y2) <= max(y1, y2) <= pattern.height
            length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
            assert length <= period + 1e-9
            if length:
                k = period / length
                assert (k * (x2 - x1) / pattern.width) % 1 == pytest.approx(0, abs=1e-9) or x1 == x2
