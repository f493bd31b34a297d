"""Which steps of a procedure are judged: the hold at the test load, and the stay locked off."""

from __future__ import annotations

from backstay.stressing.procedure import Procedure


def top_step(procedure: Procedure) -> int:
    """Return the number of the step whose hold is judged: the last that goes up to the test load."""
    least = procedure.test_load * (1.0 - 1e-6)
    return max(i for i, step in enumerate(procedure.steps) if step.up and step.load >= least)


def loss_step(procedure: Procedure) -> int | None:
    """Return the number of the step whose load loss is judged: the last one held, by method 2."""
    if procedure.method != "lock-off":
        return None
    return max((i for i, step in enumerate(procedure.steps) if step.hold > 0.0), default=None)


def timed_step(procedure: Procedure) -> int:
    """Return the number of the step whose hold may have to go on, by creep or by load loss."""
    locked = loss_step(procedure)
    return top_step(procedure) if locked is None else locked
