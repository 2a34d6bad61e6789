"""The records that a drawing is made of: plain shapes, each with its role and owner.

A drawing has a plane of its own: u to the right and v up on the paper, in inches.
`Frame` leads from the room to that plane and back. Screen, paper, files and tests
all read these same records; none of them decides what is drawn.

Records compare by identity: the same inputs give the same objects, so a painter
may keep what it made of a record for as long as it meets that record again.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from core.geometry.shapes import FloatArray, Vec2, Vec3
from core.model.electrical import SUPPLY, SWITCH
from core.quantities import LengthStyle
from core.rules.wording import measure

__all__ = [
    "CUT",
    "ROOM",
    "SUPPLY",
    "SWITCH",
    "Align",
    "Arc",
    "Bounds",
    "Circle",
    "Dimension",
    "Drawing",
    "Frame",
    "Grip",
    "Group",
    "Handle",
    "Marker",
    "MarkerKind",
    "Measure",
    "Part",
    "Polygon",
    "Polyline",
    "Record",
    "Role",
    "Sizing",
    "Strokes",
    "Text",
    "worded",
]

Part = str | float | tuple[float, str]

# owners that have no id of their own in the barn, as SUPPLY and SWITCH have none
CUT = "section-cut"
ROOM = "room"


class Role(StrEnum):
    """What a record stands for; `core.drawing.linework` says how it is drawn."""

    ROOM_CUT = "room-cut"  # walls and ceiling where the view's plane cuts them
    ROOM_SEEN = "room-seen"  # floor, ceiling breaks, bulkheads, door leaves
    HIDDEN = "hidden"  # what lies behind or above something
    STRIP = "strip"
    PEN = "pen"
    ALLEY = "alley"
    TRUSS = "truss"
    FIXTURE_CUT = "fixture-cut"  # the face where the plane cuts a fixture
    FIXTURE_SEEN = "fixture-seen"
    FIXTURE_FAR = "fixture-far"
    MOVING = "moving"  # a moving part of a fixture in its other end position
    FREE_SPACE = "free-space"  # where the axis of the chosen run cannot go
    LANE = "lane"
    SWEPT = "swept"  # all that a run passes through in its whole travel
    ENVELOPE = "envelope"  # the air round the live parts
    BLOCKED = "blocked"  # heights or stretches with something in that air
    RUN = "run"  # a run at the present lift
    RUN_END = "run-end"  # the same run in both end positions
    POINT = "point"  # discharge points
    SUPPORT = "support"
    ROPE = "rope"
    CABLE = "cable"
    HOIST = "hoist"  # winch, block, pulleys
    LEAD = "lead"
    ELECTRICAL = "electrical"  # supply, switch, outlet, rods
    AXIS = "axis"
    FINDING = "finding"  # the hatched place of a clash, with its number
    WITNESS = "witness"  # the line between the two nearest points of a clash
    DIMENSION = "dimension"
    LABEL = "label"
    SECTION_MARK = "section-mark"
    EYE = "eye"
    GUIDE = "guide"  # the line that a dragged object has snapped to
    HANDLE = "handle"
    REFUSAL = "refusal"  # why a dragged object cannot go where the pointer is


class Align(StrEnum):
    """Which part of a text lies on its point: left/bottom, middle, right/top."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


class Sizing(StrEnum):
    """What a text's height is measured in: paper, or the room it lies in."""

    PAPER_MM = "paper-mm"
    ROOM_INCHES = "room-inches"


class Measure(StrEnum):
    """The direction in which a dimension measures."""

    ACROSS = "across"  # along u
    UPRIGHT = "upright"  # along v
    ALIGNED = "aligned"  # along the line between the two points


class MarkerKind(StrEnum):
    """A small thing drawn as what it looks like, to size, but never too small."""

    ANCHOR = "anchor"
    CAMERA = "camera"
    CLAMP = "clamp"
    CUT_ARROW = "cut-arrow"
    CUT_ARROW_BELOW = "cut-arrow-below"
    CUT_END = "cut-end"
    DROP_PULLEY = "drop-pulley"
    EYE = "eye"
    GROUND_ROD = "ground-rod"
    HOLE = "hole"
    INSULATOR = "insulator"
    OUTLET = "outlet"
    PULL_POINT = "pull-point"
    SUPPLY = "supply"
    SWITCH = "switch"
    TURNING_PULLEY = "turning-pulley"
    WINCH = "winch"


class Grip(StrEnum):
    """What of an object a handle moves."""

    BODY = "body"
    START = "start"
    END = "end"
    VERTEX = "vertex"  # a point of a path or outline; the part is its index
    EDGE = "edge"  # a side of an outline; the part is the index of its first point
    SUPPORT = "support"
    TURN = "turn"
    WINCH = "winch"
    PULL_POINT = "pull-point"
    PULL_TOWARDS = "pull-towards"
    DEAD_END = "dead-end"
    SUPPLY = "supply"
    SWITCH = "switch"
    CUT = "cut"
    EYE = "eye"
    LOOK = "look"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Drawn:
    """What every record has: its role, the id it belongs to, which part of that."""

    role: Role
    owner: str = ""
    part: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Polyline(_Drawn):
    """A line through points `(n, 2)` [in]; `closed` joins the last to the first."""

    points: FloatArray
    closed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Polygon(_Drawn):
    """A filled or hatched face: outline and holes, each `(n, 2)` [in], unclosed."""

    outline: FloatArray
    holes: tuple[FloatArray, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strokes(_Drawn):
    """Many separate straight lines `(n, 2, 2)` [in], such as a scan's cut."""

    segments: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Circle(_Drawn):
    """A circle: centre and radius [in]."""

    center: Vec2
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Arc(_Drawn):
    """A part of a circle [in], from `start` by `sweep`, positive u towards v [rad]."""

    center: Vec2
    radius: float
    start: float
    sweep: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Text(_Drawn):
    """A short text at a point [in], turned by `angle` [rad].

    `parts` are words, lengths [in], and values with a unit of
    `core.rules.wording.measure`; `worded` writes them in the style that the reader
    has chosen.
    """

    at: Vec2
    parts: tuple[Part, ...]
    size: float = 2.5
    sizing: Sizing = Sizing.PAPER_MM
    across: Align = Align.MIDDLE
    upright: Align = Align.MIDDLE
    angle: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Dimension(_Drawn):
    """A distance between two points, written on a line through a third [in].

    `value` is the distance as the model knows it [in], not as it is drawn. Its
    lines, ticks and text place come from `core.drawing.dimensions.laid_out`.
    """

    a: Vec2
    b: Vec2
    through: Vec2
    value: float
    measure: Measure = Measure.ALIGNED
    prefix: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Marker(_Drawn):
    """A small thing at a point, `size` across [in], `least_mm` on paper or screen.

    Its strokes come from `core.drawing.markers.strokes`; `angle` turns it [rad].
    """

    kind: MarkerKind
    at: Vec2
    size: float
    angle: float = 0.0
    least_mm: float = 1.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Handle(_Drawn):
    """A place by which an object can be dragged: where [in] and what it moves."""

    at: Vec2
    grip: Grip


Record = (
    Polyline | Polygon | Strokes | Circle | Arc | Text | Dimension | Marker | Handle
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """An upright rectangle of the plane: lower left and upper right corner [in]."""

    low: Vec2
    high: Vec2


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """How a plane lies in the room: origin [in], unit vectors right, up and away.

    `away` is the direction of looking; depth is measured along it from the origin.
    """

    origin: Vec3
    right: Vec3
    up: Vec3
    away: Vec3

    def to_plane(self, points: FloatArray) -> FloatArray:
        """Return room points `(..., 3)` as plane points `(..., 2)` [in]."""
        axes = np.array((self.right, self.up)).T
        drawn: FloatArray = (np.asarray(points) - self.origin) @ axes
        return drawn

    def point(self, room: Vec3) -> Vec2:
        """Return one room point as a plane point [in]."""
        x, y, z = (a - b for a, b in zip(room, self.origin, strict=True))
        right, up = self.right, self.up
        return (
            x * right[0] + y * right[1] + z * right[2],
            x * up[0] + y * up[1] + z * up[2],
        )

    def depths(self, points: FloatArray) -> FloatArray:
        """Return how far room points `(..., 3)` lie behind the plane [in]."""
        behind: FloatArray = (np.asarray(points) - self.origin) @ np.array(self.away)
        return behind

    def to_room(self, at: Vec2, *, depth: float = 0.0) -> Vec3:
        """Return the room point of a plane point at a depth [in]."""
        x, y, z = (
            o + at[0] * r + at[1] * u + depth * a
            for o, r, u, a in zip(
                self.origin, self.right, self.up, self.away, strict=True
            )
        )
        return (x, y, z)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Group:
    """Records that change together, under a key that stays: what and whose they are.

    While its inputs are the same objects a group is the same object.
    """

    key: tuple[str, str]
    records: tuple[Record, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawing:
    """One view's groups in painting order, its bounds [in] and its frame."""

    groups: tuple[Group, ...]
    bounds: Bounds
    frame: Frame

    @property
    def records(self) -> Iterator[Record]:
        """Yield every record, group by group."""
        for group in self.groups:
            yield from group.records


def worded(parts: tuple[Part, ...], *, style: LengthStyle) -> str:
    """Return the words, lengths [in] and values with their unit as one line.

    Examples
    --------
    >>> worded(("cut at ", 87.5), style=LengthStyle.FEET)
    'cut at 7 ft 3-1/2 in'
    >>> worded(("air ", (4.5, "gap")), style=LengthStyle.FEET)
    'air 4.50 in'
    """
    return "".join(_word(part, style) for part in parts)


def _word(part: Part, style: LengthStyle) -> str:
    if isinstance(part, str):
        return part
    value, unit = part if isinstance(part, tuple) else (part, "in")
    return measure(value, unit, style=style)
