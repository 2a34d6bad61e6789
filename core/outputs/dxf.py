"""A drawing as DXF (R2010, inches): layers of our own, dimensions with real text.

The page of a DXF file has Y upwards. The room's y runs from the left wall to the
right as one walks in, so that a plan with x to the right has y down the page: room
(x, y, z) is written at DXF (x, -y, z). That is a right-handed frame, X along the
room, Y to the left, Z up, and nothing is mirrored. Sections are written with (u, v)
as they stand: u to the right as seen, v up.
"""

import io
import math
from collections.abc import Iterable, Iterator
from functools import singledispatch
from typing import TYPE_CHECKING

import numpy as np
from ezdxf import units
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from numpy.typing import ArrayLike

from core.drawing.linework import LINEWORK, LineType
from core.drawing.markers import marker_lines
from core.drawing.records import (
    Align,
    Arc,
    Circle,
    Dimension,
    Drawing,
    Handle,
    Marker,
    Measure,
    Polygon,
    Polyline,
    Record,
    Role,
    Sizing,
    Strokes,
    Text,
    worded,
)
from core.outputs.drilling import drill_size
from core.outputs.holes import Hole
from core.quantities import LengthStyle, format_length

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace

__all__ = ["HOLE_BLOCK", "HOLE_LAYER", "drawing_dxf", "layer_name"]

HOLE_BLOCK = "LL_HOLE"
HOLE_LAYER = "LL-HOLE"
_STYLE = "LL-TEXT"
_DIMENSIONS = "LL-DIM"
_DIMENSION_MM = 2.5
_WEIGHTS = (13, 18, 25, 35, 50, 70)  # of ISO 128, as DXF knows them [1/100 mm]
_ALIGNMENTS = {
    (Align.START, Align.START): TextEntityAlignment.BOTTOM_LEFT,
    (Align.MIDDLE, Align.START): TextEntityAlignment.BOTTOM_CENTER,
    (Align.END, Align.START): TextEntityAlignment.BOTTOM_RIGHT,
    (Align.START, Align.MIDDLE): TextEntityAlignment.MIDDLE_LEFT,
    (Align.MIDDLE, Align.MIDDLE): TextEntityAlignment.MIDDLE_CENTER,
    (Align.END, Align.MIDDLE): TextEntityAlignment.MIDDLE_RIGHT,
    (Align.START, Align.END): TextEntityAlignment.TOP_LEFT,
    (Align.MIDDLE, Align.END): TextEntityAlignment.TOP_CENTER,
    (Align.END, Align.END): TextEntityAlignment.TOP_RIGHT,
}


def layer_name(role: Role) -> str:
    """Return the layer that a role's records are on.

    Examples
    --------
    >>> layer_name(Role.ROOM_CUT)
    'LL-ROOM-CUT'
    """
    return f"LL-{role.value.upper()}"


class _Sheet:
    """One modelspace being filled; mutable, it is only alive while it is filled."""

    def __init__(self, space: "Modelspace", mm: float, style: LengthStyle) -> None:
        self.space = space
        self.mm = mm
        self.style = style

    def line(self, role: Role, points: ArrayLike, *, closed: bool) -> None:
        """Add a line through points `(n, 2)` [in]."""
        corners = [(u, v) for u, v in np.asarray(points, dtype=float).tolist()]
        if len(corners) > 1:
            self.space.add_lwpolyline(
                corners, close=closed, dxfattribs={"layer": layer_name(role)}
            )


def drawing_dxf(
    drawing: Drawing,
    *,
    style: LengthStyle,
    extra: Iterable[Record] = (),
    holes: Iterable[Hole] = (),
    scale: float = 96.0,
) -> bytes:
    """Return a drawing as a DXF file.

    Parameters
    ----------
    drawing : Drawing
        The records; handles are left out.
    style : LengthStyle
        How lengths are written in texts and dimensions.
    extra : iterable of Record
        More records of the same plane, such as dimensions.
    holes : iterable of Hole
        Holes to drill, for a plan only: a block with attributes at each, at the
        height of the ceiling.
    scale : float
        The scale for which texts are sized: 96 for 1:96 [-].

    Returns
    -------
    bytes
        The file.
    """
    document = new("R2010", units=units.IN)
    document.header["$MEASUREMENT"] = 0
    document.header["$LUNITS"] = 4
    mm = scale / 25.4
    _set_up(document, mm)
    sheet = _Sheet(document.modelspace(), mm, style)
    for record in (*drawing.records, *extra):
        _add(record, sheet)
    _add_holes(document, sheet, holes)
    (u0, v0), (u1, v1) = drawing.bounds.low, drawing.bounds.high
    document.header["$EXTMIN"] = (u0, v0, 0.0)
    document.header["$EXTMAX"] = (u1, v1, 0.0)
    out = io.StringIO()
    document.write(out)
    return out.getvalue().encode("utf-8")


def _set_up(document: "Document", mm: float) -> None:
    """Declare line types, layers, the text style and the dimension style."""
    for line in LineType:
        if line is not LineType.CONTINUOUS:
            document.linetypes.add(
                f"LL-{line.name}", _pattern(line, mm), description=line.name.lower()
            )
    for role, linework in LINEWORK.items():
        layer = document.layers.add(layer_name(role))
        layer.dxf.lineweight = min(
            _WEIGHTS, key=lambda w: abs(w - 100.0 * linework.width)
        )
        if linework.line is not LineType.CONTINUOUS:
            layer.dxf.linetype = f"LL-{linework.line.name}"
    document.layers.add(HOLE_LAYER)
    document.styles.add(_STYLE, font="arial.ttf")
    dimension = document.dimstyles.add(_DIMENSIONS)
    dimension.dxf.dimtxt = _DIMENSION_MM * mm
    dimension.dxf.dimtxsty = _STYLE
    dimension.dxf.dimasz = 3.0 * mm
    dimension.dxf.dimtsz = 1.5 * mm
    dimension.dxf.dimexo = 0.8 * mm
    dimension.dxf.dimexe = 1.5 * mm
    dimension.dxf.dimgap = 0.8 * mm
    dimension.dxf.dimlfac = 1.0


def _pattern(line: LineType, mm: float) -> list[float]:
    """Return a DXF pattern: total, then dashes positive and gaps negative."""
    parts = [part * mm for part in line.pattern(0.25)]
    signed = [part if k % 2 == 0 else -part for k, part in enumerate(parts)]
    return [sum(parts), *signed]


@singledispatch
def _add(record: Record, sheet: _Sheet) -> None:
    raise TypeError(record, sheet)


@_add.register
def _(record: Handle, sheet: _Sheet) -> None:
    """Leave out what is only there to be dragged."""


@_add.register
def _(record: Polyline, sheet: _Sheet) -> None:
    sheet.line(record.role, record.points, closed=record.closed)


@_add.register
def _(record: Polygon, sheet: _Sheet) -> None:
    for ring in (record.outline, *record.holes):
        sheet.line(record.role, ring, closed=True)


@_add.register
def _(record: Strokes, sheet: _Sheet) -> None:
    layer = {"layer": layer_name(record.role)}
    for a, b in record.segments.tolist():
        sheet.space.add_line(a, b, dxfattribs=layer)


@_add.register
def _(record: Circle, sheet: _Sheet) -> None:
    layer = {"layer": layer_name(record.role)}
    sheet.space.add_circle(record.center, record.radius, dxfattribs=layer)


@_add.register
def _(record: Arc, sheet: _Sheet) -> None:
    ends = sorted((record.start, record.start + record.sweep))
    sheet.space.add_arc(
        record.center,
        record.radius,
        math.degrees(ends[0]),
        math.degrees(ends[1]),
        dxfattribs={"layer": layer_name(record.role)},
    )


@_add.register
def _(record: Marker, sheet: _Sheet) -> None:
    for line in marker_lines(record, mm=sheet.mm):
        sheet.line(record.role, line, closed=False)


@_add.register
def _(record: Text, sheet: _Sheet) -> None:
    unit = sheet.mm if record.sizing is Sizing.PAPER_MM else 1.0
    words = worded(record.parts, style=sheet.style)
    if not words:
        return
    text = sheet.space.add_text(
        words,
        height=record.size * unit,
        rotation=math.degrees(record.angle),
        dxfattribs={"layer": layer_name(record.role), "style": _STYLE},
    )
    text.set_placement(record.at, align=_ALIGNMENTS[record.across, record.upright])


@_add.register
def _(record: Dimension, sheet: _Sheet) -> None:
    sheet.space.add_linear_dim(
        base=record.through,
        p1=record.a,
        p2=record.b,
        angle=_dimension_angle(record),
        dimstyle=_DIMENSIONS,
        text=record.prefix + format_length(record.value, style=sheet.style),
        override={"dimlfac": 1},
        dxfattribs={"layer": layer_name(record.role)},
    ).render()


def _dimension_angle(record: Dimension) -> float:
    if record.measure is Measure.ACROSS:
        return 0.0
    if record.measure is Measure.UPRIGHT:
        return 90.0
    (u0, v0), (u1, v1) = record.a, record.b
    return math.degrees(math.atan2(v1 - v0, u1 - u0))


def _add_holes(document: "Document", sheet: _Sheet, holes: Iterable[Hole]) -> None:
    block = document.blocks.new(HOLE_BLOCK)
    reach = 2.0 * sheet.mm
    block.add_circle((0.0, 0.0), 0.6 * reach)
    block.add_line((-reach, 0.0), (reach, 0.0))
    block.add_line((0.0, -reach), (0.0, reach))
    for row, tag in enumerate(("HOLE", "TRUSS", "HARDWARE", "PILOT")):
        block.add_attdef(
            tag,
            (reach, -1.4 * row * reach),
            dxfattribs={"height": 0.9 * reach, "invisible": int(row > 0)},
        )
    for hole in holes:
        x, y, z = hole.at
        place = sheet.space.add_blockref(
            HOLE_BLOCK, (x, -y, z), dxfattribs={"layer": HOLE_LAYER}
        )
        place.add_auto_attribs(dict(_attributes(hole)))


def _attributes(hole: Hole) -> Iterator[tuple[str, str]]:
    yield "HOLE", hole.id
    yield "TRUSS", str(hole.truss.number) if hole.truss else "none"
    yield "HARDWARE", hole.screw.id
    yield "PILOT", drill_size(hole.screw.pilot_hole)
