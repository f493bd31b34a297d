"""Rules of slopes, and that a project describes something at all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from backstay.model.rules.rule import Breach, twice
from backstay.model.slope import Slope, SlopePoint

NOTHING = Breach(
    ("sections",), "nothing is described to be designed",
    "at least one entry of sections (walls), or of slopes",
)  # fmt: skip


def slope_rules(slopes: tuple[Slope, ...]) -> list[Breach]:
    """Return every breach of a rule in the slopes of a project."""
    found = [
        Breach(("slopes", i, "name"), f"another slope is called {name} already")
        for i, name in twice([slope.name for slope in slopes])
    ]
    for i, slope in enumerate(slopes):
        rules = (_ground(slope), _strata(slope), _surface(slope), _anchors(slope))
        found += (b.under(("slopes", i)) for rule in rules for b in rule)
    return found


def _rightward(points: Sequence[SlopePoint], name: str, *, faces: bool) -> Iterator[Breach]:
    for k in range(1, len(points)):
        back = points[k].x - points[k - 1].x
        if back < 0.0 or (back == 0.0 and not faces):
            yield Breach(
                (name, k, "x"), "points run from left to right, each farther than the one before"
            )


def _ground(slope: Slope) -> Iterator[Breach]:
    yield from _rightward(slope.profile, "profile", faces=True)
    yield from _rightward(slope.water, "water", faces=False)
    if len(slope.water) == 1:
        yield Breach(("water",), "one point makes no line", "two points or more")
    levels = [p.elevation for p in slope.profile]
    if max(levels) - min(levels) < 0.1:
        yield Breach(("profile",), "this ground is level: there is no slope to tie back")


def _strata(slope: Slope) -> Iterator[Breach]:
    for k, s in enumerate(slope.strata):
        given = (s.top is not None) + bool(s.top_line)
        if k and given != 1:
            yield Breach(
                ("strata", k, "top"), "a stratum below the first needs its top, given once",
                "top where it is level, else top_line with two points or more",
            )  # fmt: skip
        if not k and given:
            yield Breach(
                ("strata", 0, "top"), "the first stratum begins at the ground's surface",
                hint="leave its top out",
            )  # fmt: skip
        if len(s.top_line) == 1:
            yield Breach(("strata", k, "top_line"), "one point makes no line", "two points or more")
        yield from (b.under(("strata", k)) for b in _rightward(s.top_line, "top_line", faces=False))
        if s.slides == "yes" and not (s.friction_angle or s.cohesion or s.undrained_strength):
            yield Breach(
                ("strata", k, "friction_angle"), "ground that may slide needs a strength",
                "friction_angle, cohesion or undrained_strength; or slides: no for sound rock",
            )  # fmt: skip


def _surface(slope: Slope) -> Iterator[Breach]:
    known = slope.slip_surface
    circle = known.centre is not None and known.radius is not None
    half = (known.centre is None) != (known.radius is None)
    if half or circle == bool(known.points) or len(known.points) == 1:
        yield Breach(
            ("slip_surface",), "the slip surface is not given in one way",
            "centre and radius of a circle, or two points or more",
        )  # fmt: skip
    yield from (b.under(("slip_surface",)) for b in _rightward(known.points, "points", faces=False))


def _anchors(slope: Slope) -> Iterator[Breach]:
    given = slope.anchors
    if given.spacing_greatest < given.spacing_least:
        yield Breach(("anchors", "spacing_greatest"), "this is less than spacing_least")
    left, right = slope.profile[0].x, slope.profile[-1].x
    for k, head in enumerate(given.heads):
        if not left <= head.x <= right:
            yield Breach(("anchors", "heads", k, "x"), "this head lies beyond the surveyed ground")
    pad = slope.pad
    if pad is not None and pad.effective_depth >= pad.thickness:
        yield Breach(("pad", "effective_depth"), "the reinforcement would lie outside the pad")
    if pad is not None and pad.plate >= pad.side:
        yield Breach(("pad", "plate"), "the plate is not smaller than the pad")
