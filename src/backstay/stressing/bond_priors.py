"""What is held of the bond before any test: the presumptive values, and how far they may be off.

The range of the presumptive table is read as what nine sites in ten lie within; a single value of
it as one that four sites in five exceed, uncertain by a stated coefficient of variation. The
scatter of anchors on one site is another, and is itself uncertain. These are common practice,
without a source: they stand with the result, and tests soon outweigh them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from typing import TYPE_CHECKING

from backstay.anchors.bond import BondPart
from backstay.anchors.presumptive import transfer_of_stress
from backstay.basis import Factor
from backstay.cite import Citation, common_practice
from backstay.data import bond_stress, bond_transfer

if TYPE_CHECKING:
    from backstay.anchors.anchor import AnchorDesign

Group = tuple[tuple[str, ...], str]
"""Kinds of ground along the bond, in alphabetical order, and the grouting."""
SITES = Factor(
    1.6448536269514722, common_practice("the presumptive range holds for nine sites in ten")
)
"""Standard deviations of the logarithm from the middle of the range to either end."""
STATED = Factor(
    0.40, common_practice("coefficient of variation, from site to site, of a value without a range")
)
TABLED = Factor(
    0.8416212335729143,
    common_practice("four sites in five exceed a presumptive value without range"),
)
"""Standard deviations of the logarithm from such a value of a table to the middle."""
SCATTER = Factor(0.25, common_practice("coefficient of variation of the bond on one site"))
SCATTER_SPREAD = Factor(0.30, common_practice("coefficient of variation of that scatter itself"))


@dataclass(frozen=True, slots=True, kw_only=True)
class BondPrior:
    """What is held of the bond before tests: of the natural logarithm of the stress in kPa.

    mean, spread: of its mean from site to site; scatter: its deviation on one site, uncertain by
    the share `scatter_spread` (nil: held to be known); source: in words; cite: of the value.
    """

    mean: float
    spread: float
    scatter: float
    scatter_spread: float
    source: str
    cite: Citation

    @property
    def median(self) -> float:
        """Return the median bond stress (kPa)."""
        return exp(self.mean)


def deviation_of(variation: float) -> float:
    """Return the deviation of the logarithm of a lognormal value by its coefficient of variation."""
    return sqrt(log(1.0 + variation**2))


def prior_of_range(
    low: float, high: float, source: str, cite: Citation, *, scatter: Factor = SCATTER
) -> BondPrior:
    """Return the prior of a presumptive range of bond stress (kPa)."""
    return BondPrior(
        mean=0.5 * log(low * high), spread=0.5 * log(high / low) / SITES.value,
        scatter=deviation_of(scatter.value), scatter_spread=SCATTER_SPREAD.value,
        source=f"{source}; {SITES.cite.clause}; {scatter.cite.clause}: {{percent:{scatter.value:g}}}",
        cite=cite,
    )  # fmt: skip


def prior_of_value(
    stress: float, source: str, cite: Citation, *, tabled: bool, scatter: Factor = SCATTER
) -> BondPrior:
    """Return the prior of a single value of bond stress (kPa).

    tabled: of a presumptive table, on the safe side; else stated for the site, taken as the middle.
    """
    spread = deviation_of(STATED.value)
    said = f"{source}; {TABLED.cite.clause}" if tabled else source
    return BondPrior(
        mean=log(stress) + (TABLED.value * spread if tabled else 0.0), spread=spread,
        scatter=deviation_of(scatter.value), scatter_spread=SCATTER_SPREAD.value,
        source=f"{said}; {STATED.cite.clause}: {{percent:{STATED.value:g}}}; {scatter.cite.clause}: "
        f"{{percent:{scatter.value:g}}}", cite=cite,
    )  # fmt: skip


def prior_of_part(part: BondPart, hole: float, *, scatter: Factor = SCATTER) -> BondPrior:
    """Return the prior of the bond in a stratum that a bond zone crosses, in a hole (m).

    The row of the tables that the design took is looked up for its range; a row without a range,
    or a value that the engineer states, stands alone.
    """
    name, value = part.cite.clause, part.transfer / transfer_of_stress(1.0, hole)
    for row in bond_stress():
        if row.name == name and abs(row.low - value) <= 1e-6 * value:
            return prior_of_range(row.low, row.high, f'"{name}"', part.cite, scatter=scatter)
    known = any(row.name == name and row.transfer == part.transfer for row in bond_transfer())
    source = f'"{name}"' if known else part.source
    return prior_of_value(value, source, part.cite, tabled=known, scatter=scatter)


def priors_of(
    anchors: Sequence[AnchorDesign], *, scatter: Factor = SCATTER
) -> dict[Group, BondPrior]:
    """Return the prior of every ground and grouting that a design has.

    A bond zone through several strata has the mean of their values by length, and is uncertain as
    the most uncertain of them.
    """
    found: dict[Group, BondPrior] = {}
    for anchor in anchors:
        key = (tuple(sorted(anchor.bond_kinds)), anchor.grouting)
        need = next((r for r in anchor.bond_required if r.grouting == anchor.grouting), None)
        if key in found or need is None:
            continue
        each = [prior_of_part(p, anchor.hole_diameter, scatter=scatter) for p in need.parts]
        whole = sum(p.length for p in need.parts)
        middle = sum(
            prior.median * p.length / whole for prior, p in zip(each, need.parts, strict=True)
        )
        widest = max(each, key=lambda prior: prior.spread)
        found[key] = BondPrior(
            mean=log(middle), spread=widest.spread, scatter=widest.scatter,
            scatter_spread=widest.scatter_spread,
            source="; ".join(dict.fromkeys(prior.source for prior in each)), cite=widest.cite,
        )  # fmt: skip
    return found
