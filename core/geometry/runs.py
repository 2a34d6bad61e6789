"""A pipe run as the sweep sees it: a level body that is lifted straight up."""

from dataclasses import dataclass

from core.errors import ValueRangeError
from core.geometry.shapes import Vec2

__all__ = ["SagProfile", "SweptRun", "Swing"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SagProfile:
    """How far the axis hangs below its supports, straight between the stations.

    Attributes
    ----------
    stations : tuple of float
        Increasing stations along the run [in].
    depths : tuple of float
        Depth below the line of the supports at each station [in], negative
        where the pipe hogs. Beyond the first and last station it stays as it is.
    """

    stations: tuple[float, ...]
    depths: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse a profile that is empty, ragged or not increasing."""
        if not self.stations or len(self.stations) != len(self.depths):
            message = (
                f"sag profile has {len(self.stations)} stations and "
                f"{len(self.depths)} depths; give one depth for each station"
            )
            raise ValueRangeError(message)
        pairs = zip(self.stations, self.stations[1:], strict=False)
        if any(after <= before for before, after in pairs):
            message = "sag profile stations must increase along the run"
            raise ValueRangeError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """The side way of a run that hangs on ropes and turns with them.

    Attributes
    ----------
    pulley_height : float
        Height of the line about which the ropes turn (room z) [in].
    angle : float
        Largest angle of the ropes with the plumb line, to both sides,
        0 <= angle < pi/2 [rad].
    """

    pulley_height: float
    angle: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SweptRun:
    """One straight, level run and the travel that it is lifted through.

    The live metal is the rectangle `[-side, side]` across by `[-down, up]` in
    height round the axis, drawn along the whole run and grown by `radius`
    in all directions, past both ends as well.

    Attributes
    ----------
    start, end : Vec2
        Ends of the axis in plan [in].
    low : float
        Height of the axis at the supports at lift 0 (room z) [in].
    travel : float
        How far it is lifted, >= 0 [in].
    radius : float
        Live metal round the axis [in].
    down, up, side : float
        Reach of the points beyond the axis, >= 0 [in].
    limit : float
        Air to keep round the live metal [in].
    sag : SagProfile or None
        How the axis hangs below its supports.
    swing : Swing or None
        How far it may swing sideways.
    """

    start: Vec2
    end: Vec2
    low: float
    travel: float
    radius: float
    down: float = 0.0
    up: float = 0.0
    side: float = 0.0
    limit: float = 6.0
    sag: SagProfile | None = None
    swing: Swing | None = None

    def __post_init__(self) -> None:
        """Refuse negative sizes and a swing about a line below the pipe."""
        sizes = (self.travel, self.radius, self.down, self.up, self.side, self.limit)
        if min(sizes) < 0.0:
            message = "travel, radius, down, up, side and limit must not be negative"
            raise ValueRangeError(message)
        if self.swing is not None:
            _refuse_low_pulley(self.swing, self.low + self.travel)


def _refuse_low_pulley(swing: Swing, top: float) -> None:
    """Refuse a pulley line below the stowed run or a swing to the level."""
    if swing.pulley_height < top:
        message = (
            f"pulley height = {swing.pulley_height:g} in is below the stowed run "
            f"at {top:g} in; raise the pulleys or shorten the travel"
        )
        raise ValueRangeError(message)
    if not 0.0 <= swing.angle < 1.5:
        message = f"swing angle = {swing.angle:g} rad must be 0 or more and under 1.5"
        raise ValueRangeError(message)
