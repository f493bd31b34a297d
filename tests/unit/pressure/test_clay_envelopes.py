"""Envelopes of clay: stability number, m, the floor, a yielding base, what is refused."""

import pytest

from backstay.errors import DesignError
from backstay.ground import profile
from backstay.pressure.envelopes.envelope import Envelope
from backstay.pressure.envelopes.henkel import weak_base
from backstay.pressure.envelopes.mix import mix
from backstay.pressure.envelopes.soft_clay import soft_clay_envelope
from backstay.pressure.envelopes.stiff_clay import stiff_clay_envelope
from backstay.pressure.stability_number import find_stability_number
from backstay.trace import Computed
from tests.unit.pressure.grounds import clay, rock, sand, section


def soft(*strata: object, width: float | None = None, m: float | None = None) -> Envelope:
    ground = profile(section(*strata, width=width))  # type: ignore[arg-type]
    height = mix(ground).height
    return soft_clay_envelope(
        ground, find_stability_number(ground, height), height, m=m, width=width
    )


def used(envelope: Envelope) -> set[str]:
    return {s.formula.function.__name__ for s in envelope.steps if isinstance(s, Computed)}


def test_stability_number_averages_by_thickness() -> None:
    ground = profile(section(clay(su=20.0, gamma=17.0), clay(-4.0, su=45.0, gamma=19.0)))
    number = find_stability_number(ground, 10.0)
    assert number.gamma == pytest.approx((4 * 17 + 6 * 19) / 10)
    assert number.su == pytest.approx((4 * 20 + 6 * 45) / 10)
    assert number.value == pytest.approx(number.gamma * 10 / number.su)


def test_strength_that_grows_with_depth_counts_at_mid_height() -> None:
    ground = profile(section(clay(undrained_strength={"at_top": 10.0, "gradient": 2.0})))
    assert find_stability_number(ground, 10.0).su == pytest.approx(20.0)


def test_sand_over_clay_gives_weight_but_no_undrained_strength() -> None:
    ground = profile(section(sand(gamma=20.0), clay(-2.0, su=30.0, gamma=17.0)))
    number = find_stability_number(ground, 10.0)
    assert number.su == 30.0
    assert number.gamma == pytest.approx((2 * 20 + 8 * 17) / 10)


def test_surcharge_is_noted_beside_the_stability_number() -> None:
    loads = [{"kind": "uniform", "name": "q", "pressure": 20.0}]
    s = section(clay(), surcharges=loads)
    number = find_stability_number(profile(s), 10.0, s.surcharges)
    assert number.value == pytest.approx(7.2)
    assert number.loaded == pytest.approx(8.0)


def test_clay_without_strength_is_refused_by_name() -> None:
    bare = clay() | {"undrained_strength": None}
    with pytest.raises(DesignError, match="Clay at 0"):
        find_stability_number(profile(section(bare)), 10.0)
    with pytest.raises(DesignError, match="nil"):
        find_stability_number(profile(section(clay(su=0.0))), 10.0)


def test_stiff_clay_share_and_geometry() -> None:
    ground = profile(section(clay(su=60.0)))
    envelope = stiff_clay_envelope(find_stability_number(ground, 10.0), (2.5, 6.25), 10.0, 0.3)
    assert envelope.p == pytest.approx(0.3 * 18 * 10)
    assert envelope.total_load == pytest.approx(54.0 * (10 - 2.5 / 3 - 3.75 / 3))
    assert envelope.diagram.resultant() == pytest.approx(envelope.total_load)


def test_m_is_one_where_firm_ground_follows() -> None:
    envelope = soft(clay(), sand(-10.0))
    assert envelope.p / 180 == pytest.approx(1 - 4 * 25 / 180)
    assert envelope.total_load == pytest.approx(0.875 * envelope.p * 10)
    assert "henkel_coefficient" not in used(envelope)


def test_m_drops_to_two_fifths_over_deep_soft_clay_and_henkel_may_govern() -> None:
    # clay 5 m below subgrade: m = 0.4 gives 0.7778, Henkel with d 5 m gives 0.8488
    envelope = soft(clay(), sand(-15.0))
    assert envelope.p / 180 == pytest.approx(0.8488, abs=5e-5)
    # a narrow cut keeps the surface of failure shallow, and m = 0.4 governs
    narrow = soft(clay(), sand(-15.0), width=3.0)
    assert narrow.p / 180 == pytest.approx(0.7778, abs=5e-5)


def test_m_that_the_engineer_chose_is_taken() -> None:
    envelope = soft(clay(), sand(-10.0), m=0.6)
    assert envelope.p / 180 == pytest.approx(1 - 0.6 * 4 * 25 / 180)


def test_the_floor_governs_in_stronger_clay() -> None:
    envelope = soft(clay(su=40.0), sand(-10.0))
    assert envelope.p == pytest.approx(0.3 * 180)
    assert any("floor" in getattr(s, "text", "") for s in envelope.steps)


def test_the_worst_surface_below_subgrade_is_found() -> None:
    s = section(clay(), clay(-10.0, su=20.0), clay(-15.0, su=60.0), sand(-20.0))
    ground = profile(s)
    found = weak_base(ground, find_stability_number(ground, 10.0), None)
    assert found is not None
    assert found.d == pytest.approx(5.0)  # deeper, the strong clay would resist
    assert pytest.approx(1.0507, abs=5e-5) == found.K


def test_an_endless_weak_base_needs_the_width_of_the_cut() -> None:
    with pytest.raises(DesignError, match=r"cut\.width"):
        soft(clay(su=25.0))
    wide = soft(clay(su=25.0), width=20.0 * 2**0.5)
    narrow = soft(clay(su=25.0), width=10.0 * 2**0.5)
    assert wide.p > narrow.p


def test_a_strong_endless_base_needs_no_width() -> None:
    ground = profile(section(clay(su=25.0), clay(-10.0, su=80.0)))
    assert weak_base(ground, find_stability_number(ground, 10.0), None) is None


def test_rock_without_strength_gives_no_pressure() -> None:
    found = mix(profile(section(clay(), rock(-7.0))))
    assert found.height == 7.0
    assert found.rock_below


def test_a_cut_wholly_in_rock_without_strength_is_refused() -> None:
    with pytest.raises(DesignError, match="whole height"):
        mix(profile(section(rock())))
    with pytest.raises(DesignError, match="no wedge can pass"):
        mix(profile(section(rock(), clay(-3.0))))
    assert mix(profile(section(rock(friction_angle=40.0)))).rock == 1.0
