"""Which single values bear on which check: common practice, no source.

By the beginning of a check's identifier, the first that fits; of a value "up" or "down", the likeliest
first. Only values that the engineer or the contractor is free to choose: never the ground, the loads,
the safety that is asked for, or the limits of neighbours.
"""

from __future__ import annotations

BEARING: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("anchor.lock-off-loss", ("unbonded up",)),
    ("anchor.unbonded-length", ("unbonded up",)),
    ("anchor.bond-behind", ("unbonded up", "inclination up", "inclination down")),
    ("anchor.overburden", ("inclination up", "unbonded up")),
    ("anchor.bond-length-least", ("bond up",)),
    ("anchor.bond-tendon", ("bond up", "strands")),
    ("anchor.bond-spacing", ("inclination up", "inclination down")),
    ("anchor.bond-", ("bond up", "grouting", "inclination up", "load down", "spacing", "every")),
    (
        "anchor.crossing",
        ("inclination up", "inclination down", "elevation up", "elevation down", "bond down"),
    ),
    ("anchor.tendon-lock-off", ("lock-off down", "strands", "load down")),
    ("anchor.tendon-strands", ("load down", "spacing", "every")),
    ("anchor.tendon-", ("strands", "load down", "spacing", "every")),
    ("anchor.jacking-load", ("lock-off down", "unbonded up", "strands", "load down")),
    ("anchor.hole-diameter", ("hole",)),
    ("anchor.inclination-least", ("inclination up",)),
    ("anchor.inclination-greatest", ("inclination down",)),
    ("anchor.right-of-way", ("inclination up", "bond down", "unbonded down")),
    (
        "anchor.obstacle",
        ("inclination up", "inclination down", "elevation down", "elevation up"),
    ),
    ("anchor.headroom", ("elevation down", "elevation up", "over-excavation up")),
    ("anchor.design-load", ("load up",)),
    ("anchor.staged-load", ("load up", "lock-off down")),
    ("anchor.staged-overstress", ("lock-off down", "load down", "inclination up")),
    ("anchor.protection", ("protection",)),
    ("wall.pile-in-hole", ("pile-hole",)),
    ("wall.pile-", ("pile", "spacing")),
    ("wall.lagging", ("lagging", "spacing")),
    ("wall.cantilever", ("toe", "elevation up", "over-excavation down")),
    ("wall.vertical", ("toe", "pile-hole", "inclination down")),
    ("wall.toe", ("toe", "pile-hole", "elevation down")),
    ("wall.embedment", ("toe", "pile-hole", "elevation down")),
    ("wall.staged", ("toe", "pile", "over-excavation down", "elevation up")),
    ("wall.head", ("spacing", "every", "load down")),
    ("wall.continuous", ("elevation down", "elevation up", "over-excavation down")),
    ("stability.base", ("cut-length", "toe")),
    ("stability.overall", ("toe",)),
    ("stability.", ("unbonded up", "bond up")),
    ("movement.", ("pile", "spacing", "lock-off up", "elevation up", "over-excavation down")),
    ("slope.pad", ("pad", "spacing")),
    ("slope.waler", ("spacing",)),
    ("slope.anchor-load", ("spacing",)),
    ("slope.smaller", ()),
    ("slope.", ("load up", "spacing", "inclination up", "inclination down")),
)
