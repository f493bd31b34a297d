"""Rules of the stages that the engineer writes out: each must be possible where it stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from backstay.model.anchors import AnchorRow
from backstay.model.ground import Stratum
from backstay.model.loads import Surcharge
from backstay.model.rules.rule import Breach, Say, rule, twice
from backstay.model.rules.strata import TOLERANCE
from backstay.model.site import CutStage
from backstay.model.stages import (
    AddStrut,
    AddSurcharge,
    AnchorFails,
    Backfill,
    ChangeWater,
    DestressRow,
    Drained,
    Excavate,
    RemoveRow,
    RemoveStrut,
    RemoveSurcharge,
    RowFails,
    StageEntry,
    StressRow,
)

_NEEDS_ANCHORS = (StressRow, DestressRow, RemoveRow, RowFails, AnchorFails)


@dataclass
class _Site:
    """The site as the stages leave it: level of the dig, rows at work, struts, loads."""

    level: float
    holding: set[int] = field(default_factory=set)
    stressed: set[int] = field(default_factory=set)
    struts: dict[str, float] = field(default_factory=dict)


@rule
def stages_or_sequence(
    stages: tuple[StageEntry, ...], sequence: tuple[CutStage, ...]
) -> Iterator[Breach]:
    """Require that the order of the work is written once."""
    if stages and sequence:
        yield Breach(
            ("stages",), "the order of the work is written here and in cut.sequence",
            "one of the two", "stages can say all that cut.sequence says",
        )  # fmt: skip


@rule
def stages_dig_and_hold(
    stages: tuple[StageEntry, ...],
    rows: tuple[AnchorRow, ...],
    top: float,
    subgrade: float,
    say: Say,
) -> Iterator[Breach]:
    """Require that digs, fills, anchors and struts are possible in their order."""
    site = _Site(top)
    for i, entry in enumerate(stages):
        where = ("stages", i)
        match entry:
            case Excavate() | Backfill():
                yield from (b.under(where) for b in _dig(entry, site, top, subgrade, say))
                site.level = entry.level
            case AddStrut() | RemoveStrut():
                yield from (b.under(where) for b in _strut(entry, site, top, say))
            case _ if isinstance(entry, _NEEDS_ANCHORS):
                yield from (b.under(where) for b in _row(entry, site, rows, say))
            case _:
                pass
    if not stages:
        return
    dug = [e.level for e in stages if isinstance(e, Excavate)]
    if not dug or min(dug) > subgrade + TOLERANCE:
        yield Breach(
            ("stages",), "no stage digs to the bottom of the cut",
            f"an excavate entry with level {say.length(subgrade)}",
        )  # fmt: skip
    for row in range(1, len(rows) + 1):
        if row not in site.stressed:
            yield Breach(("stages",), f"row {row} is never stressed", "a stress row entry for each")


def _dig(
    entry: Excavate | Backfill, site: _Site, top: float, subgrade: float, say: Say
) -> Iterator[Breach]:
    where = ("level",)
    if isinstance(entry, Backfill):
        if not site.level + TOLERANCE < entry.level <= top + TOLERANCE:
            yield Breach(
                where, "a fill reaches from the bottom of the dig upward",
                f"more than {say.length(site.level)}, at most {say.length(top)}",
            )  # fmt: skip
    elif entry.level >= site.level - TOLERANCE:
        yield Breach(
            where, "the cut is as deep as this already", f"less than {say.length(site.level)}",
            'to fill it again, kind is "backfill"',
        )  # fmt: skip
    elif entry.level < subgrade - TOLERANCE:
        yield Breach(
            where, "this is below the bottom of the cut", f"at least {say.length(subgrade)}"
        )


def _row(entry: StageEntry, site: _Site, rows: tuple[AnchorRow, ...], say: Say) -> Iterator[Breach]:
    number: int = entry.row  # type: ignore[union-attr]
    where = ("row",)
    if number > len(rows):
        yield Breach(where, "there is no such row", f"1 to {len(rows)}")
        return
    if isinstance(entry, StressRow):
        if site.level > rows[number - 1].elevation + TOLERANCE:
            yield Breach(
                where, f"the dig has not reached row {number}",
                f"a dig to {say.length(rows[number - 1].elevation)} or lower before it",
            )  # fmt: skip
        site.holding.add(number)
        site.stressed.add(number)
        return
    if number not in site.holding:
        gone = number in site.stressed
        yield Breach(
            where,
            f"row {number} is out of service already"
            if gone
            else f"row {number} is not stressed yet",
            "a row that is stressed in an earlier stage, and not removed since",
        )
        return
    if isinstance(entry, RemoveRow | RowFails):
        site.holding.discard(number)


def _strut(entry: AddStrut | RemoveStrut, site: _Site, top: float, say: Say) -> Iterator[Breach]:
    if isinstance(entry, RemoveStrut):
        if site.struts.pop(entry.name, None) is None:
            yield Breach(("name",), f"no strut called {entry.name} stands in this stage")
        return
    if entry.name in site.struts:
        yield Breach(("name",), f"a strut called {entry.name} stands already")
    if not site.level - TOLERANCE <= entry.level <= top + TOLERANCE:
        yield Breach(
            ("level",), "a strut is installed in the open cut",
            f"{say.length(site.level)} to {say.length(top)} in this stage",
        )  # fmt: skip
    site.struts[entry.name] = entry.level


@rule
def stages_name_surcharges(
    stages: tuple[StageEntry, ...], surcharges: tuple[Surcharge, ...]
) -> Iterator[Breach]:
    """Require that surcharges that come and go are those of the section, each in its turn."""
    names = [s.name for s in surcharges]
    entries = [
        (i, e) for i, e in enumerate(stages) if isinstance(e, AddSurcharge | RemoveSurcharge)
    ]
    acting = {n for n in names if not _added_first(n, [e for _, e in entries])}
    for i, entry in entries:
        where = ("stages", i, "name")
        if entry.name not in names:
            yield Breach(where, "there is no such surcharge", ", ".join(names) or "none is given")
        elif isinstance(entry, AddSurcharge):
            if entry.name in acting:
                yield Breach(where, f"{entry.name} acts already")
            acting.add(entry.name)
        else:
            if entry.name not in acting:
                yield Breach(where, f"{entry.name} is gone already")
            acting.discard(entry.name)


def _added_first(name: str, entries: list[AddSurcharge | RemoveSurcharge]) -> bool:
    """Say whether a surcharge is added before it is removed: then it is absent at the start."""
    first = next((e for e in entries if e.name == name), None)
    return isinstance(first, AddSurcharge)


@rule
def stages_name_strata(
    stages: tuple[StageEntry, ...], strata: tuple[Stratum, ...]
) -> Iterator[Breach]:
    """Require that strata that drain exist, and have a drained strength."""
    known = {s.name: s for s in strata}
    for i, entry in enumerate(stages):
        if not isinstance(entry, Drained):
            continue
        where = ("stages", i, "strata")
        for j, name in enumerate(entry.strata):
            if name not in known:
                yield Breach((*where, j), "there is no such stratum", ", ".join(known))
        for j, name in twice(list(entry.strata)):
            yield Breach((*where, j), f"{name} stands here twice")
        for name in entry.strata or known:
            stratum = known.get(name)
            if stratum is not None and stratum.friction_angle is None and not stratum.cohesion:
                yield Breach(
                    ("stages", i), f"{name} has no drained strength to go over to",
                    "friction_angle (and cohesion) of the stratum",
                )  # fmt: skip


@rule
def stages_change_water(stages: tuple[StageEntry, ...], top: float, say: Say) -> Iterator[Breach]:
    """Require that water that changes stays within the ground, and higher behind the wall."""
    for i, entry in enumerate(stages):
        if not isinstance(entry, ChangeWater):
            continue
        where = ("stages", i)
        if entry.retained is None and entry.cut is None:
            yield Breach(where, "this stage does nothing", "retained, cut, or both")
        for key in ("retained", "cut"):
            level = getattr(entry, key)
            if level is not None and level > top + TOLERANCE:
                yield Breach(
                    (*where, key), "the water level is above the ground behind the wall",
                    f"at most {say.length(top)}",
                )  # fmt: skip
