"""What a person who brings something has not told: words for any way of bringing it.

A command or a page that asks for it under a name of its own adds that name.
"""

from __future__ import annotations

from backstay.records.refusal import RefusedError

NO_DAY = "the day of the test is not told: say when the test began, or write the day here too"
NO_ANCHOR = "which anchor these readings are of is not told"
AN_ANCHOR = "an anchor named for all of them, or a column Anchor"


class TestGoesOnError(RefusedError):
    """A verdict is asked for on a test that is not said to be over."""

    __test__ = False
