"""The room that one wall is worked out in: rows of one array, each for one quantity. Compiled."""

from __future__ import annotations

from typing import Any, NamedTuple

from backstay.compiled import compiled_inside
from backstay.wall.staged.banded import Band
from backstay.wall.staged.forces import Beam, Below, Ground, Movement, Springs
from backstay.wall.staged.ground import Side

ROWS = 66
"""Rows of the room, each as long as there are nodes at least."""


class Wall(NamedTuple):
    """A wall in one stage, and the room that its equilibrium is sought in.

    start: movement up to this stage; v: in this stage; d: a step; mark: v some iterations ago; R:
    unbalanced force and moment; pull (n): force of the supports; behind, front: the ground's memory;
    force, lever (n-1): load on each element, and its moment about the lower node; stiff0, stiff1
    (n-1): of the springs at the Gauss points.
    """

    start: Movement
    v: Movement
    d: Movement
    mark: Movement
    R: Movement
    beam: Beam
    ground: Ground
    pull: Any
    band: Band
    behind: Side
    front: Side
    force: Any
    lever: Any
    below: Below
    stiff0: Any
    stiff1: Any


@compiled_inside
def _movement(room, first, n):
    """Return two rows from `first` on."""
    return Movement(room[first][:n], room[first + 1][:n])


@compiled_inside
def _springs(room, first, n):
    """Return four rows from `first` on."""
    return Springs(
        room[first][:n], room[first + 1][:n], room[first + 2][:n], room[first + 3][:n]
    )  # fmt: skip


@compiled_inside
def _side(room, first, n):
    """Return eight rows from `first` on."""
    return Side(
        room[first][:n], room[first + 1][:n], room[first + 2][:n], room[first + 3][:n],
        room[first + 4][:n], room[first + 5][:n], room[first + 6][:n], room[first + 7][:n],
    )  # fmt: skip


@compiled_inside
def parts(room, n):
    """Return the parts of a wall of n nodes that the rows of `room` hold, each in rows of its own."""
    m = n - 1
    return Wall(
        _movement(room, 0, n), _movement(room, 2, n), _movement(room, 4, n), _movement(room, 6, n),
        _movement(room, 8, n),
        Beam(room[10][:m], room[11][:m], room[12][:m], room[13][:m], room[14][:m]),
        Ground(
            _springs(room, 15, m), _springs(room, 19, m), _springs(room, 23, m), _springs(room, 27, m),
            room[31][:m], room[32][:m],
        ),
        room[33][:n],
        Band(
            room[34][:n], room[35][:n], room[36][:n], room[37][:m], room[38][:m], room[39][:m],
            room[40][:m],
        ),
        _side(room, 41, m), _side(room, 49, m), room[57][:m], room[58][:m],
        Below(room[59][:n], room[60][:n], room[61][:n], room[62][:n], room[63][:n]),
        room[64][:m], room[65][:m],
    )  # fmt: skip
