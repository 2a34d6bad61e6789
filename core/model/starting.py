"""A new barn from the few numbers that one has at the start."""

from collections.abc import Iterator

from core.model.barn import Barn
from core.model.edits import split_strip
from core.model.rewriting import edited
from core.model.room import Alley, Door, FlatCeiling, Room, Strip, Wall

__all__ = ["new_barn"]

PEN_SIDE = 120.0  # [in], pens 10 ft wide in two rows: a usual finishing room


def new_barn(
    length: float,
    width: float,
    ceiling_height: float,
    *,
    name: str = "new barn",
    alley_width: float = 36.0,
) -> Barn:
    """Make a room with an alley in the middle, strips and pens beside it, a door.

    Parameters
    ----------
    length : float
        Length of the room along the alley [in].
    width : float
        Width of the room [in], more than that of the alley.
    ceiling_height : float
        Height of the level ceiling [in].
    name : str
        Name of the barn.
    alley_width : float
        Width of the alley [in].

    Returns
    -------
    Barn
        Strips and pens about 10 ft wide, without fixtures and runs.

    Raises
    ------
    EditError
        If a number is out of range, or the alley leaves no room for pens.
    """
    side = (width - alley_width) / 2
    strips = tuple(_strips(length, side, width))
    room = Room(
        length=length,
        width=width,
        ceiling=FlatCeiling(height=ceiling_height),
        strips=strips,
        alleys=(Alley(id="alley-1", x=0.0, y=side, length=length, width=alley_width),),
        doors=(
            Door(
                id="door-1", wall=Wall.FRONT, offset=side, width=alley_width, main=True
            ),
        ),
    )
    barn = edited(_NOTHING, Barn(name=name, room=room)).barn
    for strip in strips:
        count = max(1, min(200, round(length / PEN_SIDE)))
        barn = split_strip(barn, strip.id, count=count).barn
    return barn


_NOTHING = Barn(
    name="nothing", room=Room(length=1.0, width=1.0, ceiling=FlatCeiling(height=1.0))
)


def _strips(length: float, side: float, width: float) -> Iterator[Strip]:
    """Yield the strips on both sides of the alley, from the left wall on."""
    count = max(1, round(side / PEN_SIDE))
    step = side / count
    starts = [
        *(step * k for k in range(count)),
        *(width - side + step * k for k in range(count)),
    ]
    for number, y in enumerate(starts, start=1):
        yield Strip(id=f"strip-{number}", x=0.0, y=y, length=length, width=step)
