"""The section as a search sees it: sliding to the left, with the limits of the search."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from backstay.errors import DesignError
from backstay.stability.slip.admissibility import (
    BETWEEN_SLICES,
    NOT_CONVERGED,
    OTHER_STRETCH,
    STIFF_BEND,
    TOO_THIN,
    Tally,
    by_moments,
    ranks,
    undrained,
)
from backstay.stability.slip.analysis import analyse_batch, analyse_surfaces
from backstay.stability.slip.arcs import Arcs, arcs
from backstay.stability.slip.arrays import Bounds
from backstay.stability.slip.evolution import Judged
from backstay.stability.slip.model import Bools, Floats, SlipModel
from backstay.stability.slip.options import LEAST_DEPTH, SearchOptions
from backstay.stability.slip.result import BatchResult
from backstay.stability.slip.terrain import Terrain, mirrored, terrain


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """A model, its ground turned so that it slides to the left, and what counts as a slide.

    sign: 1, or -1 where x is turned; least_depth: m; tally: counts what becomes of the surfaces;
    moments_alone: no ground has friction, so that moments alone fix the safety of circles; rock:
    lines (k, 2) of the tops of layers that surfaces run along, turned; bounds: what a polyline must keep to.
    """

    model: SlipModel
    options: SearchOptions
    ground: Terrain
    sign: float
    least_depth: float
    tally: Tally
    moments_alone: bool
    rock: tuple[Floats, ...]
    bounds: Bounds

    def turn(self, points: Floats) -> Floats:
        """Return points (..., n, 2) of the search in the section, or the other way round."""
        return points if self.sign > 0.0 else mirrored(points)

    def arcs(self, places: Floats) -> Arcs:
        """Return the circles at places (n, 3), within the limits of the options."""
        given = self.options
        beneath = tuple((self.sign * x, y) for x, y in given.beneath)
        deepest = -np.inf if given.deepest is None else given.deepest
        return arcs(
            self.ground,
            places,
            least_depth=self.least_depth,
            deepest=deepest,
            beneath=beneath,
            rock=self.rock,
        )

    def circle_safety(self, places: Floats, *, slices: int) -> tuple[Floats, Floats]:
        """Return safety (n), infinite where a place does not count, and circles (n, 3)."""
        found = self.arcs(places)
        self.tally.add(TOO_THIN, found.thin)
        usable = found.usable & self.within(found.ends)
        F = np.full(len(places), np.inf)
        circles = found.circles * np.array([self.sign, 1.0, 1.0])
        at = np.flatnonzero(usable)
        if not len(at):
            return F, circles
        value, batch = self.judged(circles[at], slices=slices)
        ends = np.sort(self.sign * found.ends[at], axis=1)
        off = np.maximum(abs(batch.left - ends[:, 0]), abs(batch.right - ends[:, 1]))
        elsewhere = np.isfinite(value) & (off > 0.02 * self.ground.height + self.model.crack)
        self.tally.add(OTHER_STRETCH, elsewhere)
        F[at] = np.where(elsewhere, np.inf, value)
        return F, circles

    def judged(self, circles: Floats, *, slices: int) -> tuple[Floats, BatchResult]:
        """Return the safety (n) of circles by the rule, infinite for what is set aside."""
        given = self.options
        rule = given.admissibility
        batch = analyse_batch(
            self.model, circles, given.method, slices, side_force=given.side_force
        )
        unsolved = batch.status == NOT_CONVERGED
        at = np.flatnonzero(unsolved | ((batch.status == 0) & ((batch.flags & rule.mask) != 0)))
        anyway = np.full(len(circles), np.nan)
        if rule.by_moments and given.method != "bishop" and len(at):
            bishop = analyse_batch(self.model, circles[at], "bishop", slices)
            if self.moments_alone:
                anyway[at] = np.where(bishop.status == 0, bishop.F, np.nan)
            else:
                anyway[at] = by_moments(rows(batch, at), bishop, rule)
        return self.tally.judge(batch, rule, anyway=anyway), batch

    def surface_safety(
        self, points: Floats, *, slices: int, sheared: Floats, rigid: bool = False
    ) -> Judged:
        """Return safety (n) of polylines (n, m, 2) in the section's own coordinates, and ranks.

        sheared (n): least share of its strength that a side above a sharp bend must carry. rigid: the
        mass moves as one block, whatever the forces within it.
        """
        rule = self.options.admissibility
        if rigid:
            rule = replace(rule, refused=tuple(f for f in rule.refused if f not in BETWEEN_SLICES))
        batch = analyse_surfaces(
            self.model, points, self.options.method, slices,
            side_force=self.options.side_force,
        )  # fmt: skip
        F = self.tally.judge(batch, rule)
        short = sheared - batch.sheared
        stiff = np.isfinite(F) & ~(short <= 0.0)
        self.tally.add(STIFF_BEND, stiff)
        return Judged(np.where(stiff, np.inf, F), ranks(batch, rule, short))

    def at_edge(self, x: Floats) -> bool:
        """Say whether an end (x of exit and start) lies at the end of the ground, or at a limit."""
        near = 0.005 * self.ground.height
        limits = (self.options.exits, self.options.entries)
        return any(
            abs(self.sign * value - edge) < near
            for value, limit in zip(x, limits, strict=True)
            for edge in (*self.model.surface[[0, -1], 0], *(limit or ()))
        )

    def within(self, ends: Floats) -> Bools:
        """Return which ends (n, 2) keep to the limits of exits and entries."""
        kept = np.ones(len(ends), dtype=bool)
        for column, limits in enumerate((self.options.exits, self.options.entries)):
            if limits is not None:
                x = self.sign * ends[:, column]
                kept &= (x >= min(limits) - 1e-9) & (x <= max(limits) + 1e-9)
        return kept


def rows(batch: BatchResult, at: NDArray[np.intp]) -> BatchResult:
    """Return some surfaces of a batch."""
    return BatchResult(**{f.name: getattr(batch, f.name)[at] for f in fields(BatchResult)})


def frame(model: SlipModel, options: SearchOptions) -> Frame:
    """Return the section as the search sees it.

    Raises DesignError where nothing rises away from the movement: level ground does not slide.
    """
    sign = 1.0 if model.to_left else -1.0
    surface = np.asarray(model.surface, dtype=float)
    seen = surface if sign > 0.0 else mirrored(surface)
    ends = [
        sign * (a.x + a.dx * (a.free + a.bond))
        for a in model.anchors
        if np.isfinite(a.free + a.bond)
    ]
    ground = terrain(seen, reach=max(ends, default=-np.inf))
    if ground is None:
        raise DesignError(
            "the ground does not rise anywhere: there is no slope to search", "search"
        )
    depth = options.least_depth
    least = LEAST_DEPTH * ground.height if depth is None else depth
    hard = (
        () if model.impenetrable is None else zip(model.tops, model.impenetrable[1:], strict=True)
    )
    lines = (np.asarray(top, dtype=float) for top, is_hard in hard if is_hard)
    rock = tuple(line if sign > 0.0 else mirrored(line) for line in lines)
    return Frame(
        model, options, ground, sign, least, Tally(), undrained(model), rock,
        _bounds(options, ground, sign, least, rock),
    )  # fmt: skip


def _bounds(
    options: SearchOptions, ground: Terrain, sign: float, least: float, rock: tuple[Floats, ...]
) -> Bounds:
    """Return the limits of polylines."""

    def across(limits: tuple[float, float] | None) -> Floats:
        if limits is None:
            return np.array([-np.inf, np.inf])
        slack: Floats = np.sort(sign * np.array(limits)) + np.array([-1e-9, 1e-9])
        return slack

    every = np.concatenate(rock) if rock else np.empty((0, 2))
    return Bounds(
        x=ground.rising_x(), y=ground.points[:, 1].copy(), s=ground.s, height=ground.height,
        beneath=np.reshape([(sign * x, y) for x, y in options.beneath], (-1, 2)).astype(np.float64),
        out=across(options.exits), start=across(options.entries),
        rock_x=every[:, 0].copy(), rock_y=every[:, 1].copy(),
        rock_ends=np.cumsum([len(line) for line in rock], dtype=np.int64), least_depth=least,
        deepest=-np.inf if options.deepest is None else options.deepest,
    )  # fmt: skip
