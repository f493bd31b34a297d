"""What a load test is: the anchor under test, its readings as they were read, and the whole record.

Readings are facts. Loads stand as the gauge (or a load cell) showed them and movements as the
dials showed them; corrections are made in the evaluation, never here.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from backstay.stressing.jack import Jack
from backstay.stressing.procedure import Procedure

Phase = Literal["loading", "hold", "unloading"]
"""Loading: on arrival at a load, going up; hold: while a load is kept; unloading: going down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TestedAnchor:
    """What a test must know of its anchor: as built where that is known, else as designed.

    name: identity in the register; loads in kN, along the anchor; area (m2), modulus (kPa) and
    strength (guaranteed, kN) of the tendon; free_length: from the bearing plate to the bond, m;
    jack_length: tendon from the plate to the grip of the jack, m; bond_length m; hole_diameter m;
    ground: kinds of ground along the bond; creeps: whether that ground is plastic enough to creep.
    proof_load: of the tendon, at 0.1 % strain (kN), None where it is not known; draw_in: of the
    wedges or the nut at lock-off (m), None where it is not known; regrouted: how
    often the anchor was re-grouted before this test; regroutable: whether tubes for it are in the
    hole.
    """

    __test__ = False  # no test of pytest

    name: str
    design_load: float
    lock_off_load: float
    area: float
    modulus: float
    strength: float
    free_length: float
    jack_length: float
    bond_length: float
    hole_diameter: float
    ground: tuple[str, ...]
    creeps: bool
    grouting: str
    service: Literal["temporary", "permanent"]
    proof_load: float | None = None
    draw_in: float | None = None
    regrouted: int = 0
    regroutable: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One line of the field sheet.

    number: in the order read, from 1; cycle: from 1; target: share of the design load that the
    step aims at (the alignment load's share on the way back); phase; minute: since the load of the
    step was reached; gauge: pressure (kPa), or load (kN) where a load cell was read; dials: m,
    outward positive, in the order of the dials; reference: movement of what carries the dials,
    toward the wall's outside positive (m), nil where none is measured; at: clock, with its zone.
    """

    number: int
    cycle: int
    target: float
    phase: Phase
    minute: float
    dials: tuple[float, ...]
    gauge: float | None = None
    load: float | None = None
    reference: float = 0.0
    at: datetime | None = None
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TestRecord:
    """One load test: of which anchor, by which procedure, with which jack, and its readings.

    readings: in force, that is without those that a correction has replaced; by: who tested; on:
    when it began. closed: whether the crew says that the test is over.
    """

    __test__ = False

    anchor: TestedAnchor
    procedure: Procedure
    jack: Jack
    readings: tuple[Reading, ...]
    by: str = ""
    on: datetime | None = None
    closed: bool = False
