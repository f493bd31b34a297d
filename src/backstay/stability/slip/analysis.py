"""Safety of given slip surfaces: one circle, one polyline, or many of either."""

from __future__ import annotations

from numpy.typing import ArrayLike

from backstay.stability.slip.model import Circle, SlipModel
from backstay.stability.slip.result import BatchResult, Method, SideForce, SlipResult

SLICES = 50
"""Slices of equal width unless told otherwise."""


def analyse_circle(
    model: SlipModel,
    circle: Circle | ArrayLike,
    method: Method = "spencer",
    slices: int = SLICES,
    *,
    side_force: SideForce = "half-sine",
) -> SlipResult:
    """Analyse one circle (x, y of the centre, radius). side_force: of Morgenstern-Price alone."""
    raise NotImplementedError


def analyse_surface(
    model: SlipModel,
    points: ArrayLike,
    method: Method = "spencer",
    slices: int = SLICES,
    *,
    side_force: SideForce = "half-sine",
) -> SlipResult:
    """Analyse one polyline (m, 2), x rising. An end below the ground is a crack up to it."""
    raise NotImplementedError


def analyse_batch(
    model: SlipModel,
    circles: ArrayLike,
    method: Method = "spencer",
    slices: int = SLICES,
    *,
    side_force: SideForce = "half-sine",
) -> BatchResult:
    """Analyse r circles (r, 3), in parallel over the cores."""
    raise NotImplementedError


def analyse_surfaces(
    model: SlipModel,
    points: ArrayLike,
    method: Method = "spencer",
    slices: int = SLICES,
    *,
    side_force: SideForce = "half-sine",
) -> BatchResult:
    """Analyse r polylines of m points each (r, m, 2), in parallel over the cores."""
    raise NotImplementedError
