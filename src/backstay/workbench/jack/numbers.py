"""Numbers as a crew types them, at the door: into internal units, or refused in words."""

from __future__ import annotations

from pydantic_core import PydanticCustomError

from backstay.errors import DesignError
from backstay.model.units import parse
from backstay.quantity import QUANTITIES
from backstay.records.refusal import RefusedError
from backstay.stressing.jack import Jack
from backstay.stressing.jack_in_use import load_read
from backstay.stressing.procedure import Procedure
from backstay.stressing.record import Phase, Reading
from backstay.workbench.jack.asked import Correct, Read, Typed


def value(typed: Typed, quantity: str, called: str) -> float:
    """Return a number as typed in internal units. Raises RefusedError with what is accepted."""
    try:
        return parse(typed.text.strip(), QUANTITIES[quantity], typed.units)
    except PydanticCustomError as error:
        shown = typed.text if len(typed.text) <= 30 else f"{typed.text[:29]}…"
        raise RefusedError(f"{called} {shown!r}: {error.message()}") from None


def optional(typed: Typed | None, quantity: str, called: str) -> float | None:
    """Return a number as typed, None where none was."""
    return None if typed is None else value(typed, quantity, called)


def load_at(typed: Typed, jack: Jack, called: str) -> float:
    """Return the load (kN) at a gauge pressure as typed. Raises RefusedError beyond the certificate."""
    pressure = value(typed, "gauge pressure", called)
    try:
        return load_read(jack, pressure, called)
    except DesignError as error:
        raise RefusedError(error.reason) from None


def reading(sent: Read, procedure: Procedure, number: int) -> Reading:
    """Return a reading as it was taken. Raises RefusedError."""
    if sent.step >= len(procedure.steps):
        raise RefusedError(
            f"the procedure has {len(procedure.steps)} steps, and no step {sent.step + 1}"
        )
    step = procedure.steps[sent.step]
    phase: Phase = "hold"
    if sent.arrival or sent.minute == 0.0:
        phase = "loading" if step.up else "unloading"
    return Reading(
        number=number, cycle=step.cycle + sent.again, target=step.share, phase=phase, minute=sent.minute,
        gauge=optional(sent.gauge, "gauge pressure", "gauge"),
        load=optional(sent.load, "force", "load"),
        dials=tuple(value(d, "small length", f"dial {k}") for k, d in enumerate(sent.dials, start=1)),
        reference=optional(sent.reference, "small length", "reference") or 0.0,
        at=sent.at, remark=sent.remark,
    )  # fmt: skip


def corrected(sent: Correct, before: Reading) -> Reading:
    """Return a reading as it should have been; what was not sent stays. Raises RefusedError."""
    gauge = optional(sent.gauge, "gauge pressure", "gauge")
    load = optional(sent.load, "force", "load")
    reference = optional(sent.reference, "small length", "reference")
    dials = tuple(value(d, "small length", f"dial {k}") for k, d in enumerate(sent.dials, start=1))
    return Reading(
        number=before.number, cycle=before.cycle, target=before.target, phase=before.phase,
        minute=before.minute if sent.minute is None else sent.minute,
        gauge=before.gauge if gauge is None else gauge, load=before.load if load is None else load,
        dials=dials or before.dials, reference=before.reference if reference is None else reference,
        at=before.at, remark=before.remark,
    )  # fmt: skip
