"""Where the section across the room is cut, as a long section shows it."""

import math
from collections.abc import Iterator

import numpy as np

from core.drawing.records import (
    CUT,
    Align,
    Frame,
    Grip,
    Handle,
    Marker,
    MarkerKind,
    Polyline,
    Record,
    Role,
    Text,
)
from core.model.room import Room
from core.placement.ceiling import ceiling_top

__all__ = ["cut_mark"]

_ALONG = 0.1  # a cut within about 6 degrees of the view is no line in it [-]
_REACH = 12.0  # thick ends of the mark past floor and ceiling [in]
_LEAST = 4.0  # the same on paper or screen [mm]


def cut_mark(cut: float | None, room: Room, frame: Frame) -> Iterator[Record]:
    """Yield the cutting plane across the room, with the handle that drags it.

    A thin chain line from below the floor to above the ceiling, thick at its ends,
    with arrows the way the section looks; the handle and the letter are below the
    floor, where nothing else is.

    Parameters
    ----------
    cut : float or None
        Where the section is cut (room x), None for no section [in].
    room : Room
        The room.
    frame : Frame
        The plane of a long section.
    """
    slope = frame.right[0]
    if cut is None or abs(slope) < _ALONG:
        return
    u = (cut - frame.origin[0]) / slope
    low, high = -room.wall_thickness, ceiling_top(room) + room.wall_thickness
    ends = np.array(((u, low - _REACH), (u, high + _REACH)))
    yield Polyline(role=Role.AXIS, owner=CUT, points=ends)
    for v, turn in ((high, 0.0), (low, math.pi)):
        ahead = (slope > 0.0) == (turn == 0.0)
        arrow = MarkerKind.CUT_ARROW if ahead else MarkerKind.CUT_ARROW_BELOW
        yield _end(Role.SECTION_MARK, MarkerKind.CUT_END, u, v, turn)
        yield _end(Role.LABEL, arrow, u, v, turn)
    yield Text(
        role=Role.LABEL,
        owner=CUT,
        at=(u - 0.8 * _REACH, low - _REACH / 2),
        parts=("A",),
        size=3.5,
        across=Align.END,
    )
    yield Handle(role=Role.HANDLE, owner=CUT, grip=Grip.CUT, at=(u, low))


def _end(role: Role, kind: MarkerKind, u: float, v: float, turn: float) -> Marker:
    return Marker(
        role=role,
        owner=CUT,
        kind=kind,
        at=(u, v),
        size=_REACH,
        angle=turn,
        least_mm=_LEAST,
    )
