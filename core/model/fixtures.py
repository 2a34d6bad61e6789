"""Everything in the room that a pipe, rope, cable or lead can meet.

Each kind is what the surveyor measures, in inches and radians; what space it
takes, its moving parts in every position included, is worked out in
`core.placement`. `heading` turns about the vertical, 0 along x.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le, MinLen

from core.model.fields import Angle, Gap, Id, Length, Point3, Quantity, Size
from core.model.room import Wall
from core.quantities import LengthUnit

__all__ = [
    "Beam",
    "BoxHeater",
    "Camera",
    "CeilingInlet",
    "ChimneyFan",
    "Conduit",
    "Controller",
    "FeedDrop",
    "FeedLine",
    "Feeder",
    "Fixture",
    "FlapSides",
    "Gate",
    "Light",
    "MeshUp",
    "PlainBox",
    "PlainCapsule",
    "PlainCylinder",
    "PlainHull",
    "PlainSphere",
    "Post",
    "Probe",
    "Scan",
    "SoakerLine",
    "StirringFan",
    "TubeHeater",
    "TunnelFan",
    "WallFan",
    "WaterLine",
]

Opening = Annotated[float, Quantity.ANGLE, Ge(0), Le(3.2)]
Path = Annotated[tuple[Point3, ...], MinLen(2)]


class FlapSides(StrEnum):
    """On which long sides of its box an inlet has a flap."""

    NONE = "none"
    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"


class MeshUp(StrEnum):
    """The axis of a mesh file that points up."""

    X = "x"
    Y = "y"
    Z = "z"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Named:
    """What every fixture has; `metal` parts need an entry in the bond register."""

    id: Id
    name: str = ""
    note: str = ""
    metal: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CeilingInlet(_Named):
    """A box in the ceiling whose flaps swing down about their outer long edges.

    `length` lies along `heading`; `drop` is how far the box hangs below the
    ceiling; a flap of `flap` inches swings from level to `opening` below level.
    """

    kind: Literal["inlet"] = "inlet"
    x: Length
    y: Length
    length: Size
    width: Size
    drop: Gap
    heading: Angle = 0.0
    flap: Gap = 0.0
    flap_sides: FlapSides = FlapSides.NONE
    opening: Opening = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Light(_Named):
    """A lamp body; `drop` is the air between the ceiling and its top."""

    kind: Literal["light"] = "light"
    x: Length
    y: Length
    length: Size
    width: Size
    depth: Size
    drop: Gap = 0.0
    heading: Angle = 0.0
    metal: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line(_Named):
    """A round line through the points of its centre line."""

    path: Path
    diameter: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedLine(_Line):
    """A feed tube along a polyline."""

    kind: Literal["feed-line"] = "feed-line"
    metal: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterLine(_Line):
    """A water pipe along a polyline."""

    kind: Literal["water-line"] = "water-line"


@dataclass(frozen=True, slots=True, kw_only=True)
class SoakerLine(_Line):
    """A soaker pipe with its nozzles along a polyline."""

    kind: Literal["soaker-line"] = "soaker-line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Conduit(_Line):
    """An electrical conduit along a polyline."""

    kind: Literal["conduit"] = "conduit"
    metal: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedDrop(_Named):
    """A vertical feed tube from a line down to a feeder."""

    kind: Literal["feed-drop"] = "feed-drop"
    x: Length
    y: Length
    top: Length
    bottom: Length
    diameter: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Feeder(_Named):
    """A feeder that stands on the floor."""

    kind: Literal["feeder"] = "feeder"
    x: Length
    y: Length
    length: Size
    width: Size
    height: Size
    heading: Angle = 0.0
    metal: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeHeater(_Named):
    """A radiant tube under its reflector: centre line, width and depth."""

    kind: Literal["tube-heater"] = "tube-heater"
    start: Point3
    end: Point3
    width: Size
    depth: Size
    metal: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxHeater(_Named):
    """A hung heater cabinet; z is the height of its underside."""

    kind: Literal["box-heater"] = "box-heater"
    x: Length
    y: Length
    z: Length
    length: Size
    width: Size
    height: Size
    heading: Angle = 0.0
    metal: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class _WallMounted(_Named):
    """A fan in a wall: centre's distance from the wall's start, and its height."""

    wall: Wall
    offset: Gap
    z: Size
    diameter: Size
    depth: Size
    metal: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class WallFan(_WallMounted):
    """A round fan housing that reaches `depth` into the room."""

    kind: Literal["wall-fan"] = "wall-fan"


@dataclass(frozen=True, slots=True, kw_only=True)
class TunnelFan(_WallMounted):
    """A square fan housing of a tunnel-ventilated room."""

    kind: Literal["tunnel-fan"] = "tunnel-fan"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChimneyFan(_Named):
    """A round duct through the ceiling that hangs `drop` below it."""

    kind: Literal["chimney-fan"] = "chimney-fan"
    x: Length
    y: Length
    diameter: Size
    drop: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class StirringFan(_Named):
    """A hung fan that blows along `heading`, tipped down by `tilt`."""

    kind: Literal["stirring-fan"] = "stirring-fan"
    x: Length
    y: Length
    z: Size
    diameter: Size
    depth: Size
    heading: Angle = 0.0
    tilt: Angle = 0.0
    metal: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe(_Named):
    """A sensor on a cable from the ceiling, free to swing by `swing` each way."""

    kind: Literal["probe"] = "probe"
    x: Length
    y: Length
    cable: Size
    diameter: Size = 1.0
    body: Size = 4.0
    swing: Gap = 0.0
    metal: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller(_Named):
    """A cabinet on a wall; z is the height of its underside."""

    kind: Literal["controller"] = "controller"
    wall: Wall
    offset: Gap
    z: Gap
    width: Size
    height: Size
    depth: Size
    metal: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Post(_Named):
    """A post from the floor to the ceiling, or to `height`."""

    kind: Literal["post"] = "post"
    x: Length
    y: Length
    width: Size
    depth: Size
    heading: Angle = 0.0
    height: Size | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Beam(_Named):
    """A straight beam: centre line, width across and depth."""

    kind: Literal["beam"] = "beam"
    start: Point3
    end: Point3
    width: Size
    depth: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate(_Named):
    """A pen gate: hinge, length, and the angle from `heading` it swings through."""

    kind: Literal["gate"] = "gate"
    x: Length
    y: Length
    length: Size
    height: Size
    bottom: Gap = 2.0
    thickness: Size = 1.5
    heading: Angle = 0.0
    swing: Annotated[float, Quantity.ANGLE, Ge(-6.3), Le(6.3)] = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera(_Named):
    """A camera body that hangs `drop` below the ceiling."""

    kind: Literal["camera"] = "camera"
    x: Length
    y: Length
    diameter: Size = 5.0
    depth: Size = 5.0
    drop: Gap = 0.0
    metal: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainBox(_Named):
    """A box; z is its underside before it is pitched about its own cross axis."""

    kind: Literal["box"] = "box"
    x: Length
    y: Length
    z: Length
    length: Size
    width: Size
    height: Size
    heading: Angle = 0.0
    pitch: Angle = 0.0
    roll: Angle = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rod(_Named):
    """A round thing between two points."""

    start: Point3
    end: Point3
    diameter: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainCylinder(_Rod):
    """A flat-ended cylinder between two points."""

    kind: Literal["cylinder"] = "cylinder"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainCapsule(_Rod):
    """A round-ended cylinder between two points."""

    kind: Literal["capsule"] = "capsule"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainSphere(_Named):
    """A ball; z is the height of its centre."""

    kind: Literal["sphere"] = "sphere"
    x: Length
    y: Length
    z: Length
    diameter: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainHull(_Named):
    """The convex hull of some points."""

    kind: Literal["hull"] = "hull"
    points: Annotated[tuple[Point3, ...], MinLen(4)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan(_Named):
    """A triangle mesh from a file beside the barn file.

    The file's own origin is put at (x, y, z) and turned by `heading`; `unit`,
    `up` and `scale` say how its numbers are meant.
    """

    kind: Literal["scan"] = "scan"
    file: Id
    unit: LengthUnit
    up: MeshUp = MeshUp.Z
    scale: Annotated[float, Gt(0)] = 1.0
    x: Length = 0.0
    y: Length = 0.0
    z: Length = 0.0
    heading: Angle = 0.0


Fixture = (
    CeilingInlet
    | Light
    | FeedLine
    | FeedDrop
    | Feeder
    | WaterLine
    | SoakerLine
    | Conduit
    | TubeHeater
    | BoxHeater
    | WallFan
    | ChimneyFan
    | TunnelFan
    | StirringFan
    | Probe
    | Controller
    | Post
    | Beam
    | Gate
    | Camera
    | PlainBox
    | PlainCylinder
    | PlainCapsule
    | PlainSphere
    | PlainHull
    | Scan
)
