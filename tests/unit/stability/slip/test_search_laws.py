"""Laws of the search: likeness of slopes, slopes under water, slides under the foot of a wall."""

from __future__ import annotations

import numpy as np
import pytest

from backstay.stability.slip import SearchOptions, SlipModel, search, search_circles
from backstay.stability.slip.ground_frame import frame
from backstay.stability.slip.model import ShearForce
from backstay.stability.slip.shapes import bent_wedges


def growing(H: float) -> SlipModel:
    """Return clay whose strength is nil at the crest and grows by 6 kPa/m, 45 degrees steep."""
    return SlipModel(
        surface=np.array([(-4.0 * H, 0.0), (0.0, 0.0), (H, H), (5.0 * H, H)]),
        gamma=np.array([18.0]), phi=np.zeros(1), c=np.zeros(1), su=np.array([1e-9]),
        su_gradient=np.array([6.0]), su_datum=np.array([H]),
    )  # fmt: skip


def test_strength_that_grows_with_depth_knows_no_height() -> None:
    """Gibson and Morgenstern 1962: F = N rho / gamma, the same for every height."""
    low, high = (search_circles(growing(H)).critical for H in (4.0, 12.0))
    assert low is not None
    assert high is not None
    assert high.F == pytest.approx(low.F, rel=1e-4)


def test_a_slope_under_water_is_a_slope_of_less_weight() -> None:
    surface = np.array([(-30.0, 0.0), (0.0, 0.0), (20.0, 10.0), (60.0, 10.0)])
    one = {"phi": np.radians([22.0]), "c": np.array([5.0]), "surface": surface}
    level = np.array([(-30.0, 14.0), (60.0, 14.0)])
    wet = search_circles(SlipModel(gamma=np.array([20.0]), water=level, **one)).critical
    dry = search_circles(SlipModel(gamma=np.array([20.0 - 9.81]), **one)).critical
    assert wet is not None
    assert dry is not None
    assert wet.F == pytest.approx(dry.F, rel=1e-4)


def wall() -> SlipModel:
    """Return sand behind a vertical face, with a wall 3 m below its foot."""
    return SlipModel(
        surface=np.array([(-40.0, -8.0), (0.0, -8.0), (0.0, 0.0), (60.0, 0.0)]),
        gamma=np.array([18.0]), phi=np.radians([34.0]), c=np.array([4.0]),
        piles=(ShearForce(x=0.0, top=-8.0, bottom=-11.0, capacity=150.0),),
    )  # fmt: skip


def test_bent_wedges_bend_below_the_foot_of_a_face_and_just_below_its_wall() -> None:
    seen = frame(wall(), SearchOptions())
    exits, entries = seen.ground.exits(24), seen.ground.entries(24)
    family = bent_wedges(seen, exits, entries)
    assert family is not None
    assert np.isclose(family.axes[2], 3.0, atol=0.02).any()
    place = np.array([[exits[0], entries[-1], 3.1, 0.5, 0.6]])
    (points,) = family.build(place)
    assert points[1] == pytest.approx((0.0, -11.1), abs=0.02)
    assert (np.diff(points[:, 0]) > 0.0).all()
    slope = np.array([(-30.0, 0.0), (0.0, 0.0), (20.0, 10.0), (60.0, 10.0)])
    plain = SlipModel(surface=slope, gamma=np.ones(1) * 18.0, phi=np.ones(1) * 0.4, c=np.zeros(1))
    assert bent_wedges(frame(plain, SearchOptions()), exits, entries) is None


def test_a_wall_in_sand_slides_as_wedges_before_it_turns() -> None:
    """Coulomb's and Rankine's wedges are mechanisms of sand; a circle is not, and has more safety."""
    found = search(wall(), options=SearchOptions(exits=(-40.0, -0.01)))
    circle = found.of("circle")
    assert found.critical is not None
    assert circle is not None
    assert found.critical.kind in ("wedge", "general")
    assert found.critical.F < 0.97 * circle.F
