"""Markers are drawn to size, but never too small to see."""

import math

import numpy as np
import pytest

from core.drawing.markers import marker_lines
from core.drawing.records import Marker, MarkerKind, Role


def _width(marker, mm):
    points = np.concatenate(marker_lines(marker, mm=mm))
    return float(np.ptp(points, axis=0).max())


def _marker(kind, **changes):
    values = {"role": Role.HOIST, "kind": kind, "at": (50.0, 20.0), "size": 6.0}
    return Marker(**(values | changes))


@pytest.mark.parametrize("kind", MarkerKind)
def test_every_kind_has_lines_at_its_place(kind):
    lines = marker_lines(_marker(kind), mm=0.01)
    assert lines
    assert np.abs(np.concatenate(lines) - (50, 20)).max() <= 6


def test_a_pulley_is_as_wide_as_it_is_and_never_thinner_than_asked():
    marker = _marker(MarkerKind.TURNING_PULLEY, least_mm=2.0)
    assert _width(marker, 0.1) == pytest.approx(6)
    assert _width(marker, 10.0) == pytest.approx(20)


def test_a_quarter_turn_swaps_the_sides():
    straight = _marker(MarkerKind.SUPPLY)
    turned = _marker(MarkerKind.SUPPLY, angle=math.pi / 2)
    a = np.ptp(marker_lines(straight, mm=0.01)[0], axis=0)
    b = np.ptp(marker_lines(turned, mm=0.01)[0], axis=0)
    assert a[::-1] == pytest.approx(b)
