"""An invented wall whose anchors are drilled, grouted, tested and locked off, for tests and timing."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

from backstay.cite import Citation
from backstay.records import (
    DesignValues,
    Drilled,
    Fact,
    Grouted,
    GroutStrength,
    JackCertified,
    LiftedOff,
    LockedOff,
    Planned,
    Records,
    StratumMet,
    Submittal,
    TendonPlaced,
    TestBegun,
    TestClosed,
    VerdictIssued,
)  # fmt: skip
from backstay.stressing.jack import Calibration, CalibrationPoint, Jack
from backstay.stressing.procedure import Procedure, TestStep
from backstay.stressing.record import Reading

BY = "R. Field"
START = datetime(2024, 3, 2, 8, 0, tzinfo=UTC)
JACK = Jack(
    name="J-7", gauge="G-21", ram_area=0.0250, capacity=1500.0, stroke=0.25,
    calibration=Calibration(
        certificate="C-2024-14", on=date(2024, 2, 1), expires=date(2024, 8, 1),
        points=tuple(CalibrationPoint(p, 2.0 + 0.0245 * p) for p in (0.0, 10e3, 20e3, 40e3)),
    ),
)  # fmt: skip
PROCEDURE = Procedure(
    rules="US", kind="proof", method="held load", design_load=400.0, test_load=532.0,
    alignment_load=40.0,
    steps=tuple(
        TestStep(cycle=1, share=s, load=400.0 * s, up=True, hold=h, readings=r)
        for s, h, r in (
            (0.10, 0.0, (0.0,)), (0.25, 1.0, (1.0,)), (0.50, 1.0, (1.0,)), (1.00, 1.0, (1.0,)),
            (1.33, 10.0, (1.0, 2.0, 3.0, 5.0, 6.0, 10.0)),
        )
    ),
    clause=Citation("UFGS 02490", "3.5.3", "published"),
)  # fmt: skip
DESIGN = DesignValues(
    service="permanent", design_load=400.0, lock_off_load=320.0, test_load=532.0, area=5.6e-4,
    modulus=195e6, strength=1042.0, free_length=6.0, bond_length=7.5, hole_diameter=0.15,
    inclination=0.35, depth=2.5, tendon="4 x 15.2 mm", ground=("medium sand",),
    grouting="pressure", tests=("proof",), jack_length=0.9, draw_in=0.006, project="wall.yaml, r3",
)  # fmt: skip


def planned(name: str = "A-1-001", number: int = 1, **changes: object) -> Planned:
    """Return the registration of an anchor of row 1."""
    values: dict[str, object] = {"part": "A", "row": 1, "pile": number, "design": DESIGN}
    return Planned(anchor=name, number=number, **(values | changes))  # type: ignore[arg-type]


def submittal(*anchors: str, decision: str = "accept as noted", number: str = "S-01") -> Submittal:
    """Return a submittal for some anchors."""
    return Submittal(
        number=number, anchors=anchors or ("A-1-001",), decision=decision,  # type: ignore[arg-type]
        reasons=("centralisers at 1.5 m",), statement=(("bond length", "7.5 m", "7.2 m"),),
    )  # fmt: skip


def drilled(name: str = "A-1-001", **changes: object) -> Drilled:
    """Return a drill log through fill into sand."""
    values: dict[str, object] = {
        "diameter": 0.152, "length": 14.0, "inclination": 0.349, "casing": 6.5, "rig": "rig 2",
        "crew": "Night", "method": "rotary, cased", "water": "struck at 5.2 m",
        "losses": "none", "strata": (
            StratumMet(top=0.0, bottom=3.0, description="brown fill, brick", kind="fill"),
            StratumMet(top=3.0, bottom=9.0, description="grey sand", kind="medium sand",
                       water="inflow at 5.2 m"),
            StratumMet(top=9.0, bottom=14.0, description="gravelly sand", kind="dense sand"),
        ),
    }  # fmt: skip
    return Drilled(anchor=name, **(values | changes))  # type: ignore[arg-type]


def tendon(name: str = "A-1-001", **changes: object) -> TendonPlaced:
    """Return the tendon as built."""
    values: dict[str, object] = {
        "certificate": "M-88/4", "area": 5.63e-4, "modulus": 196.4e6, "guaranteed": 1042.0,
        "measured": 1071.0, "free_length": 6.1, "bond_length": 7.6, "tendon": "4 x 15.2 mm",
        "heat": "H 20417", "regroutable": True,
    }  # fmt: skip
    return TendonPlaced(anchor=name, **(values | changes))  # type: ignore[arg-type]


def grouted(name: str = "A-1-001", **changes: object) -> Grouted:
    """Return the primary grouting."""
    values: dict[str, object] = {"water_cement": 0.45, "volume": 0.41, "pressure": 350.0}
    return Grouted(anchor=name, **(values | changes))  # type: ignore[arg-type]


def strength(name: str = "A-1-001") -> GroutStrength:
    """Return cubes at seven days."""
    return GroutStrength(anchor=name, sample="B-3", age=7.0, strengths=(31.5e3, 33.0e3, 30.8e3))


def begun(name: str = "A-1-001", **changes: object) -> TestBegun:
    """Return a proof test that begins."""
    values: dict[str, object] = {
        "procedure": PROCEDURE, "jack": "J-7", "certificate": "C-2024-14", "jack_length": 0.95,
        "tested_by": "P. Jack",
    }  # fmt: skip
    return TestBegun(anchor=name, **(values | changes))  # type: ignore[arg-type]


def verdict(name: str = "A-1-001", test: int = 1, decision: str = "accepted") -> VerdictIssued:
    """Return a signed verdict."""
    return VerdictIssued(
        anchor=name, test=test, decision=decision, design_load=400.0, rules="US",  # type: ignore[arg-type]
        criteria=(("creep, 1 to 10 min", "0.6 mm", "1.0 mm"),), reasons=("all criteria are met",),
        signed_by="E. Record", licence="PE 1234",
    )  # fmt: skip


def readings(count: int = 10, *, start: datetime | None = START) -> tuple[Reading, ...]:
    """Return readings on the way up to the test load, and in its hold."""
    made = []
    for i in range(count):
        share = min(1.33, 0.10 + 0.25 * i)
        load = 400.0 * share
        made.append(
            Reading(
                number=i + 1, cycle=1, target=share,
                phase="hold" if share == 1.33 else "loading", minute=float(max(0, i - 4)),
                gauge=(load - 2.0) / 0.0245, dials=(0.0001 * load, 0.0001 * load + 0.0003),
                reference=0.0001, at=None if start is None else start + timedelta(minutes=i),
                remark="" if i else "dials set",
            )
        )  # fmt: skip
    return tuple(made)


def life_of(name: str) -> Iterator[tuple[str, Fact]]:
    """Yield the facts of an anchor that does well, with the day of each after it was planned."""
    yield "2", drilled(name)
    yield "2", tendon(name)
    yield "2", grouted(name)
    yield "9", strength(name)


def fill(records: Records, names: tuple[str, ...] = ("A-1-001",)) -> None:
    """Record the whole life of some anchors, up to a lift-off."""
    day = timedelta(days=1)
    records.add(JackCertified(jack=JACK), by=BY, on=START - 20 * day)
    records.add_all(
        [planned(name, number=i + 1) for i, name in enumerate(names)], by=BY, on=START - 10 * day
    )
    records.add(submittal(*names), by=BY, on=START - 8 * day)
    for name in names:
        for after, fact in life_of(name):
            records.add(fact, by=BY, on=START + (int(after) - 10) * day)
        records.add(begun(name), by=BY, on=START)
        records.add_readings(name, readings(), by=BY)
        later = START + timedelta(hours=1)
        records.add(TestClosed(anchor=name, test=1), by=BY, on=later)
        records.add(verdict(name), by=BY, on=later + timedelta(minutes=1))
        records.add(
            LockedOff(anchor=name, jack_load=345.0, load=322.0, seating=0.006), by=BY,
            on=later + timedelta(minutes=5),
        )  # fmt: skip
        records.add(LiftedOff(anchor=name, load=318.0), by=BY, on=later + day)
