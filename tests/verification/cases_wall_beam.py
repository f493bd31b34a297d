"""Moments and shears of the wall."""

from __future__ import annotations

from backstay.anchors.spans import hinge_reactions
from backstay.pressure.diagram import Diagram
from backstay.wall.actions import (
    Actions,
    cantilever_moment,
    continuous_actions,
    hinge_actions,
    interior_span_moment,
)
from backstay.wall.plates import waler_over_piles
from tests.verification.catalogue import Case

ENVELOPE = "FHWA-IF-99-015 (1999), section 5; moments by integration of the envelope"
BEAMS = "AISC Steel Construction Manual, table 3-23, continuous beams"
DAS_1 = "Das, Principles of Foundation Engineering, example 10.1"
DAS_2 = "Das, Principles of Foundation Engineering, example 10.2"
CLAY = (
    "c 35 kPa, gamma 18, H 7 m, supports at 1, 3.5, 6 m; p 37.8 kPa with ramps over H/4; "
    "upper half, hinge at the middle support"
)
ONE = "H 7.6, H1 2.7 m, p 40.982 kPa, one row in sand"
TWO = "H 10, H1 2.5, spans 3.75 m, p 43.569 kPa, two rows in sand"
PRINTED = "printed to three or four digits"


def _one() -> Actions:
    H, H1, p = 7.6, 2.7, 40.982
    load = Diagram("", (0, 2 / 3 * H1, H - 2 / 3 * (H - H1), H), (0, p, p, 0))
    return continuous_actions(load, (H1,), H)


def _two() -> Actions:
    H, p, rows = 10.0, 43.569, (2.5, 6.25)
    load = Diagram("", (0, 2 / 3 * 2.5, H - 2 / 3 * 3.75, H), (0, p, p, 0))
    return hinge_actions(load, rows, hinge_reactions([*rows, H], load, top=0.0, bottom=H), H)


def _clay() -> Actions:
    return continuous_actions(Diagram("", (0, 1.75, 3.5), (0, 37.8, 37.8)), (1.0,), 3.5)


def _even(spans: int) -> Actions:
    L = 3.0
    load = Diagram("", (0.0, spans * L), (10.0, 10.0))
    return continuous_actions(load, [k * L for k in range(spans)], spans * L)


def _sagging(actions: Actions) -> tuple[float, float]:
    """Return depth and value of the greatest sagging moment."""
    value, z = max(zip(actions.moment, actions.z, strict=True))
    return z, value


CASES: tuple[Case, ...] = (
    Case(
        "wall.beam-one-row-cantilever", "wall", "moment at the only row, 13/54 H1^2 p", ENVELOPE,
        "formula", ONE, lambda: -_one().moment_at(2.7), 71.92, 1e-3, "kNm/m", PRINTED,
    ),
    Case(
        "wall.beam-one-row-cantilever-closed", "wall", "the same by the closed form", ENVELOPE,
        "formula", ONE, lambda: cantilever_moment(2.7, 40.982), 71.92, 1e-3, "kNm/m", PRINTED,
    ),
    Case(
        "wall.beam-one-row-zero-shear", "wall", "depth of zero shear below the only row", ENVELOPE,
        "formula", ONE, lambda: _sagging(_one())[0], 5.283, 1e-3, "m", PRINTED,
    ),
    Case(
        "wall.beam-one-row-span", "wall", "moment in the span below the only row", ENVELOPE,
        "formula", ONE, lambda: _sagging(_one())[1], 51.99, 1e-3, "kNm/m", PRINTED,
    ),
    Case(
        "wall.beam-two-rows-cantilever", "wall", "moment at the first of two rows", ENVELOPE,
        "formula", TWO, lambda: -_two().moment_at(2.5), 65.55, 1e-3, "kNm/m", PRINTED,
    ),
    Case(
        "wall.beam-two-rows-interior", "wall", "interior span, 0.1 p L^2", ENVELOPE, "formula", TWO,
        lambda: interior_span_moment(43.569, 3.75), 61.27, 1e-3, "kNm/m", PRINTED,
    ),
    Case(
        "wall.beam-das-10-1-zero-shear", "wall", "zero shear, distance from the middle support",
        DAS_1, "published", CLAY, lambda: 3.5 - _sagging(_clay())[0], 1.196, 1e-3, "m",
        "reactions printed rounded",
    ),
    Case(
        "wall.beam-das-10-1-sheeting", "wall", "section modulus of the sheeting at 170 MPa", DAS_1,
        "published", CLAY, lambda: _sagging(_clay())[1] / 170e3 * 1e3, 0.159, 5e-3, "1e-3 m3/m",
        "printed to three digits",
    ),
    Case(
        "wall.beam-das-10-1-waler", "wall", "section modulus of the waler at 170 MPa", DAS_1,
        "published", "load of the middle support 271.2 kN at 3 m",
        lambda: waler_over_piles(271.2, 3.0) / 170e3 * 1e3, 0.598, 2e-3, "1e-3 m3",
        "printed to three digits",
    ),
    Case(
        "wall.beam-das-10-2-waler", "wall", "moment of the waler at the top support", DAS_2,
        "published", "load 449.2 kN at 4 m", lambda: waler_over_piles(449.2, 4.0), 224.58, 5e-4,
        "kNm", "load printed rounded",
    ),
    *(
        Case(
            f"wall.beam-{spans}-spans-support", "wall",
            f"greatest moment over a support, {spans} equal spans, even load", BEAMS, "memory",
            f"{spans} spans, coefficient of w L^2",
            lambda spans=spans: -min(_even(spans).moment) / 90, expected, tolerance, "w L^2",  # type: ignore[misc]
            "coefficient printed to three digits",
        )
        for spans, expected, tolerance in ((2, 0.125, 1e-9), (3, 0.100, 1e-9), (4, 0.107, 5e-3))
    ),
    *(
        Case(
            f"wall.beam-{spans}-spans-end", "wall",
            f"reaction of an end support, {spans} equal spans, even load", BEAMS, "memory",
            f"{spans} spans, coefficient of w L",
            lambda spans=spans: _even(spans).reactions[0] / 30, expected, 2e-3, "w L",  # type: ignore[misc]
            "coefficient printed to three digits",
        )
        for spans, expected in ((2, 0.375), (3, 0.400), (4, 0.393))
    ),
)  # fmt: skip
