"""How each role is drawn: line type and width, hatch, painting order. No colours.

Line types and widths follow ISO 128-2: dash lengths are multiples of the line
width d, widths are of the series 0.13, 0.18, 0.25, 0.35, 0.5, 0.7 mm (the
multiples are from memory of the standard's table, not checked against a copy).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, IntEnum

from core.drawing.records import Role

__all__ = ["LINEWORK", "Hatch", "Layer", "LineType", "Linework"]


class LineType(Enum):
    """A line type of ISO 128-2."""

    CONTINUOUS = "continuous"
    DASHED = "dashed"
    CHAIN = "chain"
    DOUBLE_CHAIN = "double-chain"
    DOTTED = "dotted"

    def pattern(self, width: float) -> tuple[float, ...]:
        """Return dash and gap lengths for a line width, in the width's unit."""
        return tuple(part * width for part in _DASHES[self])


# dash, gap, dash, gap ... in line widths [-]; an enum of tuples would take an empty
# one for no value at all on the Python 3.11.2 of Debian 12
_DASHES: Mapping[LineType, tuple[float, ...]] = {
    LineType.CONTINUOUS: (),
    LineType.DASHED: (12.0, 3.0),
    LineType.CHAIN: (24.0, 3.0, 0.5, 3.0),
    LineType.DOUBLE_CHAIN: (24.0, 3.0, 0.5, 3.0, 0.5, 3.0),
    LineType.DOTTED: (0.5, 3.0),
}


class Layer(IntEnum):
    """Painting order, lowest first."""

    GROUND = 0
    MAP = 1
    FLOOR = 2
    FAR = 3
    BAND = 4
    SEEN = 5
    CUT = 6
    RUN = 7
    HOIST = 8
    FINDING = 9
    NOTE = 10
    HANDLE = 11


@dataclass(frozen=True, slots=True, kw_only=True)
class Hatch:
    """Parallel lines on a face: spacing and width [mm], angles [deg]."""

    spacing: float
    angles: tuple[float, ...] = (45.0,)
    width: float = 0.13


@dataclass(frozen=True, slots=True, kw_only=True)
class Linework:
    """The line, hatch and order of one role.

    `outline` False leaves the edge of a face undrawn; `tint` is the share of the
    role's ink in a face's ground [-].
    """

    width: float
    layer: Layer
    line: LineType = LineType.CONTINUOUS
    hatch: Hatch | None = None
    tint: float = 0.0
    outline: bool = True


_THIN, _MEDIUM, _THICK = 0.18, 0.25, 0.5
_FINE = 0.13

LINEWORK: Mapping[Role, Linework] = {
    Role.ROOM_CUT: Linework(
        width=_THICK, layer=Layer.CUT, hatch=Hatch(spacing=1.5), tint=0.08
    ),
    Role.ROOM_SEEN: Linework(width=_THIN, layer=Layer.GROUND),
    Role.HIDDEN: Linework(width=_THIN, layer=Layer.FLOOR, line=LineType.DASHED),
    Role.STRIP: Linework(width=_FINE, layer=Layer.GROUND, line=LineType.CHAIN),
    Role.PEN: Linework(width=_MEDIUM, layer=Layer.FLOOR),
    Role.ALLEY: Linework(width=_THIN, layer=Layer.GROUND, tint=0.05, outline=False),
    Role.TRUSS: Linework(width=_THIN, layer=Layer.FLOOR, line=LineType.DASHED),
    Role.FIXTURE_CUT: Linework(
        width=_THICK,
        layer=Layer.CUT,
        hatch=Hatch(spacing=1.0, angles=(-45.0,)),
        tint=0.10,
    ),
    Role.FIXTURE_SEEN: Linework(width=_MEDIUM, layer=Layer.SEEN, tint=0.06),
    Role.FIXTURE_FAR: Linework(width=_FINE, layer=Layer.FAR, tint=0.02),
    Role.MOVING: Linework(
        width=_FINE, layer=Layer.SEEN, line=LineType.DOUBLE_CHAIN, tint=0.02
    ),
    Role.FREE_SPACE: Linework(
        width=_FINE,
        layer=Layer.MAP,
        hatch=Hatch(spacing=2.5, angles=(45.0,)),
        tint=0.06,
        outline=False,
    ),
    Role.LANE: Linework(width=_FINE, layer=Layer.GROUND, line=LineType.DASHED),
    Role.SWEPT: Linework(width=_FINE, layer=Layer.BAND, tint=0.08, outline=False),
    Role.ENVELOPE: Linework(
        width=_FINE, layer=Layer.BAND, line=LineType.DOTTED, tint=0.05
    ),
    Role.BLOCKED: Linework(
        width=_MEDIUM,
        layer=Layer.BAND,
        hatch=Hatch(spacing=1.2, angles=(45.0,), width=0.18),
        tint=0.10,
    ),
    Role.RUN: Linework(width=_THICK, layer=Layer.RUN, tint=0.9),
    Role.RUN_END: Linework(width=_THIN, layer=Layer.RUN, line=LineType.DOUBLE_CHAIN),
    Role.POINT: Linework(width=_FINE, layer=Layer.RUN),
    Role.SUPPORT: Linework(width=_MEDIUM, layer=Layer.HOIST),
    Role.ROPE: Linework(width=_THIN, layer=Layer.HOIST),
    Role.CABLE: Linework(width=_MEDIUM, layer=Layer.HOIST),
    Role.HOIST: Linework(width=_MEDIUM, layer=Layer.HOIST, tint=0.15),
    Role.LEAD: Linework(width=0.35, layer=Layer.HOIST),
    Role.ELECTRICAL: Linework(width=_MEDIUM, layer=Layer.HOIST, tint=0.15),
    Role.AXIS: Linework(width=_THIN, layer=Layer.SEEN, line=LineType.CHAIN),
    Role.FINDING: Linework(
        width=_MEDIUM,
        layer=Layer.FINDING,
        hatch=Hatch(spacing=0.9, angles=(45.0, -45.0), width=0.18),
        tint=0.15,
    ),
    Role.WITNESS: Linework(width=0.35, layer=Layer.FINDING),
    Role.DIMENSION: Linework(width=_THIN, layer=Layer.NOTE),
    Role.LABEL: Linework(width=_THIN, layer=Layer.NOTE),
    Role.SECTION_MARK: Linework(width=0.7, layer=Layer.NOTE, line=LineType.CHAIN),
    Role.EYE: Linework(width=_MEDIUM, layer=Layer.NOTE),
    Role.GUIDE: Linework(width=_THIN, layer=Layer.NOTE, line=LineType.CHAIN),
    Role.HANDLE: Linework(width=_MEDIUM, layer=Layer.HANDLE),
    Role.REFUSAL: Linework(width=0.35, layer=Layer.HANDLE),
}
