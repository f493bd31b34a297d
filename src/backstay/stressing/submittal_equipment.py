"""Jack, gauge, dials and set-up of a submittal, held against the loads that the anchors need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from backstay.anchors.lock_off import draw_in_loss, jacking_load
from backstay.basis import Factor
from backstay.checks import Check, Sense
from backstay.cite import GEC4, Citation, common_practice
from backstay.errors import DesignError
from backstay.model.project import Service
from backstay.model.submittal import Submittal, SubmittedCalibration, SubmittedJack, SubmittedTest
from backstay.quantity import QUANTITIES, Force, GaugePressure, Percent, SectionArea, SmallLength
from backstay.stressing.dial_resets import greatest_elastic_change
from backstay.stressing.jack import Calibration, CalibrationPoint, Jack
from backstay.stressing.loads import tendon_limit
from backstay.stressing.lock_off import usual_kind
from backstay.stressing.plan import AnchorIdentity, anchor_to_test
from backstay.stressing.rules import TestRules
from backstay.stressing.submittal_anchors import Offered
from backstay.stressing.submittal_items import Item, Missing, Weight
from backstay.trace import Step, formula, trace

GAUGE_LEAST = Factor(
    0.50,
    Citation(GEC4, "specification: range of the gauge at most twice the test pressure", "memory"),
)
GAUGE_GREATEST = Factor(0.90, common_practice("a gauge is read up to 90 % of its scale"))
MARGIN = Factor(0.025, common_practice("25 mm of stroke for slack, draw-in and settling"))
STROKE = Citation("UFGS 02490", "3.1.4, ram travel not less than the elongation", "published")
_RAM = Citation("statics", "pressure on the ram, friction left out", "formula")
_INDEPENDENT = Citation("UFGS 02490", "3.1.3, dials on an independent reference", "published")
_UNIT = common_practice("jack and gauge are calibrated together, and covered up to the test load")


@formula("p", _RAM)
def nominal_pressure(P: Force, A_r: SectionArea) -> GaugePressure:
    """Gauge pressure of a load by the area of the ram.

    P: load; A_r: area of the ram
    """
    return P / A_r


@formula("r_p", Citation("definition", "test pressure over the range of the gauge", "formula"))
def share_of_scale(p: GaugePressure, p_max: GaugePressure) -> Percent:
    """Pressure at the test load as a share of the scale.

    p: gauge pressure at the test load; p_max: end of the scale
    """
    return p / p_max


@formula("s_j", Citation("definition", "stroke with margin", "formula"))
def stroke_with_margin(delta_max: SmallLength, s_m: SmallLength) -> SmallLength:
    """Stroke with a margin for slack, draw-in and settling.

    delta_max: elastic movement if the whole tendon were free; s_m: margin
    """
    return delta_max + s_m


def equipment_items(
    submittal: Submittal,
    offered: Sequence[Offered],
    rules: TestRules,
    service: Service,
    on: date | None,
) -> tuple[list[Item], list[Missing]]:
    """Return the checks of jack, gauge and test set-up, and what of them is not submitted yet.

    on: day on which testing begins, where the submittal does not say it.
    """
    items: list[Item] = []
    missing: list[Missing] = []
    jack, test = submittal.jack, submittal.test
    if test is None:
        what = "test set-up: test load, alignment load, dials and what carries them"
        missing.append(
            Missing(what=what, by="before the first test", cite=rules.dial_graduation.cite)
        )
    else:
        items += _set_up(test, rules)
    if rules.proof_stress is not None:
        items += [_tendon_limit(submittal, one, rules, service) for one in offered]
    if jack is None:
        what = (
            "jack and gauge: area of the ram, capacity, stroke, range and graduation of the gauge"
        )
        missing.append(
            Missing(what=what, by="before the first test", cite=rules.gauge_accuracy.cite)
        )
        return items, missing
    day = test.first_test if test is not None else on
    if jack.calibration is None:
        what = "certificate that calibrates jack and gauge together"
        missing.append(
            Missing(what=what, by="before the first test", cite=rules.calibration_life.cite)
        )
    if offered:
        worst = max(offered, key=lambda o: o.test_load)
        items += _jack(jack, worst, rules)
        items += [_stroke(jack, worst, submittal, rules), *_dials(test, worst, submittal, rules)]
        if jack.calibration is not None:
            items += _calibration(jack, jack.calibration, worst.test_load, rules, day)
    if jack.calibration is not None and day is None:
        missing.append(_first_day(jack.calibration, rules))
    return items, missing


def _tendon_limit(submittal: Submittal, one: Offered, rules: TestRules, service: Service) -> Item:
    """Return whether the tendon may carry the test load by its load at 0.1 % strain as well."""
    held = anchor_to_test(
        AnchorIdentity(submittal.part, one.anchor.row, 1), one.anchor, service, rules
    )
    paper = submittal.tendon.certificate
    if paper is not None and paper.proof_load is not None:
        held = replace(held, proof_load=one.anchor.tendon.strands * paper.proof_load)
    limit = tendon_limit(held, usual_kind(rules), rules)
    return _item(
        "revise", "tendon-limit", "Tendon at test load, by its strength and its load at 0.1 % strain",
        one.test_load, limit.load, "force", limit.clause, Sense.AT_MOST, "more strands, a larger bar",
        (), f"row {one.anchor.row}; {limit.unchecked}".rstrip("; "),
    )  # fmt: skip


def _item(
    weight: Weight,
    id: str,
    name: str,
    value: float,
    limit: float,
    quantity: str,
    cite: Citation,
    sense: Sense,
    remedy: str,
    steps: tuple[Step, ...] = (),
    note: str = "",
) -> Item:
    """Return an item whose remedy is said only where its check fails."""
    check = Check(f"submittal.{id}", name, value, limit, QUANTITIES[quantity], cite, sense, "",
                  steps, "", note)  # fmt: skip
    if check.utilisation > 1 + 1e-9:
        check = Check(f"submittal.{id}", name, value, limit, QUANTITIES[quantity], cite, sense, "",
                      steps, remedy, note)  # fmt: skip
    return Item(check=check, weight=weight)


def _jack(jack: SubmittedJack, worst: Offered, rules: TestRules) -> list[Item]:
    anchor = worst.anchor
    with trace() as t:
        loss = draw_in_loss(
            anchor.tendon.area, anchor.tendon.E, anchor.draw_in, anchor.unbonded_length
        )
        jacking = jacking_load(anchor.lock_off_load, loss)
    need = max(worst.test_load, jacking)
    with trace() as g:
        pressure = nominal_pressure(worst.test_load, jack.ram_area)
        share = share_of_scale(pressure, jack.gauge_range)
    of = f"row {anchor.row}"
    return [
        _item(
            "revise", "jack-capacity", "Capacity of the jack", jack.capacity, need, "force",
            common_practice("a jack is not loaded beyond its rated capacity"), Sense.AT_LEAST,
            "a larger jack", t.steps,
            f"test load {{force:{worst.test_load:.6g}}}, at lock-off {{force:{jacking:.6g}}}, {of}",
        ),
        _item(
            "revise", "gauge-range", "Pressure at the test load, greatest share of the scale", share,
            GAUGE_GREATEST.value, "percent", GAUGE_GREATEST.cite, Sense.AT_MOST,
            "a gauge of a longer scale, or a larger jack", g.steps, of,
        ),
        _item(
            "note", "gauge-scale", "Pressure at the test load, least share of the scale", share,
            GAUGE_LEAST.value, "percent", GAUGE_LEAST.cite, Sense.AT_LEAST,
            "a gauge of a shorter scale reads the loads better", g.steps, of,
        ),
        _item(
            "revise", "gauge-graduation", "Graduation of the gauge", jack.gauge_graduation,
            rules.gauge_graduation.value, "gauge pressure", rules.gauge_graduation.cite,
            Sense.AT_MOST, "a gauge that is divided more finely",
        ),
    ]  # fmt: skip


def _elastic(worst: Offered, submittal: Submittal, rules: TestRules) -> float:
    """Return the movement if the whole tendon were free, from the alignment to the test load."""
    anchor, paper = worst.anchor, submittal.tendon.certificate
    of = worst.test_load if rules.alignment_of == "test load" else anchor.design_load
    return greatest_elastic_change(
        worst.test_load - rules.alignment_share.value * of, anchor.unbonded_length,
        anchor.bond_length, anchor.tail_length,
        anchor.tendon.strands * paper.area if paper else anchor.tendon.area,
        paper.modulus if paper else anchor.tendon.E,
    )  # fmt: skip


def _stroke(jack: SubmittedJack, worst: Offered, submittal: Submittal, rules: TestRules) -> Item:
    with trace() as t:
        needed = stroke_with_margin(_elastic(worst, submittal, rules), MARGIN.value)
    return _item(
        "revise", "jack-stroke", "Stroke of the jack", jack.stroke, needed, "small length", STROKE,
        Sense.AT_LEAST, "a jack of a longer stroke", t.steps,
        f"elongation of the whole tendon, bond included, and {MARGIN.cite.clause}",
    )  # fmt: skip


def _dials(
    test: SubmittedTest | None, worst: Offered, submittal: Submittal, rules: TestRules
) -> list[Item]:
    if test is None:
        return []
    with trace() as t:
        needed = _elastic(worst, submittal, rules)
    return [
        _item(
            "revise", "dial-travel", "Travel of the dials", test.dial_travel, needed, "small length",
            Citation("UFGS 02490", "3.1.3, dials follow the entire movement without a reset", "published"),
            Sense.AT_LEAST, "dials of a longer travel", t.steps,
        )
    ]  # fmt: skip


def _set_up(test: SubmittedTest, rules: TestRules) -> list[Item]:
    on_wall = test.reference == "on the wall"
    items = [
        _item(
            "revise", "dial-graduation", "Graduation of the dials", test.dial_graduation,
            rules.dial_graduation.value, "small length", rules.dial_graduation.cite, Sense.AT_MOST,
            "dials that are divided more finely",
        ),
        _item(
            "revise", "reference", "Dials that move with the wall", 1.0 if on_wall else 0.0, 0.0,
            "count", _INDEPENDENT, Sense.AT_MOST,
            "carry the dials on a beam that stands clear of the wall and of the jack's reaction",
        ),
    ]  # fmt: skip
    if rules.alignment_of == "design load":
        items.append(
            _item(
                "note", "alignment", "Alignment load, share of the design load",
                test.alignment_share, rules.alignment_share.value, "percent",
                rules.alignment_share.cite, Sense.AT_MOST,
                "a higher alignment load hides movement: begin at the load of the rules",
            )
        )  # fmt: skip
    return items


def _calibration(
    jack: SubmittedJack,
    paper: SubmittedCalibration,
    test_load: float,
    rules: TestRules,
    on: date | None,
) -> list[Item]:
    """Return the checks of the certificate; a line that none can stand on is one to be revised."""
    try:
        line = jack_of(jack).calibration
    except DesignError as error:
        return [
            _item(
                "revise", "calibration", "Certificates that no line can stand on", 1.0, 0.0, "count",
                _UNIT, Sense.AT_MOST, error.reason,
            )
        ]  # fmt: skip
    covered = line.load(line.greatest_pressure)
    name = f"certificate {paper.certificate}"
    items = [
        _item(
            "revise", "calibration-range", "Load up to which jack and gauge are calibrated", covered,
            test_load, "force", _UNIT, Sense.AT_LEAST, "a calibration up to the test load", (), name,
        ),
        _item(
            "revise", "calibration-scatter", "Scatter of the certificate about its line",
            line.scatter, rules.gauge_accuracy.value, "percent", rules.gauge_accuracy.cite,
            Sense.AT_MOST, "calibrate jack and gauge anew", (), name,
        ),
    ]  # fmt: skip
    if on is None:
        return items
    before = rules.calibration_before_work
    last = line.good_to(rules.calibration_life.value)
    items += [
        _item(
            "revise", "calibration-age", "Age of the calibration when testing begins, days",
            float(line.age(on)), before.value, "count", before.cite, Sense.AT_MOST,
            "calibrate jack and gauge anew before the work", (), name,
        ),
        _item(
            "revise", "calibration-issued", "Days from the first test to the certificate",
            float(max((paper.on - on).days, 0)), 0.0, "count", _UNIT, Sense.AT_MOST,
            "the certificate is issued after the day on which testing begins", (), name,
        ),
        _item(
            "revise", "calibration-life", "Days past the end of the certificate at the first test",
            float(max((on - last).days, 0)), 0.0, "count", rules.calibration_life.cite, Sense.AT_MOST,
            "a certificate that is good on the day of the tests", (),
            f"{name}, good to {last}; tests after that need a new one",
        ),
    ]  # fmt: skip
    return items


def _first_day(paper: SubmittedCalibration, rules: TestRules) -> Missing:
    """Return that the day is not known against which the age of the certificate is held."""
    most = rules.calibration_before_work
    until = date.fromordinal(min(paper.on.toordinal() + int(most.value), date.max.toordinal()))
    what = (
        f"day on which testing begins: by certificate {paper.certificate} no later than {until}, "
        f"{most.value:g} days after it"
    )
    return Missing(what=what, by="before the first test", cite=most.cite)


def jack_of(jack: SubmittedJack) -> Jack:
    """Return a submitted jack as tests use it. Raises DesignError without a sound certificate."""
    paper = jack.calibration
    if paper is None:
        raise DesignError("jack and gauge have no certificate yet", f"jack {jack.name}")
    return Jack(
        name=jack.name, gauge=jack.gauge, ram_area=jack.ram_area, capacity=jack.capacity,
        stroke=jack.stroke,
        calibration=Calibration(
            certificate=paper.certificate, on=paper.on, expires=paper.expires,
            points=tuple(CalibrationPoint(p.pressure, p.load) for p in paper.points),
        ),
    )  # fmt: skip
