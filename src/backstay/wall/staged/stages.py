"""The stages of the analysis: the engineer's own, or those that follow from the rows.

Each entry changes one thing and the rest stays, so that a stage here is the whole state of the
site while the wall comes to rest: dig, water, loads, strengths, supports.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf
from typing import Literal

from backstay.ground import Profile
from backstay.model.loads import Earthquake
from backstay.model.project import Section, Service
from backstay.model.sequence import construction_stages
from backstay.model.stages import (
    AddStrut,
    AddSurcharge,
    AnchorFails,
    Backfill,
    ChangeWater,
    DestressRow,
    Drained,
    EarthquakeStage,
    Excavate,
    RemoveRow,
    RemoveStrut,
    RemoveSurcharge,
    RowFails,
    StageEntry,
    StressRow,
    WallStiffness,
)
from backstay.pressure.lateral import acts_undrained
from backstay.wall.limits import at_stage

Work = Literal["absent", "being stressed", "holding"]


@dataclass(frozen=True, slots=True)
class Support:
    """What a row or a strut does in a stage.

    load: per anchor, along it, kN (None: the lock-off load of the row); of a strut the preload,
    kN/m. one_fails: one anchor of the row is out of service in this stage.
    """

    work: Work = "absent"
    load: float | None = None
    one_fails: bool = False


@dataclass(frozen=True, slots=True)
class Strut:
    """A strut or slab: name, depth (m), stiffness (kN/m per m of wall)."""

    name: str
    z: float
    stiffness: float


@dataclass(frozen=True, slots=True)
class StageState:
    """The site in one stage.

    title: in words, elevations as placeholders; dig, water_retained, water_cut: depths (m, inf
    where there is no water); surcharges: names of those that act; undrained: of each layer of the
    profile; stiffness: factor on EI; quake: that shakes in this stage; rows, struts: what they do.
    """

    title: str
    dig: float
    water_retained: float
    water_cut: float
    surcharges: frozenset[str]
    undrained: tuple[bool, ...]
    stiffness: float
    quake: Earthquake | None
    rows: tuple[Support, ...]
    struts: tuple[Support, ...]


def stage_entries(section: Section, ground: Profile, service: Service) -> tuple[StageEntry, ...]:
    """Return the entries that are written, or those that follow from the rows.

    Derived: each dig and each row stressed, in the construction sequence; then, behind a permanent
    wall in clay, the clay drains; then the earthquake, if the section has one.
    """
    if section.stages:
        return section.stages
    derived: list[StageEntry] = []
    for stage in construction_stages(section):
        if stage.dig_to is not None:
            level = section.elevation(stage.dig_to)
            derived.append(Excavate.model_construct(kind="excavate", level=level, title=stage.note))
        if stage.stress_row is not None:
            title = stage.note if stage.dig_to is None else ""
            derived.append(
                StressRow.model_construct(
                    kind="stress row", row=stage.stress_row, load=None, title=title
                )
            )
    if service.life == "permanent" and any(
        acts_undrained(layer, "undrained") and not acts_undrained(layer, "drained")
        for layer in ground.layers
    ):
        derived.append(
            Drained.model_construct(
                kind="drained", strata=(), title="in the long term, clay drained"
            )
        )
    if section.earthquake is not None:
        derived.append(
            EarthquakeStage.model_construct(kind="earthquake", kh=None, kv=0.0, title="earthquake")
        )
    return tuple(derived)


def struts_of(section: Section) -> tuple[Strut, ...]:
    """Return the struts that any stage installs."""
    return tuple(
        Strut(e.name, section.depth(e.level), e.stiffness)
        for e in section.stages
        if isinstance(e, AddStrut)
    )


def stage_states(section: Section, ground: Profile, service: Service) -> tuple[StageState, ...]:
    """Return the state of the site in each stage, in order.

    Water in the cut follows the dig: not higher than behind the wall, not above the dig unless the
    cut is flooded, and at its own level once the dig is complete.
    """
    entries = stage_entries(section, ground, service)
    struts = struts_of(section)
    first = {e.name: e for e in reversed(entries) if isinstance(e, AddSurcharge | RemoveSurcharge)}
    state = StageState(
        title="",
        dig=0.0,
        water_retained=ground.water,
        water_cut=ground.water_cut,
        surcharges=frozenset(
            s.name for s in section.surcharges if not isinstance(first.get(s.name), AddSurcharge)
        ),
        undrained=tuple(
            layer.su is not None and acts_undrained(layer, "undrained") for layer in ground.layers
        ),
        stiffness=1.0,
        quake=None,
        rows=(Support(),) * len(section.anchors),
        struts=(Support(),) * len(struts),
    )
    found: list[StageState] = []
    written_cut: float | None = None
    for entry in entries:
        state = replace(_rested(state, section, entry, ground), quake=_quake(section, entry))
        if isinstance(entry, ChangeWater) and entry.cut is not None:
            written_cut = section.depth(entry.cut)
        cut = written_cut
        if cut is None:
            cut = _water_in_cut(replace(ground, water=state.water_retained), state.dig)
        state = replace(state, water_cut=cut, title=entry.title or _title(entry))
        found.append(state)
    return tuple(found)


def _water_in_cut(ground: Profile, dig: float) -> float:
    if dig >= ground.H - 1e-9 or ground.water == inf:
        return ground.water_cut
    return at_stage(ground, dig).water_cut


def _quake(section: Section, entry: StageEntry) -> Earthquake | None:
    if not isinstance(entry, EarthquakeStage):
        return None
    if entry.kh is None:
        return section.earthquake
    return Earthquake.model_construct(kh=entry.kh, kv=entry.kv)


def _rested(
    state: StageState,
    section: Section,
    entry: StageEntry,
    ground: Profile,
) -> StageState:
    """Return the state after an entry, from the one before, in which work has come to rest."""
    rows = [_holding(s) for s in state.rows]
    struts_now = [_holding(s) for s in state.struts]
    new = state
    match entry:
        case Excavate() | Backfill():
            new = replace(state, dig=max(0.0, section.depth(entry.level)))
        case StressRow() | DestressRow():
            rows[entry.row - 1] = Support("being stressed", entry.load)
        case RemoveRow() | RowFails():
            rows[entry.row - 1] = Support()
        case AnchorFails():
            rows[entry.row - 1] = replace(rows[entry.row - 1], one_fails=True)
        case AddSurcharge():
            new = replace(state, surcharges=state.surcharges | {entry.name})
        case RemoveSurcharge():
            new = replace(state, surcharges=state.surcharges - {entry.name})
        case ChangeWater():
            if entry.retained is not None:
                new = replace(state, water_retained=section.depth(entry.retained))
        case Drained():
            new = replace(
                state,
                undrained=tuple(
                    is_undrained
                    and (
                        (bool(entry.strata) and layer.name not in entry.strata)
                        or acts_undrained(layer, "drained")
                    )
                    for is_undrained, layer in zip(state.undrained, ground.layers, strict=True)
                ),
            )
        case AddStrut() | RemoveStrut():
            a = _strut(section, struts_now, entry)
            struts_now[a] = (
                Support("holding", entry.preload) if isinstance(entry, AddStrut) else Support()
            )
        case WallStiffness():
            new = replace(state, stiffness=entry.factor)
        case EarthquakeStage():
            pass
    return replace(new, rows=tuple(rows), struts=tuple(struts_now))


def _holding(support: Support) -> Support:
    work: Work = "holding" if support.work == "being stressed" else support.work
    return replace(support, work=work, one_fails=False)


def _strut(section: Section, now: list[Support], entry: AddStrut | RemoveStrut) -> int:
    """Return the strut that an entry is about: a name may come again after it was removed."""
    added = [e for e in section.stages if isinstance(e, AddStrut)]
    if isinstance(entry, AddStrut):
        return next(a for a, e in enumerate(added) if e is entry)
    return next(a for a, e in enumerate(added) if e.name == entry.name and now[a].work != "absent")


def _title(entry: StageEntry) -> str:
    """Return an entry in words; elevations as on drawings."""
    match entry:
        case Excavate():
            return f"excavate to elevation {{length:{entry.level:.6g}}}"
        case Backfill():
            return f"backfill to elevation {{length:{entry.level:.6g}}}"
        case StressRow():
            return f"stress row {entry.row}"
        case DestressRow():
            return f"let row {entry.row} down to {{force:{entry.load:.5g}}}"
        case RemoveRow():
            return f"remove row {entry.row}"
        case RowFails():
            return f"accident: row {entry.row} fails"
        case AnchorFails():
            return f"accident: one anchor of row {entry.row} fails"
        case AddSurcharge():
            return f"add {entry.name}"
        case RemoveSurcharge():
            return f"remove {entry.name}"
        case ChangeWater():
            levels = (("behind", entry.retained), ("in the cut", entry.cut))
            return "water " + ", ".join(
                f"{where} at elevation {{length:{level:.6g}}}"
                for where, level in levels
                if level is not None
            )
        case Drained():
            return f"drained: {', '.join(entry.strata) or 'all clay'}"
        case AddStrut():
            return f"install {entry.name}"
        case RemoveStrut():
            return f"remove {entry.name}"
        case WallStiffness():
            return f"wall stiffness times {entry.factor:g}"
        case EarthquakeStage():
            return "earthquake"
