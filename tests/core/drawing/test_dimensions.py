"""Where the lines and the text of a dimension come to lie; hand-worked."""

import math

import pytest

from core.drawing.dimensions import laid_out
from core.drawing.records import Dimension, Measure, Role


def _dimension(a, b, through, measure=Measure.ALIGNED):
    return Dimension(
        role=Role.DIMENSION, a=a, b=b, through=through, value=1.0, measure=measure
    )


def test_line_lies_through_its_point_and_text_above_it():
    layout = laid_out(_dimension((0, 0), (10, 4), (3, 20), Measure.ACROSS), mm=1.0)
    assert layout.lines[0] == ((0, 20), (10, 20))
    assert layout.text_at == pytest.approx((5, 22))  # hand-worked: 2 mm above
    assert layout.text_angle == 0


def test_extension_lines_leave_a_gap_and_pass_the_line():
    layout = laid_out(_dimension((0, 0), (10, 4), (3, 20), Measure.ACROSS), mm=1.0)
    # hand-worked: 0.8 mm off the object, 1.5 mm past the line
    assert layout.lines[1] == (pytest.approx((0, 0.8)), pytest.approx((0, 21.5)))
    assert layout.lines[2] == (pytest.approx((10, 4.8)), pytest.approx((10, 21.5)))


def test_a_point_on_the_line_needs_no_extension():
    layout = laid_out(_dimension((0, 0), (10, 0), (3, 0)), mm=1.0)
    assert len(layout.lines) == 1


@pytest.mark.parametrize(
    ("a", "b", "angle"),
    [
        ((0, 0), (0, 10), math.pi / 2),  # reads from the right
        ((0, 10), (0, 0), math.pi / 2),
        ((10, 0), (0, 0), 0.0),
        ((10, 10), (0, 0), math.pi / 4),
        ((0, 10), (10, 0), -math.pi / 4),
    ],
)
def test_text_reads_from_below_or_from_the_right(a, b, angle):
    assert laid_out(_dimension(a, b, a), mm=1.0).text_angle == pytest.approx(angle)


def test_strokes_are_oblique_and_as_long_on_paper_at_every_scale():
    for mm in (0.5, 10.0):
        layout = laid_out(_dimension((0, 0), (100, 0), (0, 0)), mm=mm)
        start, end = layout.strokes[0]
        assert math.dist(start, end) == pytest.approx(3 * mm)
        assert end[1] - start[1] == pytest.approx(end[0] - start[0])
