"""The least safe surface of a search, put into a derivation."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from backstay.stability.slip.result import Method
from backstay.stability.slip.search_result import Minimum, SearchResult
from backstay.trace import remark, state

METHOD_NAMES: dict[Method, str] = {
    "ordinary": "ordinary slices", "bishop": "simplified Bishop", "spencer": "Spencer",
    "morgenstern-price": "Morgenstern-Price",
}  # fmt: skip


def flag_words(flags: Sequence[str]) -> str:
    """Return faults of a solution, or reasons for setting it aside, as printed."""
    return ", ".join(flags).replace("m_alpha", "m\u03b1")


def state_minimum(least: Minimum, found: SearchResult) -> None:
    """Record the least safety of a search, by what it stands on, and how well it closed."""
    result = least.result
    if result.method != found.method:
        remark(
            f"By {METHOD_NAMES[found.method]} the least safe surface has no solution: simplified Bishop "
            "stands in for it, which leaves horizontal equilibrium out."
        )
    change = f"{least.last_change:.0e}" if isfinite(least.last_change) else "not known"
    aside = (
        ", ".join(f"{n} {flag_words([why])}" for why, n in found.set_aside.items() if n) or "none"
    )
    state(
        "F", f"Least safety, {least.kind}", least.F, "ratio",
        method=f"{METHOD_NAMES[result.method]}, searched over {found.analysed} surfaces; last change of the "
        f"search {change}; left of equilibrium: force {result.residual_force:.0e} of the "
        f"weight, moment {result.residual_moment:.0e}; set aside: {aside}",
    )  # fmt: skip
