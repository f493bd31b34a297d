"""The minutes at which holds are read, as the rules print them, and after re-grouting."""

from __future__ import annotations

from dataclasses import replace

from backstay.basis import Factor
from backstay.cite import common_practice
from backstay.stressing.rules import EnLoading, UsLoading
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from tests.unit.stressing.invented import anchor

_INVENTED = common_practice("an invented hold")


def test_the_minutes_of_us_practice() -> None:
    """FHWA-IF-99-015, section 7.4, from memory; the hold at the test load by a published plan sheet."""
    loading = US_RULES.loading
    assert isinstance(loading, UsLoading)
    assert loading.readings.minutes == (1, 2, 3, 4, 5, 6, 10)
    assert loading.readings_extended.minutes == (15, 20, 25, 30, 45, 60)
    assert loading.creep_readings.minutes == (
        1, 2, 3, 4, 5, 6, 10, 15, 20, 25, 30, 45, 60, 75, 90, 100, 120, 150, 180, 210, 240, 270, 300
    )  # fmt: skip


def test_the_minutes_of_european_practice() -> None:
    """EN ISO 22477-5, readings of movement; BS 8081:1989, 11.4, of the load; both from memory."""
    loading = EN_RULES.loading
    assert isinstance(loading, EnLoading)
    assert loading.readings.minutes == (
        1, 2, 3, 4, 5, 7, 10, 15, 20, 30, 45, 60, 90, 120, 180, 240, 300, 360
    )  # fmt: skip
    assert loading.loss_readings.minutes == (5, 15, 50, 150, 500, 1500, 5000, 15000)


def test_after_regrouting_a_hold_is_that_of_the_limit_and_goes_on_as_long_as_the_rules_say() -> (
    None
):
    """Creep counts to 60 minutes; rules that hold on to 90 do so after re-grouting as well."""
    loading = US_RULES.loading
    assert isinstance(loading, UsLoading)
    minutes = (*loading.readings_extended.minutes, 75.0, 90.0)
    long = replace(
        US_RULES,
        loading=replace(
            loading, hold=Factor(10.0, _INVENTED), hold_extended=Factor(90.0, _INVENTED),
            readings_extended=replace(loading.readings_extended, minutes=minutes),
        ),
    )  # fmt: skip
    top = max(procedure_of("proof", anchor(regrouted=1), 1.33, long).steps, key=lambda s: s.hold)
    assert (top.hold, top.extended) == (60.0, (75.0, 90.0))
    short = replace(US_RULES, loading=replace(loading, hold_extended=Factor(30.0, _INVENTED)))
    top = max(procedure_of("proof", anchor(regrouted=1), 1.33, short).steps, key=lambda s: s.hold)
    assert (top.hold, top.extended) == (60.0, ())
