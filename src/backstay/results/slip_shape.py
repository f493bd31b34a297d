"""The published shape of slip surfaces: of a wall at its stages, or of a slope."""

from __future__ import annotations

from backstay.results.value import Result, Value


class PlacedPoint(Result):
    """A point of the section: distance behind the wall (or x of a slope), and elevation."""

    x: float
    elevation: float


class SliceArrays(Result):
    """The slices of a surface from left to right, and the forces on them per length of wall.

    base_inclination: positive where the base rises away from the movement; other_load_x,
    other_load_y: all loads but the weight, to the right and upward; effective_normal: where the base is
    undrained the whole normal force; water_on_base: over that of standing water, nil where undrained.
    E and X: push and shear of the sides, one more than slices, X on the left side of a slice upward;
    thrust: elevation of E, null where there is no push. With s = 1 where the slide moves to the left
    (out.x below start.x), else -1, and N the normal force with water, each slice balances:
    other_load_x + E[i] - E[i+1] - s N sin + s shear cos = 0, and
    other_load_y - weight + X[i] - X[i+1] + N cos + shear sin = 0.
    """

    length_unit: str
    x: list[float]
    width: list[float]
    base_elevation: list[float]
    base_length: list[float]
    thrust: list[float | None]
    angle_unit: str
    base_inclination: list[float]
    stress_unit: str
    pore_pressure: list[float]
    cohesion: list[float]
    friction_angle: list[float]
    force_unit: str
    weight: list[float]
    other_load_x: list[float]
    other_load_y: list[float]
    effective_normal: list[float]
    water_on_base: list[float]
    shear: list[float]
    E: list[float]
    X: list[float]


class SurfaceOutcome(Result):
    """A slip surface that is the least safe of its neighbourhood.

    thickness: greatest across the chord; doubts: why the solution is not admissible; residuals: of
    force over weight, of moment over weight times width; last_change: of the safety, in the last step
    of the search, null where nothing came before it; at_edge: at a limit of the search.
    """

    kind: str
    method: str
    safety: float
    out: PlacedPoint
    start: PlacedPoint
    centre: PlacedPoint | None
    radius: Value | None
    thickness: Value
    doubts: list[str]
    residual_force: float
    residual_moment: float
    last_change: float | None
    at_edge: bool
    points: list[PlacedPoint]
    points_unit: str
    slices: SliceArrays | None


class SearchOutcome(Result):
    """What a search looked at: surfaces, and how many were set aside for which reason."""

    analysed: int
    set_aside: dict[str, int]
    lowest_aside: float | None
    minima: list[SurfaceOutcome]


class OverallStage(Result):
    """Slip surfaces at one stage; safety: null where nothing slides."""

    stage: str
    dug_to: Value
    rows: list[int]
    strength: str
    earthquake: bool
    safety: float | None
    search: SearchOutcome


class LengthenedRow(Result):
    """How much longer the anchors of a row have to be."""

    row: int
    added: Value


class OverallOutcome(Result):
    """Overall stability of a wall; lengthened: null where the target is reached, or out of reach."""

    target: float
    stages: list[OverallStage]
    lengthened: list[LengthenedRow] | None
    notes: list[str]
