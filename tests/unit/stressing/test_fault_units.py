"""Wrong units: named by the pair that was mixed up, and never seen in sound or failing anchors."""

from __future__ import annotations

from dataclasses import replace

import pytest

from backstay.stressing.fault_units import (
    LOAD_UNITS,
    METRES,
    MOVEMENT_UNITS,
    PRESSURE_UNITS,
    mistaken,
)
from tests.unit.stressing.faulty import PROOF, each, finding, judged, whole
from tests.unit.stressing.invented import anchor, jack
from tests.unit.stressing.synthetic import Model, altered, record_of

PSI, KIP = 6.894757293168361, 4.4482216152605


@pytest.mark.parametrize(
    ("factor", "meant", "entered"),
    [
        (1 / PSI, "psi", "kPa"), (PSI, "kPa", "psi"), (1 / 100, "bar", "kPa"), (100, "kPa", "bar"),
        (100 / PSI, "psi", "bar"), (PSI / 100, "bar", "psi"), (1e-3, "MPa", "kPa"),
    ],
)  # fmt: skip
def test_pressures_in_the_wrong_unit_are_named(factor: float, meant: str, entered: str) -> None:
    record = each(whole(), lambda r: replace(r, gauge=(r.gauge or 0.0) * factor))
    found = finding(record, "pressure unit")
    assert found.consequence == "refused"
    assert f"if {meant} was read and {entered} entered" in found.words
    assert judged(record).decision == "cannot be judged"


def test_one_pressure_in_the_wrong_unit_is_named_by_its_number() -> None:
    record = whole()
    wrong = altered(record, 5, gauge=(record.readings[4].gauge or 0.0) / PSI)
    assert finding(wrong, "pressure unit").readings == (5,)


@pytest.mark.parametrize(
    ("factor", "meant", "entered"),
    [
        (KIP, "kN", "kip"),
        (1 / KIP, "kip", "kN"),
        (1 / 9.80665, "tonne", "kN"),
        (1000.0, "N", "kN"),
    ],
)
def test_loads_in_the_wrong_unit_are_named(factor: float, meant: str, entered: str) -> None:
    loads = [p.load for p in judged(whole()).evaluation.points]
    record = whole()
    cells = replace(
        record,
        readings=tuple(
            replace(r, gauge=None, load=p * factor)
            for r, p in zip(record.readings, loads, strict=True)
        ),
    )
    assert f"if {meant} was read and {entered} entered" in finding(cells, "load unit").words


@pytest.mark.parametrize(
    ("factor", "meant", "entered"),
    [(1 / 25.4, "in", "mm"), (25.4, "mm", "in"), (1e-3, "m", "mm"), (1e3, "mm", "m")],
)
@pytest.mark.parametrize("free", [4.5, 6.0, 25.0])
def test_movements_in_the_wrong_unit_are_named(
    factor: float, meant: str, entered: str, free: float
) -> None:
    good = record_of(Model(anchor=anchor(free_length=free), jack=jack(stroke=1e3)), PROOF)
    record = each(good, lambda r: replace(r, dials=tuple(d * factor for d in r.dials)))
    found = finding(record, "movement unit")
    assert f"if {meant} was read and {entered} entered" in found.words
    assert "movement unit" not in {f.code for f in judged(good).findings}


@pytest.mark.parametrize("free", [3.0, 6.0, 15.0, 40.0])
@pytest.mark.parametrize("bond", [60.0, 100.0, 250.0, 5000.0])
def test_anchors_of_all_kinds_are_not_taken_for_wrong_units(free: float, bond: float) -> None:
    record = record_of(
        Model(anchor=anchor(free_length=free, bond_length=12.0), jack=jack(stroke=1.0), bond=bond),
        PROOF,
    )
    assert "movement unit" not in {f.code for f in judged(record).findings}


@pytest.mark.parametrize("units", [PRESSURE_UNITS, LOAD_UNITS, MOVEMENT_UNITS, METRES])
def test_every_pair_of_units_is_told_from_every_other(units: dict[str, float]) -> None:
    match = 1.05
    pairs = {
        (meant, entered): other / one
        for meant, one in units.items()
        for entered, other in units.items()
        if not 0.25 < other / one < 4.0
    }
    for pair, ratio in pairs.items():
        alike = [p for p, r in pairs.items() if r == pytest.approx(ratio)]
        assert pair in alike
        assert mistaken(ratio, units, match) in alike
    for near in (0.3, 0.5, 1.0, 2.0, 3.0):
        assert mistaken(near, units, match) is None
    assert mistaken(-1.0, units, match) is None


@pytest.mark.parametrize("share", [0.3, 0.45, 0.5, 0.6, 0.75])
@pytest.mark.parametrize("cell", [True, False])
def test_an_anchor_that_gives_way_is_not_taken_for_wrong_units(share: float, cell: bool) -> None:
    record = whole()
    last = record.readings[7]
    loads = [p.load for p in judged(record).evaluation.points]
    read = [
        replace(r, gauge=None if cell else r.gauge, load=p if cell else None)
        for r, p in zip(record.readings, loads, strict=True)
    ]
    gone = replace(
        read[7], gauge=None if cell else (last.gauge or 0.0) * share,
        load=loads[7] * share if cell else None, dials=tuple(d + 0.05 for d in last.dials),
    )  # fmt: skip
    result = judged(replace(record, readings=(*read[:7], gone)))
    assert result.decision == "not accepted"
    assert not {"pressure unit", "load unit", "movement unit"} & {f.code for f in result.findings}
