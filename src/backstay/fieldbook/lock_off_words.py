"""What an anchor did since its lock-off, in sentences: for the screen and for the pages alike."""

from __future__ import annotations

from backstay.fieldbook.after_lock_off import AfterLockOff
from backstay.quantity import UnitSystem
from backstay.tables import comparison_words

_MINUTES_OF_DAY = 1440.0


def after_words(after: AfterLockOff) -> list[str]:
    """Return seating as measured and as predicted, and the loads with time; loads as placeholders."""
    words = []
    seated, loads = after.seated, after.loads
    if seated is not None:
        how = "read" if seated.read else "by the draw-in measured"
        words.append(
            f"{{force:{seated.load:.9g}}} was left after seating ({how}), {{force:{after.wanted:.9g}}} "
            f"wanted; seating took {{force:{seated.lost:.9g}}}, a draw-in of "
            f"{{small length:{seated.draw_in:.9g}}}, where {{force:{seated.predicted:.9g}}} was predicted"
        )
    elif not after.lifted:
        words.append(after.unseated)
    if loads is not None:
        last = loads.points[-1]
        count = "one load" if len(loads.points) == 1 else f"{len(loads.points)} loads"
        words.append(
            f"{count} read since: the last, {{force:{last.load:.9g}}}, by {last.by} "
            f"{_since(last.minute)} after the lock-off"
        )
        if loads.rate is not None:
            words.append(
                f"lost per tenfold time: {{percent:{loads.rate:.6g}}} of the load locked off, where "
                f"relaxation and creep explain {{percent:{loads.expected:.6g}}}"
            )
    return words


def fails_words(after: AfterLockOff, units: UnitSystem) -> list[str]:
    """Return what fails, with what would help."""
    return [
        f"{c.name}: {comparison_words(c, units)}" + (f": {c.remedy}" if c.remedy else "")
        for c in after.failing
    ]


def _since(minute: float) -> str:
    if minute < 120.0:
        return f"{minute:.0f} minutes"
    if minute < 2.0 * _MINUTES_OF_DAY:
        return f"{minute / 60.0:.0f} hours"
    return f"{minute / _MINUTES_OF_DAY:.0f} days"
