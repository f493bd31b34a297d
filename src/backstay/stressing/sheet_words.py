"""What a field sheet says in words: the limits that the test is judged by, and the cautions.

Numbers stand as ``{quantity:value}`` placeholders, so that the sheet is written in either system
of units.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from backstay.cite import Citation, common_practice
from backstay.stressing.jack import Jack
from backstay.stressing.loads import TendonLimit
from backstay.stressing.procedure import Procedure
from backstay.stressing.record import TestedAnchor
from backstay.stressing.rules import CreepLimit, TestRules

_SAFETY = common_practice("safety at the jack")


@dataclass(frozen=True, slots=True)
class SheetLimit:
    """One limit: what it is of, in words with numbers, the value (None in words alone), clause."""

    name: str
    words: str
    value: float | None
    clause: Citation


def limits_of(
    anchor: TestedAnchor, procedure: Procedure, rules: TestRules, least: float, greatest: float
) -> tuple[SheetLimit, ...]:
    """Return the limits of a test; least, greatest: elastic movement at the test load (m)."""
    found = [*_elastic(procedure, rules, least, greatest)]
    if procedure.kind in ("performance", "proof"):
        found += _first_creep(anchor, procedure, rules)
    found += _rates(procedure, rules)
    return tuple(found)


def _elastic(
    procedure: Procedure, rules: TestRules, least: float, greatest: float
) -> Iterator[SheetLimit]:
    if procedure.steps[-1].up and procedure.method != "lock-off":
        what = "Total movement at the test load"
        without = "; the residual is not measured, so that the elastic movement stays unknown"
    else:
        what, without = "Elastic movement at the test load (total less residual)", ""
    yield SheetLimit(
        "least movement", f"{what}: at least {{small length:{least:.6g}}}{without}", least,
        rules.free_length_least.cite,
    )  # fmt: skip
    if not without:
        yield SheetLimit(
            "greatest movement", f"{what}: at most {{small length:{greatest:.6g}}}", greatest,
            rules.free_length_bond.cite,
        )  # fmt: skip


def _first_creep(
    anchor: TestedAnchor, procedure: Procedure, rules: TestRules
) -> Iterator[SheetLimit]:
    if anchor.regrouted and rules.creep_regrouted is not None:
        yield _creep("creep after re-grouting", rules.creep_regrouted)
        return
    last = max(procedure.steps, key=lambda step: step.hold)
    if rules.creep_first is not None:
        longer = ""
        if last.extended:
            times = ", ".join(f"{minute:g}" for minute in last.extended)
            longer = f"; if more, hold on to {last.extended[-1]:g} min and read at {times} min"
        yield _creep("creep", rules.creep_first, longer)
    if rules.creep_extended is not None and last.extended:
        yield _creep("creep of the longer hold", rules.creep_extended)


def _creep(name: str, limit: CreepLimit, more: str = "") -> SheetLimit:
    return SheetLimit(
        name,
        f"Movement from {limit.start:g} to {limit.end:g} min: at most "
        f"{{small length:{limit.movement:.6g}}}{more}",
        limit.movement, limit.cite,
    )  # fmt: skip


def _rates(procedure: Procedure, rules: TestRules) -> Iterator[SheetLimit]:
    if procedure.method == "lock-off":
        yield from _losses(rules)
        return
    if procedure.kind in ("performance", "proof"):
        yield SheetLimit(
            "creep rate", "Movement against the logarithm of time: straight or falling", None,
            rules.rate_falls,
        )  # fmt: skip
        return
    stepped = procedure.method == "stepped load"
    limit = rules.stepped_creep if stepped else rules.creep_rate
    if limit is None:
        key = "stepped_creep" if stepped else "creep_rate"
        yield SheetLimit(
            "creep rate",
            f"Movement per tenfold time: the limit is set nationally, and the project (tests.{key}) does "
            "not give it; the test can be read, and not judged",
            None, rules.rate_falls,
        )  # fmt: skip
        return
    yield SheetLimit(
        "creep rate",
        f"Movement per tenfold time in each hold: at most {{small length:{limit.value:.6g}}}",
        limit.value, limit.cite,
    )  # fmt: skip


def _losses(rules: TestRules) -> Iterator[SheetLimit]:
    if rules.load_loss is not None:
        table = ", ".join(
            f"{{percent:{share:g}}} at {minute:g} min" for minute, share in rules.load_loss.limits
        )
        yield SheetLimit(
            "load loss", f"Load lost after lock-off: at most {table}", None, rules.load_loss.cite
        )
    if rules.load_loss_rate is not None:
        yield SheetLimit(
            "load loss rate",
            f"Load lost per tenfold time: at most {{percent:{rules.load_loss_rate.value:g}}}",
            rules.load_loss_rate.value, rules.load_loss_rate.cite,
        )  # fmt: skip


def cautions_of(
    anchor: TestedAnchor,
    procedure: Procedure,
    rules: TestRules,
    jack: Jack | None,
    limit: TendonLimit,
    *,
    travel: float,
    on: date,
) -> tuple[str, ...]:
    """Return what keeps people from harm, then what keeps the test from being lost.

    travel: that the dials need (m); on: day of the test.
    """
    found = [
        "Nobody stands behind the jack, in line with the tendon or below the head while there is load "
        "on it; the area is closed off. Look at jack, hoses, couplings, wedges and bearing plate "
        "before pumping.",
        "No load before grout, concrete and welds have the strength specified, shown by tests.",
        f"Never more than {{force:{limit.load:.6g}}} on the tendon, for any reason ({limit.clause}). "
        "Bring the load up and down slowly; after a slip, a crack or a sound stop, let the load "
        "down, and ask the engineer.",
    ]
    if limit.unchecked:
        found.append(f"{limit.unchecked[0].upper()}{limit.unchecked[1:]}.")
    found.append(_clock(procedure, rules))
    found.append(
        "Pump back to the load whenever it falls during a hold, and write down the pressure with every "
        f"reading: within {{percent:{rules.load_tolerance.value:g}}} of the load of the step. By the "
        f"reference gauge the load may differ by {{percent:{rules.gauge_agreement.value:g}}} at most "
        f"({rules.gauge_agreement.cite}).",
    )
    found.append(
        f"Dials stand on a support of their own, with a travel of {{small length:{travel:.4g}}} or more: "
        "a dial set back in mid-test can cost the test. Read the movement of the wall or of what the "
        "jack bears on as well."
    )
    if jack is not None and jack.stroke < travel:
        found.append(
            f"The ram of jack {jack.name} travels {{small length:{jack.stroke:.4g}}}, and the movement may "
            f"need {{small length:{travel:.4g}}}: take up slack before the alignment load, or take "
            "another jack."
        )
    if jack is not None:
        found += _calibrated(jack, rules, on)
        lowest = jack.calibration.load(jack.calibration.least_pressure)
        if any(step.load < lowest * (1.0 - 1e-9) for step in procedure.steps):
            found.append(
                f"Below {{force:{lowest:.4g}}}, the first point of the certificate, the pressures follow "
                "from its line drawn on."
            )
    found += _lock_off_share(anchor, rules)
    found.append(
        "This sheet advises. Local codes, the contract and the engineer in responsible charge decide."
    )
    return tuple(found)


def _calibrated(jack: Jack, rules: TestRules, on: date) -> Iterator[str]:
    """Yield that the certificate may have been too old when testing began."""
    paper, most = jack.calibration, rules.calibration_before_work
    if paper.age(on) > most.value:
        yield (
            f"Certificate {paper.certificate} is {paper.age(on)} days old: the rules ask for "
            f"{most.value:g} at most when testing begins ({most.cite}). Unless testing had begun by "
            f"{paper.on + timedelta(days=most.value)}, calibrate jack and gauge anew first."
        )


def _clock(procedure: Procedure, rules: TestRules) -> str:
    if rules.clock.value == "load reached":
        return f"The time of a hold counts from when the load is reached ({rules.clock.cite})."
    shares = sorted({step.share for step in procedure.steps})
    before = f"{shares[-2]:g} of the design load" if len(shares) > 1 else "the load before"
    return (
        f"The time of the hold at the test load counts from when pumping leaves {before} "
        f"({rules.clock.cite})."
    )


def _lock_off_share(anchor: TestedAnchor, rules: TestRules) -> Iterator[str]:
    share = anchor.lock_off_load / anchor.design_load
    low, high = rules.lock_off_least, rules.lock_off_greatest
    if low is not None and share < low.value - 1e-9:
        yield f"Lock-off at {share:.3g} of the design load: usual is {low.value:g} at least ({low.cite})."
    if high is not None and share > high.value + 1e-9:
        yield f"Lock-off at {share:.3g} of the design load: usual is {high.value:g} at most ({high.cite})."
