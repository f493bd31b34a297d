"""Facts: what can happen to an anchor, one frozen dataclass for each kind of entry.

A fact says what happened; who recorded it and when stand on its `Entry`. Units inside: kN, m, m2,
m3, kPa, radians; ages in days. Depths in a hole are measured along it, from its mouth. ``None``
means "not known", never nought.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeAlias

from backstay.errors import DesignError
from backstay.stressing.jack import Jack
from backstay.stressing.procedure import Procedure, TestKind
from backstay.stressing.strands import require_sum, strand_loads

Decision = Literal["accepted", "not accepted"]
SubmittalDecision = Literal["accept", "accept as noted", "revise"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignValues:
    """What the design asks of one anchor, as it stood when it was recorded.

    design_load, lock_off_load, test_load: along the anchor; area, modulus, strength: of the
    tendon, the strength as guaranteed (kN); free_length: bearing plate to bond; bond_length: None
    where the contractor chooses it; inclination: below the horizontal; skew: in plan; depth: of
    the head below the top of wall; station: along the wall; ground: kinds along the bond; creeps:
    whether that ground is plastic enough to creep; tests: kinds that the plan assigns, in order;
    jack_length: tendon from the plate to the grip of the jack; proof_load: of the tendon (kN) and
    draw_in (m), where they are known; regroutable: whether tubes for re-grouting are asked for;
    project: which state of the project file the values are from, "down-rated" where from none.
    """

    service: Literal["temporary", "permanent"]
    design_load: float
    lock_off_load: float
    test_load: float
    area: float
    modulus: float
    strength: float
    free_length: float
    bond_length: float | None
    hole_diameter: float
    inclination: float
    skew: float = 0.0
    depth: float | None = None
    station: float | None = None
    tendon: str = ""
    ground: tuple[str, ...] = ()
    creeps: bool = False
    grouting: str = ""
    tests: tuple[TestKind, ...] = ()
    jack_length: float | None = None
    proof_load: float | None = None
    draw_in: float | None = None
    regroutable: bool = False
    project: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """An anchor enters the register: its identity from the design, and its design values.

    anchor: the name by which everything else refers to it; part: section of wall, or slope; row,
    number: from 1; pile: that it stands at, None on walls without; trial: beside the wall, for its
    test alone; replaces: name of the anchor in whose place it stands, where it replaces one.
    """

    anchor: str
    part: str
    row: int
    number: int
    pile: int | None = None
    trial: bool = False
    design: DesignValues
    replaces: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignChanged:
    """The design of a registered anchor changed: down-rated, lengthened, another tendon."""

    anchor: str
    design: DesignValues
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Submittal:
    """The contractor's submittal for some anchors, and what was decided on it.

    statement: the lines that were judged, each (what, offered, needed) in words.
    """

    number: str
    anchors: tuple[str, ...]
    decision: SubmittalDecision
    reasons: tuple[str, ...] = ()
    statement: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StratumMet:
    """One line of a drill log, between two depths along the hole (m).

    kind: of ground, by the names of the project file, where it was told; water: strikes and flow,
    loss: of flush, both in the driller's words.
    """

    top: float
    bottom: float
    description: str
    kind: str = ""
    water: str = ""
    loss: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drilled:
    """A drill log. creeps: whether the ground met along the bond creeps, where that was judged."""

    anchor: str
    diameter: float
    length: float
    inclination: float | None = None
    skew: float | None = None
    strata: tuple[StratumMet, ...] = ()
    water: str = ""
    losses: str = ""
    casing: float | None = None
    creeps: bool | None = None
    rig: str = ""
    crew: str = ""
    method: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TendonPlaced:
    """The tendon as built, with the mill certificate that goes with it.

    area, modulus: as the certificate gives them; guaranteed, measured: strength (kN); proof_load:
    at 0.1 % strain (kN); free_length: bearing plate to bond; bond_length; regroutable: whether
    tubes for re-grouting are in the hole.
    """

    anchor: str
    certificate: str
    area: float
    modulus: float
    guaranteed: float
    measured: float | None = None
    proof_load: float | None = None
    free_length: float
    bond_length: float
    regroutable: bool | None = None
    tendon: str = ""
    heat: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grouted:
    """One grouting. stage: primary, or post-grouting through its own pipes; pressure in kPa."""

    anchor: str
    stage: Literal["primary", "post"] = "primary"
    water_cement: float
    volume: float
    pressure: float | None = None
    cement: str = ""
    admixtures: str = ""
    method: str = ""
    crew: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class GroutStrength:
    """Cubes (or cylinders) of an anchor's grout, crushed at one age: strengths in kPa."""

    anchor: str
    sample: str
    age: float
    strengths: tuple[float, ...]
    shape: Literal["cube", "cylinder"] = "cube"


@dataclass(frozen=True, slots=True, kw_only=True)
class JackCertified:
    """A jack with its gauge and the certificate that calibrates them together."""

    jack: Jack


@dataclass(frozen=True, slots=True, kw_only=True)
class TestBegun:
    """A load test begins; the store numbers the tests of an anchor from 1.

    jack, certificate: as recorded by `JackCertified`; jack_length: tendon from the plate to the
    grip of the jack; tested_by: who was at the jack.
    """

    __test__ = False

    anchor: str
    procedure: Procedure
    jack: str
    certificate: str
    jack_length: float
    tested_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TestClosed:
    """The crew says that a test is over: it went to its end, or was stopped for a reason."""

    __test__ = False

    anchor: str
    test: int
    ended: Literal["complete", "stopped"] = "complete"
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class VerdictIssued:
    """What was decided on a test, signed.

    design_load: for which the anchor is accepted (less than the design's where it is down-rated);
    rules: by which practice; criteria: each (what, found, limit) in words; reasons; signed_by,
    licence: of who signs.
    """

    anchor: str
    test: int
    decision: Decision
    design_load: float
    rules: str
    criteria: tuple[tuple[str, str, str], ...] = ()
    reasons: tuple[str, ...] = ()
    signed_by: str
    licence: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LockedOff:
    """The load is handed to the anchor head.

    load: in the tendon once it is seated, None where it was not measured; jack_load: by the jack
    when the head was locked; seating: draw-in measured at the head (m); strands: load by the jack of
    each strand, where they were locked off one by one: jack_load is their sum.
    """

    anchor: str
    jack_load: float
    load: float | None = None
    seating: float | None = None
    head: Literal["wedges", "shims", "nut"] = "wedges"
    jack: str = ""
    certificate: str = ""
    strands: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        """Refuse strands that do not carry the load. Raises DesignError."""
        if self.strands:
            require_sum(strand_loads(self.strands), self.jack_load)


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftedOff:
    """A lift-off: the load at which the head comes off its seat.

    strands: load of each strand, where they were lifted off one by one: load is their sum; loads,
    movements: of the jack as read (kN, m), one for one, where load was found from them; gauge,
    strand_gauges, gauges: pressures as read (kPa) of the jack and certificate that are named, in the
    place of load, strands and loads: load is then what the calibration line made of them when it was
    recorded (`backstay.records.gauge_read` makes it anew).
    """

    anchor: str
    load: float
    jack: str = ""
    certificate: str = ""
    strands: tuple[float, ...] = ()
    loads: tuple[float, ...] = ()
    movements: tuple[float, ...] = ()
    gauge: float | None = None
    strand_gauges: tuple[float, ...] = ()
    gauges: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        """Refuse strands that do not carry the load, half a reading, and two ways of one reading.

        Raises DesignError.
        """
        if self.strands:
            require_sum(strand_loads(self.strands), self.load)
        if len(self.loads or self.gauges) != len(self.movements):
            raise DesignError("a load and a movement make a reading", "lift-off")
        ways = (
            self.gauge is not None,
            *map(bool, (self.strands, self.strand_gauges, self.movements)),
        )
        if sum(ways) > 1 or (self.loads and self.gauges):
            raise DesignError("a lift-off is read in one way", "lift-off")
        if self.by_gauge and not (self.jack and self.certificate):
            raise DesignError(
                "a gauge pressure tells a load by its jack and certificate alone", "lift-off"
            )

    @property
    def by_gauge(self) -> bool:
        """Say whether the gauge of a jack was read."""
        return self.gauge is not None or bool(self.strand_gauges or self.gauges)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadRead:
    """The load of a locked-off anchor, read later at a load cell."""

    anchor: str
    load: float
    cell: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Repaired:
    """Work on an anchor that did not do: what was done, and why."""

    anchor: str
    work: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Replaced:
    """An anchor is given up for another, which is registered already."""

    anchor: str
    replacement: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """A remark on an anchor, or on the work as a whole (anchor empty)."""

    text: str
    anchor: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Attachment:
    """A photograph or a file, known by the SHA-256 of its content; its name is only a label."""

    sha256: str
    size: int
    media: str
    name: str
    caption: str = ""
    anchor: str = ""
    taken: date | None = None


Fact: TypeAlias = (
    Planned | DesignChanged | Submittal | Drilled | TendonPlaced | Grouted | GroutStrength
    | JackCertified | TestBegun | TestClosed | VerdictIssued | LockedOff | LiftedOff | LoadRead
    | Repaired | Replaced | Remark | Attachment
)  # fmt: skip
KINDS: dict[str, type[Fact]] = {
    "planned": Planned, "design changed": DesignChanged, "submittal": Submittal,
    "drilled": Drilled, "tendon": TendonPlaced, "grouted": Grouted,
    "grout strength": GroutStrength, "jack": JackCertified, "test": TestBegun,
    "test closed": TestClosed, "verdict": VerdictIssued, "locked off": LockedOff,
    "lifted off": LiftedOff, "load": LoadRead, "repaired": Repaired, "replaced": Replaced,
    "remark": Remark, "file": Attachment,
}  # fmt: skip
"""Name of every kind of entry; a name never changes its meaning once it has been written."""
