"""Every fault of a record of a load test, gathered in the order in which it matters.

Danger first, then what is refused, then what keeps the anchor from being accepted, then the rest.
Wrong names of anchors are found before there is a record: when readings are brought in.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from difflib import get_close_matches

from backstay.stressing.findings import Finding, refused


def by_weight(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings with danger first, then refused, then those that withhold acceptance."""
    return tuple(
        sorted(
            dict.fromkeys(findings),
            key=lambda f: (not f.stop, f.consequence != "refused", not f.withholds),
        )
    )


def anchor_faults(named: Sequence[str], register: Collection[str]) -> tuple[Finding, ...]:
    """Return what is wrong with the anchors that a table of readings names.

    named: the anchor of each record in the table; register: identities of the wall, as often as
    they stand there. Refused: a name that the register does not have, a name that stands twice in
    the register, and an anchor with two records in one table.
    """
    found = []
    known = Counter(register)
    for name in dict.fromkeys(named):
        if name not in known:
            near = get_close_matches(name, list(known), n=3, cutoff=0.6)
            meant = f"; did you mean {', '.join(near)}?" if near else ""
            found.append(
                refused(
                    "unknown anchor", f"the register has no anchor {name!r}{meant}",
                    "correct the name, or put the anchor in the register first",
                )
            )  # fmt: skip
        elif known[name] > 1:
            found.append(
                refused(
                    "duplicate anchor", f"the register has {known[name]} anchors {name!r}",
                    "give each anchor a name of its own",
                )
            )  # fmt: skip
    for name, times in Counter(named).items():
        if times > 1:
            found.append(
                refused(
                    "duplicate anchor", f"{times} records of one table are of anchor {name!r}",
                    "correct the name, or bring in the tests of one anchor one after the other",
                )
            )  # fmt: skip
    return tuple(found)
