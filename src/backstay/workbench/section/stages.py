"""What is shown stage by stage: the design envelope first, then each stage of the dig."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from backstay.checks import expand
from backstay.design import SectionDesign
from backstay.pressure import Diagram
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.wall.staged import StageResult
from backstay.words import stage_cautions
from backstay.workbench.section.picture import Picture
from backstay.workbench.section.profile import Curve, Panel, Profile, extent_of, profile

ENVELOPE = 0
"""The design envelope, before the stages, which count from 1."""


_STRESSED = 1
"""State of a support that is being stressed in a stage (see `wall.staged.result`)."""
_STAGE_LEGEND = ("Solid: this stage, mean ground. Faint: the other stages. Line: the dig level.",)


@dataclass(frozen=True, slots=True)
class Shown:
    """One state to look at. stage: the result, None for the envelope; title: in words."""

    number: int
    title: str
    stage: StageResult | None = None


def shown_states(done: SectionDesign, units: UnitSystem) -> tuple[Shown, ...]:
    """Return what can be looked at: the design envelope, and every stage of the dig."""
    stages = done.staged.mean.stages
    return (
        Shown(ENVELOPE, "Finished cut, design envelope"),
        *(Shown(s.number, f"Stage {s.number}: {stage_words(s, units)}", s) for s in stages),
    )


def stage_words(stage: StageResult, units: UnitSystem) -> str:
    """Return what a stage does, and that it does not stand where it does not."""
    words = expand(stage.title, units)
    return words if stage.status == "stands" else f"{words} (does not stand: {stage.status})"


def cautions_of(done: SectionDesign, shown: Shown) -> tuple[str, ...]:
    """Return what to mind in a stage: where it digs, and where it stresses a row."""
    stage = shown.stage
    if stage is None:
        return ()
    k, states = stage.number - 1, done.staged.mean.input.a_state
    before = done.staged.mean.input.dig[k - 1] if k else 0.0
    return stage_cautions(
        digs=bool(stage.dig > before + 1e-9), stresses=bool((states[k] == _STRESSED).any())
    )


def diagrams(
    done: SectionDesign,
    shown: Shown,
    picture: Picture,
    width: float,
    units: UnitSystem,
    *,
    read: bool = True,
) -> Profile:
    """Draw the diagrams of a state beside the picture of its section; read: with readings."""
    stage = shown.stage
    rows = [a.z for a in done.anchors]
    if stage is None:
        return profile(
            picture, _envelope_panels(done), width, units, depth=done.wall.toe, dig=done.ground.H,
            rows=rows, legend=_envelope_legend(done), read=read,
        )  # fmt: skip
    return profile(
        picture, _stage_panels(done, stage), width, units, depth=float(done.staged.mean.input.z[-1]),
        dig=stage.dig, rows=rows, legend=_STAGE_LEGEND, read=read,
    )  # fmt: skip


def _envelope_legend(done: SectionDesign) -> tuple[str, ...]:
    a, b = done.wall.closed_form, done.wall.continuous
    first = (
        f"Pressure: solid the sum, dashed {', '.join(d.name for d in _parts(done))}."
        if len(_parts(done)) > 1 else "Pressure: the design diagram."
    )  # fmt: skip
    return (f"{first} Shear and moment: solid {a.title}, dashed {b.title}.",)


def _envelope_panels(done: SectionDesign) -> list[Panel]:
    pressures = done.pressures
    whole, parts = pressures.design, _parts(done)
    sums = (
        (Curve(whole.z, whole.p, "design", fill=True),)
        if len(parts) == 1
        else (
            Curve(whole.z, whole.p, "sum", fill=True),
            *(Curve(d.z, d.p, d.name, dash=True) for d in parts),
        )
    )
    a, b = done.wall.closed_form, done.wall.continuous
    found = [Panel("Design pressure", QUANTITIES["stress"], sums, extent_of(*sums))]
    for title, name, attribute in (
        ("Shear", "force per length", "shear"), ("Moment", "moment per length", "moment"),
    ):  # fmt: skip
        curves = (
            Curve(a.z, getattr(a, attribute), a.title.split(" (")[0], fill=True),
            Curve(b.z, getattr(b, attribute), b.title.split(" (")[0], dash=True),
        )
        found.append(Panel(title, QUANTITIES[name], curves, extent_of(*curves)))
    return found


def _parts(done: SectionDesign) -> list[Diagram]:
    p = done.pressures
    return [p.envelope.diagram, *(d for d in (p.water, *p.surcharges, p.earthquake) if d)]


def _stage_panels(done: SectionDesign, stage: StageResult) -> list[Panel]:
    """Return the panels of a stage on scales that all stages share, the other stages faint behind."""
    result = done.staged.mean
    stands = [s for s in result.stages if s.status == "stands"] or [stage]
    per = "" if done.wall.kind == "soldier piles" else " per length"
    force = QUANTITIES["force" if not per else "force per length"]
    pressure = (
        Curve(stage.depth_g.tolist(), stage.p_retained.tolist(), "behind", fill=True),
        Curve(stage.depth_g.tolist(), stage.p_cut.tolist(), "in front", fill=True, mirrored=True),
    )
    every = [c for s in stands for c in (
        Curve((), s.p_retained.tolist()), Curve((), s.p_cut.tolist(), mirrored=True),
    )]  # fmt: skip
    panels = [
        Panel(
            "Pressure", QUANTITIES["stress"], pressure, extent_of(*every, *pressure), "front | back"
        )
    ]
    for title, quantity, curve in (
        ("Shear", force, _shear), ("Moment", QUANTITIES[f"moment{per}"], _moment),
        ("Deflection", QUANTITIES["small length"], _deflection),
    ):  # fmt: skip
        own, others = curve(stage, True), [curve(s, False) for s in stands if s is not stage]
        panels.append(Panel(title, quantity, (*others, own), extent_of(own, *others)))
    return panels


def _shear(stage: StageResult, own: bool) -> Curve:
    z = [float(v) for v in stage.z for _ in range(2)]
    return _curve(z, stage.V.ravel().tolist(), own)


def _moment(stage: StageResult, own: bool) -> Curve:
    return _curve(stage.z.tolist(), stage.M.tolist(), own)


def _deflection(stage: StageResult, own: bool) -> Curve:
    return _curve(stage.z.tolist(), stage.w.tolist(), own)


def _curve(z: list[float], value: list[float], own: bool) -> Curve:
    """Return a curve; of other stages every third point is enough for the eye, and sent sooner."""
    by = 1 if own else 3
    return Curve([*z[::by], z[-1]], [*value[::by], value[-1]], faint=not own, fill=own)


def stage_overlay(
    done: SectionDesign, shown: Shown, picture: Picture, units: UnitSystem
) -> tuple[str, Sequence[str]]:
    """Return what a stage changes in the picture, as SVG, and the load of each row in it, in words.

    Ground that still stands is toned, rows that do not hold yet are struck through, and those that
    do carry their load in this stage.
    """
    stage = shown.stage
    if stage is None:
        return "", ()
    parts = []
    H, left = done.ground.H, picture.left
    if stage.dig < H - 1e-6:
        corners = [
            picture.at(x, z) for x, z in ((left, stage.dig), (0, stage.dig), (0, H), (left, H))
        ]
        points = " ".join(f"{x:.2f},{y:.2f}" for x, y in corners)
        parts.append(f'<polygon class="not-dug" points="{points}"/>')
    force = QUANTITIES["force"]
    words = []
    for anchor in done.anchors:
        load = stage.anchor_loads[anchor.row - 1]
        if load > 0.0:
            words.append(f"Row {anchor.row} {force.text(load, units)}")
            continue
        words.append(f"Row {anchor.row} not stressed")
        (x1, y1), (x2, y2) = picture.at(*anchor.head), picture.at(*anchor.bond_end)
        parts.append(
            f'<line class="not-held" x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}"/>'
        )
    return "".join(parts), words
