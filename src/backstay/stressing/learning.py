"""What the tests teach of the bond, ground by ground and grouting by grouting.

The least that is known (no test failed below it), the distribution where enough anchors failed to
tell one, and what is held of the bond once the tests are laid upon the presumptive values. From
that follows a value that the engineer may state for the stratum in place of the table's; however
much is believed, it is no more than a test has held.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf

from backstay.basis import Factor
from backstay.cite import common_practice
from backstay.errors import DesignError
from backstay.stressing.bond_priors import BondPrior, Group
from backstay.stressing.bond_tests import BondTest, by_ground_and_grouting
from backstay.stressing.bond_update import BondBelief, believed
from backstay.stressing.censored import LognormalFit, lognormal_fit

BELIEF = Factor(
    0.95, common_practice("a value that the median bond is believed to exceed with 95 percent")
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lesson:
    """What the tests in one ground and grouting teach. Stresses in kPa, transfers in kN/m.

    least_held, most_held: of the tests; least_failed: None where none failed; transfer_held: least
    and most, per length; shortest, longest: bond lengths tested (m). fit: distribution by the
    tests alone, None where `no_fit` says why not; before, after: what is held of the bond without
    and with the tests, None without a prior; value: average bond stress that may be stated, never more
    than a test has held.
    """

    ground: tuple[str, ...]
    grouting: str
    tests: tuple[BondTest, ...]
    failures: int
    least_held: float
    most_held: float
    least_failed: float | None
    transfer_held: tuple[float, float]
    shortest: float
    longest: float
    fit: LognormalFit | None
    no_fit: str
    before: BondBelief | None
    after: BondBelief | None
    value: float | None

    @property
    def bounds(self) -> int:
        """Return how many tests are lower bounds and no more."""
        return len(self.tests) - self.failures

    @property
    def words(self) -> str:
        """Return the lesson in words, with placeholders."""
        number = len(self.tests)
        said = [
            f"{number} test{'s' * (number > 1)} in {' and '.join(self.ground)}, {self.grouting}: "
            f"{{bond stress:{self.least_held:.9g}}} to {{bond stress:{self.most_held:.9g}}} held, "
            f"{{force per length:{self.transfer_held[0]:.9g}}} to "
            f"{{force per length:{self.transfer_held[1]:.9g}}}"
        ]
        if self.failures:
            said.append(f"{self.failures} failed in the bond")
        else:
            said.append("none failed: these are lower bounds, the bond may be much better")
        if self.fit is not None:
            said.append(
                f"median {{bond stress:{self.fit.median:.9g}}}, coefficient of variation "
                f"{{percent:{self.fit.variation:.6g}}} by the tests alone"
            )
        elif self.failures:
            said.append(self.no_fit)
        if self.before is not None and self.after is not None:
            said.append(
                f"median held to be {{bond stress:{self.before.median():.9g}}} before and "
                f"{{bond stress:{self.after.median():.9g}}} after, between "
                f"{{bond stress:{self.after.median(0.05):.9g}}} and "
                f"{{bond stress:{self.after.median(0.95):.9g}}} (nine in ten)"
            )
        if self.value is not None:
            said.append(
                f"on these tests the engineer may state {{bond stress:{self.value:.9g}}}, for bonds as "
                f"long as those tested (up to {{length:{self.longest:.6g}}}): the average falls with length"
            )
        return "; ".join(said)


def lessons(
    tests: Sequence[BondTest], priors: Mapping[Group, BondPrior], *, belief: Factor = BELIEF
) -> tuple[Lesson, ...]:
    """Return what the tests teach, by ground and grouting, most tests first.

    priors: what is held of the bond before, where anything is; belief: with which the value that
    may be stated is exceeded by the median bond.
    """
    found = [
        lesson(group, members, priors.get(group), belief=belief)
        for group, members in by_ground_and_grouting(tests).items()
    ]
    return tuple(sorted(found, key=lambda x: (-len(x.tests), x.ground, x.grouting)))


def lesson(
    group: Group, tests: Sequence[BondTest], prior: BondPrior | None, *, belief: Factor = BELIEF
) -> Lesson:
    """Return what the tests of one group teach."""
    ground, grouting = group
    stresses = [t.stress for t in tests]
    held = [low for low, _ in stresses]
    failed = [high for _, high in stresses if high < inf]
    fit, no_fit = None, ""
    try:
        fit = lognormal_fit(stresses)
    except DesignError as error:
        no_fit = error.reason
    before = after = None
    if prior is not None:
        before, after = believed(prior), believed(prior, stresses)
    return Lesson(
        ground=ground, grouting=grouting, tests=tuple(tests), failures=len(failed),
        least_held=min(held), most_held=max(held), least_failed=min(failed, default=None),
        transfer_held=(min(t.transfer[0] for t in tests), max(t.transfer[0] for t in tests)),
        shortest=min(t.bond_length for t in tests), longest=max(t.bond_length for t in tests),
        fit=fit, no_fit=no_fit, before=before, after=after,
        value=None if after is None else min(after.median(1.0 - belief.value), max(held)),
    )  # fmt: skip
