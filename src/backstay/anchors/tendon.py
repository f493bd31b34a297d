"""The tendon: chosen from the catalogues of strand and bar, or checked as chosen.

A tendon is stressed to at most a share of its guaranteed strength: one share in service, one at
lock-off, one under test. Left open, it is the least number of strands (or the smallest bar) that
satisfies all three.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import ceil
from typing import Literal

from backstay.basis import Basis, Factor
from backstay.checks import Check, Sense
from backstay.cite import STATICS, Citation
from backstay.data import Bar, Strand, bar, bars, strand
from backstay.errors import DesignError
from backstay.model.anchors import Tendon
from backstay.quantity import QUANTITIES, Force, Ratio
from backstay.trace import Step, formula, state, trace

AUTO_STRAND = "ASTM 15.24"
"""Strand that auto takes: the usual one of anchors in the practice the basis belongs to."""
AUTO_BAR_STANDARD = "ASTM A722"
LOCK_OFF_SHARES = (0.75, 1.0)
"""Lock-off over design load that is usual (agency specifications, published quotation)."""


_STRANDS = re.compile(r"([1-9]\d{0,2}) x .*\bstrand\b")


@dataclass(frozen=True, slots=True)
class TendonChoice:
    """A tendon: product of the catalogue and number of strands (1 for a bar).

    area (m2), strength (kN) and mass (kg/m) are of the whole tendon; diameter (m) is that of one
    strand or of the bar; E in kPa.
    """

    kind: Literal["strand", "bar"]
    product: str
    strands: int
    area: float
    strength: float
    E: float
    mass: float
    diameter: float
    title: str


@formula("F_need", STATICS)
def strength_needed(
    P_d: Force, P_lo: Force, P_t: Force, r_d: Ratio, r_lo: Ratio, r_t: Ratio
) -> Force:
    """Guaranteed strength that the tendon needs.

    P_d: design load; P_lo: lock-off load; P_t: test load; r_d: share of the strength allowed at
    design load; r_lo: at lock-off; r_t: under test
    """
    return max(P_d / r_d, P_lo / r_lo, P_t / r_t)


@formula("P_all", STATICS)
def allowable_load(r: Ratio, F_pu: Force) -> Force:
    """Load allowed in the tendon.

    r: share of the guaranteed strength; F_pu: guaranteed strength of the tendon
    """
    return r * F_pu


def tendon_of(product: Strand | Bar, count: int) -> TendonChoice:
    """Return the tendon of `count` strands, or of one bar."""
    is_strand = isinstance(product, Strand)
    return TendonChoice(
        kind="strand" if is_strand else "bar",
        product=product.name,
        strands=count,
        area=count * product.area,
        strength=count * product.strength,
        E=product.modulus,
        mass=count * product.mass,
        diameter=product.diameter,
        title=_title(product, count),
    )


def _title(product: Strand | Bar, count: int) -> str:
    if isinstance(product, Strand):
        size = f"{1e3 * product.diameter:.2f}".rstrip("0").rstrip(".")
        return f"{count} x {size} mm strand, {product.standard} grade {product.grade}"
    size = product.aliases[0] if product.aliases else product.name
    return f"{size} bar, {product.standard} grade {product.grade}"


def strands_of(title: str) -> int | None:
    """Return the number of strands that a title tells; None where it is of a bar, or tells none."""
    found = _STRANDS.match(title)
    return int(found[1]) if found else None


def choose_tendon(given: Tendon, need: float, where: str) -> TendonChoice:
    """Return the tendon given, with what it leaves to choice found for a needed strength (kN).

    Raises DesignError for a product that the catalogue does not have.
    """
    try:
        if given.kind == "strand":
            product: Strand | Bar = strand(
                AUTO_STRAND if given.product == "auto" else given.product
            )
        elif given.product != "auto":
            product = bar(given.product)
        else:
            sizes = sorted(
                (b for b in bars() if b.standard == AUTO_BAR_STANDARD), key=lambda b: b.strength
            )
            product = next((b for b in sizes if b.strength >= need * (1 - 1e-9)), sizes[-1])
    except LookupError as error:
        raise DesignError(str(error.args[0]), where) from error
    if given.kind == "bar":
        if given.strands not in ("auto", 1):
            raise DesignError(f"a bar tendon is one bar, not {given.strands}", where)
        return tendon_of(product, 1)
    count = max(1, ceil(need / product.strength - 1e-9))
    return tendon_of(product, count if given.strands == "auto" else given.strands)


def tendon(
    given: Tendon,
    *,
    design_load: float,
    lock_off_load: float,
    test_load: float,
    basis: Basis,
    where: str,
) -> tuple[TendonChoice, tuple[Check, ...], tuple[Step, ...]]:
    """Return the tendon of an anchor with its checks and steps. Loads in kN per anchor."""
    limits = (basis.tendon_design_stress, basis.tendon_lock_off_stress, basis.tendon_test_stress)
    loads = (design_load, lock_off_load, test_load)
    with trace() as t:
        need = strength_needed(*loads, *(limit.value for limit in limits))
        choice = choose_tendon(given, need, where)
        auto = given.product == "auto" or (given.kind == "strand" and given.strands == "auto")
        state(
            "F_pu", f"Guaranteed strength of {choice.title}", choice.strength, "force",
            method="the least that is enough" if auto else "given", cite=_catalogue(choice),
        )  # fmt: skip
        state("A", "Area of the tendon", choice.area, "section area", cite=_catalogue(choice))
    words = ("design", "lock-off", "test")
    checks = [
        _stress_check(word, load, limit, choice, need, load / design_load, t.steps, where)
        for word, load, limit in zip(words, loads, limits, strict=True)
    ]
    if choice.kind == "strand":
        most = strand(choice.product).max_strands
        checks.append(
            Check(
                "anchor.tendon-strands", "Number of strands in one tendon", choice.strands, most,
                QUANTITIES["count"], Citation("common practice, no source", "", "common practice"),
                Sense.AT_MOST, where, t.steps,
                "place anchors closer, or add a row" if choice.strands > most else "",
                note="most strands that ordinary heads, jacks and drill holes take",
            )
        )  # fmt: skip
    return choice, tuple(checks), t.steps


def _catalogue(choice: TendonChoice) -> Citation:
    product = strand(choice.product) if choice.kind == "strand" else bar(choice.product)
    return Citation(product.source, "", product.provenance)


def _stress_check(
    word: str,
    load: float,
    limit: Factor,
    choice: TendonChoice,
    need: float,
    share: float,
    steps: tuple[Step, ...],
    where: str,
) -> Check:
    with trace() as t:
        capacity = allowable_load(limit.value, choice.strength)
    fails = load > capacity * (1 + 1e-9)
    note = f"at most {limit.value:g} of the guaranteed strength"
    low, high = LOCK_OFF_SHARES
    if word == "lock-off" and not low - 1e-9 <= share <= high + 1e-9:
        note += (
            f"; lock-off at {share:.3g} of the design load lies outside the usual {low:g} to "
            f"{high:g}: have a reason for it"
        )
    return Check(
        f"anchor.tendon-{word}-stress", f"Tendon at {word} load", load, capacity,
        QUANTITIES["force"], limit.cite, Sense.AT_MOST, where, (*steps, *t.steps),
        remedy=f"tendon of {{force:{choice.strength:.6g}}}, needs {{force:{need:.6g}}}: more "
        "strands, a larger bar, or anchors closer together" if fails else "",
        note=note,
    )  # fmt: skip
