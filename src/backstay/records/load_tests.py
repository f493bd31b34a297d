"""A load test put together from what is recorded: the anchor as built, the jack, the readings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TypeVar

from backstay.records.encoding import of_plain
from backstay.records.facts import DesignValues, Drilled, StratumMet, TendonPlaced
from backstay.records.in_use import at_test, design_of, latest, moment_of
from backstay.records.known import Known
from backstay.records.readings import in_force, reading_of, rows_of
from backstay.records.refusal import RefusedError
from backstay.records.standing import Standing, standing
from backstay.stressing.jack import Jack
from backstay.stressing.record import TestedAnchor, TestRecord

T = TypeVar("T")


def load_test(known: Known, anchor: str, number: int | None) -> TestRecord:
    """Return a test of an anchor, the last where no number is given. Raises RefusedError."""
    test = known.test(anchor, number)
    mine = known.registered(anchor)
    begun = next(one for one in mine if one.root == test.root)
    plain = begun.plain
    return TestRecord(
        anchor=tested_anchor(anchor, mine, begun, plain["jack_length"]),
        procedure=known.procedures()[plain["procedure"]],
        jack=_jack(known, plain["jack"], plain["certificate"]),
        readings=tuple(
            reading_of(row) for row in in_force(rows_of(known.connection, [test.root], known.until))
        ),
        by=plain["tested_by"],
        on=datetime.fromisoformat(begun.row.happened),
        closed=not test.open,
    )


def anchor_now(known: Known, anchor: str, jack_length: float | None) -> TestedAnchor:
    """Return what a test that is still to begin must know of its anchor.

    Raises RefusedError where neither the caller nor the design knows the length in the jack.
    """
    mine = known.registered(anchor)
    length = design_of(mine).jack_length if jack_length is None else jack_length
    if length is None:
        raise RefusedError(f"{anchor}: the length of the tendon in the jack is not known; state it")
    return tested_anchor(anchor, mine, None, length)


def tested_anchor(
    anchor: str, mine: Sequence[Standing], begun: Standing | None, jack_length: float
) -> TestedAnchor:
    """Return what a test must know of its anchor: as built where that is recorded, else as designed.

    Design and works are those of the time of the test (begun, None where it is still to begin),
    every correction applied. Raises RefusedError where the bond length is not known.
    """
    design = design_of(mine, begun)
    drilled = _of(Drilled, _in_use(mine, "drilled", begun))
    tendon = _of(TendonPlaced, _in_use(mine, "tendon", begun))
    bond_length = tendon.bond_length if tendon else design.bond_length
    if bond_length is None:
        raise RefusedError(
            f"{anchor}: the bond length is the contractor's choice, and no tendon is recorded yet"
        )
    free_length = tendon.free_length if tendon else design.free_length
    creeps = design.creeps if drilled is None or drilled.creeps is None else drilled.creeps
    proof = design.proof_load if tendon is None or tendon.proof_load is None else tendon.proof_load
    regroutable = (
        design.regroutable if tendon is None or tendon.regroutable is None else tendon.regroutable
    )
    return TestedAnchor(
        name=anchor, design_load=design.design_load, lock_off_load=design.lock_off_load,
        area=tendon.area if tendon else design.area,
        modulus=tendon.modulus if tendon else design.modulus,
        strength=tendon.guaranteed if tendon else design.strength,
        free_length=free_length, jack_length=jack_length, bond_length=bond_length,
        hole_diameter=drilled.diameter if drilled else design.hole_diameter,
        ground=_ground(drilled, design, free_length, bond_length), creeps=creeps,
        grouting=design.grouting, service=design.service, proof_load=proof,
        draw_in=design.draw_in, regrouted=_regrouted(mine, begun), regroutable=regroutable,
    )  # fmt: skip


def _in_use(mine: Sequence[Standing], kind: str, begun: Standing | None) -> Standing | None:
    return latest(mine, kind) if begun is None else at_test(mine, kind, begun)


def _ground(
    drilled: Drilled | None, design: DesignValues, free_length: float, bond_length: float
) -> tuple[str, ...]:
    """Return the kinds of ground along the bond: as met, where the log names them all."""
    if drilled is None:
        return design.ground
    start, end, near = free_length, free_length + bond_length, 1e-6
    met = sorted((s for s in drilled.strata if s.top < end and s.bottom > start), key=_top)
    reached = start
    for stratum in met:
        if not stratum.kind or stratum.top > reached + near:
            return design.ground
        reached = max(reached, stratum.bottom)
    if reached < end - near:
        return design.ground
    return tuple(dict.fromkeys(s.kind for s in met))


def _top(stratum: StratumMet) -> float:
    return stratum.top


def _regrouted(mine: Sequence[Standing], begun: Standing | None) -> int:
    """Return how often the anchor was grouted again between its first test and this one."""
    tests = [moment_of(one) for one in mine if one.row.kind == "test"]
    if not tests:
        return 0
    return sum(
        1
        for one in mine
        if one.row.kind == "grouted"
        and one.plain["stage"] == "post"
        and min(tests) < moment_of(one)
        and (begun is None or moment_of(one) < moment_of(begun))
    )


def _jack(known: Known, name: str, certificate: str) -> Jack:
    for one in standing(known.of_kind("jack")):
        jack = one.plain["jack"]
        if (jack["name"], jack["calibration"]["certificate"]) == (name, certificate):
            return of_plain(Jack, jack)
    raise RefusedError(f"jack {name!r} with certificate {certificate!r} is not recorded")


def _of(kind: type[T], one: Standing | None) -> T | None:
    return None if one is None else of_plain(kind, one.plain)
