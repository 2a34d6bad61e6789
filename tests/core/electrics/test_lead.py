"""The free part of the lead: reach, shape, lowest point, swept space."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from core.electrics.lead import (
    lead_low_points,
    lead_reach,
    lead_shape,
    lead_shapes,
    route_length,
    sweep_lead,
)
from core.errors import ValueRangeError

place = st.tuples(*[st.floats(-200, 200)] * 3)


@given(hold=place, terminal=place, travel=st.floats(0, 120))
def test_reach_is_that_of_a_scan(hold, terminal, travel: float) -> None:
    """Second method: 2001 heights tried one after the other."""
    reach = lead_reach(hold, terminal, travel=travel)
    heights = np.linspace(0, travel, 2001)
    ends = np.asarray(terminal) + heights[:, None] * (0, 0, 1)
    straight = np.linalg.norm(ends - hold, axis=1)
    assert reach.longest == pytest.approx(straight.max())
    assert reach.shortest <= straight.min() + 1e-9
    assert reach.shortest == pytest.approx(straight.min(), abs=travel / 2000 + 1e-9)
    assert 0 <= reach.shortest_at <= travel
    assert reach.longest_at in (0, travel)
    assert reach.spare(250) == 250 - reach.longest
    assert reach.slack(250) == 250 - reach.shortest


@given(hold=place, terminal=place, more=st.floats(1e-6, 300))
def test_the_shape_has_its_ends_and_its_length(hold, terminal, more: float) -> None:
    length = math.dist(hold, terminal) + more
    points = lead_shape(hold, terminal, length=length, tolerance=1e-3)
    assert tuple(points[0]) == hold
    assert tuple(points[-1]) == terminal
    drawn = np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
    assert drawn <= length + 1e-5
    assert drawn == pytest.approx(length, rel=2e-3, abs=0.01)


@pytest.mark.oracle
@given(span=st.floats(1, 200), rise=st.floats(-100, 100), more=st.floats(0.001, 1.0))
def test_low_points_agree_with_scalar_catenary(
    span: float, rise: float, more: float
) -> None:
    """Second method: brentq for a in 2 a sinh(h / 2a) = sqrt(s^2 - v^2), then the
    lowest of 20,001 points of y(x)."""
    length = math.hypot(span, rise) * (1 + more)
    target = math.sqrt(length**2 - rise**2)
    a = brentq(lambda a: 2 * a * math.sinh(span / 2 / a) - target, span / 60, 1e5)
    middle = span / 2 - a * math.atanh(rise / length)
    x = np.linspace(0, span, 20_001)
    y = a * (np.cosh((x - middle) / a) - math.cosh(middle / a))
    assert y[-1] == pytest.approx(rise, abs=1e-5 * length)
    low = lead_low_points((0, 0, 0), [(0, span, rise)], length=length)[0]
    assert low[2] == pytest.approx(y.min(), abs=1e-5 * length)
    assert low[1] == pytest.approx(x[y.argmin()], abs=span / 1000)


@given(hold=place, terminal=place, more=st.floats(0.1, 100))
def test_no_point_of_the_shape_is_below_the_low_point(hold, terminal, more) -> None:
    length = math.dist(hold, terminal) + more
    low = lead_low_points(hold, [terminal], length=length)[0, 2]
    points = lead_shape(hold, terminal, length=length, tolerance=0.01)
    assert low - 1e-6 <= points[:, 2].min() <= low + 0.05 + 1e-6


@given(
    span=st.floats(5, 150),
    rise=st.floats(-80, 80),
    more=st.floats(0.01, 60),
    tolerance=st.floats(0.01, 0.5),
)
def test_the_polyline_stays_within_its_tolerance(
    span: float, rise: float, more: float, tolerance: float
) -> None:
    """Second method: a polyline of 4000 steps as the true curve."""
    end = (span, 0.0, rise)
    length = math.hypot(span, rise) + more
    coarse = lead_shape((0, 0, 0), end, length=length, tolerance=tolerance)
    fine = lead_shapes((0, 0, 0), [end], length=length, segments=4000)[0]
    away = [distance_to_polyline(point, coarse) for point in fine[::40]]
    assert max(away) <= tolerance * 1.05


def distance_to_polyline(point: np.ndarray, line: np.ndarray) -> float:
    start, step = line[:-1], np.diff(line, axis=0)
    share = ((point - start) * step).sum(axis=1) / (step**2).sum(axis=1)
    nearest = start + np.clip(share, 0, 1)[:, None] * step
    return float(np.linalg.norm(point - nearest, axis=1).min())


@given(
    hold=st.tuples(st.floats(0, 60), st.floats(-20, 20), st.floats(40, 110)),
    more=st.floats(0.5, 40),
    lift=st.floats(0, 1),
    hold_travel=st.sampled_from([0.0, 46.0, 20.0, 60.0]),
)
def test_the_lead_stays_within_its_swept_space(
    hold, more: float, lift: float, hold_travel: float
) -> None:
    """Second method: the shape at a lift that was not sampled."""
    terminal, travel = (0.0, 0.0, 50.0), 46.0
    straight = [
        math.dist(risen(hold, share * hold_travel), risen(terminal, share * travel))
        for share in (0, 1)
    ]
    length = max(straight) + more
    swept = sweep_lead(
        hold, terminal, travel=travel, length=length, hold_travel=hold_travel
    )
    assert swept.margin <= 0.25 + 1e-9
    ends = risen(hold, lift * hold_travel), risen(terminal, lift * travel)
    between = lead_shape(*ends, length=length, tolerance=0.001)
    after = int(np.searchsorted(swept.lifts, lift).clip(1, len(swept.lifts) - 1))
    for point in between[:: max(1, len(between) // 8)]:
        near = min(
            distance_to_polyline(point, swept.shapes[index])
            for index in (after - 1, after)
        )
        assert near <= swept.margin + 1e-3


def risen(place: tuple[float, float, float], height: float):
    return (place[0], place[1], place[2] + height)


def test_a_jumper_that_rises_with_both_runs_keeps_its_shape() -> None:
    swept = sweep_lead(
        (0, 0, 50), (120, 0, 50), travel=40, length=130, hold_travel=40, tolerance=0.5
    )
    sunk = swept.shapes[:, :, 2] - 40 * swept.lifts[:, None]
    assert np.ptp(sunk, axis=0).max() < 1e-9


def test_ends_above_each_other_hang_as_a_fold() -> None:
    points = lead_shape((0, 0, 90), (0, 0, 60), length=90)
    assert points[:, 2].min() == 30.0  # (90 + 60 - 90) / 2, by hand
    assert lead_low_points((0, 0, 90), [(0, 0, 60)], length=90)[0, 2] == 30.0


def test_a_fold_is_the_limit_of_a_narrow_catenary() -> None:
    # hand-worked: the fold of the test before
    wide = lead_low_points((0, 0, 90), [(1e-3, 0, 60)], length=90)[0, 2]
    assert wide == pytest.approx(30.0, abs=1e-2)


def test_a_straight_lead_is_straight() -> None:
    # hand-worked: 72, 96 and 120 are 3, 4 and 5 times 24
    points = lead_shape((0, 0, 0), (72, 0, 96), length=120)
    assert points[:, 2].min() == 0.0
    assert np.linalg.norm(np.diff(points, axis=0), axis=1).sum() == pytest.approx(120)


def test_a_run_that_does_not_move_sweeps_nothing() -> None:
    swept = sweep_lead((0, 0, 90), (30, 0, 60), travel=0, length=60)
    assert np.ptp(swept.shapes, axis=0).max() == 0
    assert swept.margin <= 0.0625


def test_a_lead_that_is_too_short_is_refused_with_the_length_it_needs() -> None:
    with pytest.raises(ValueRangeError, match=r"less than the 50\.00 in between"):
        lead_shape((0, 0, 0), (30, 40, 0), length=49)
    with pytest.raises(ValueRangeError, match="lengthen it"):
        sweep_lead((0, 0, 90), (24, 0, 6), travel=76, length=80)


def test_the_route_is_the_sum_of_its_legs() -> None:
    # hand-worked: 12 + 15
    assert route_length([(0, 0, 0), (0, 0, 12), (9, 12, 12)]) == 27
    assert route_length([]) == 0


@given(travel=st.floats(-100, -1e-6))
def test_travel_goes_up(travel: float) -> None:
    with pytest.raises(ValueRangeError, match="travel"):
        lead_reach((0, 0, 0), (1, 1, 1), travel=travel)
