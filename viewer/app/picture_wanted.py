"""What is asked for of a picture and of a walk, and what a window offers."""

from collections.abc import Callable
from dataclasses import dataclass

from core.model.job import EyePoint
from viewer.jobs import Ticket

__all__ = ["PictureOffer", "PictureWanted", "Place", "WalkOffer", "WalkWanted"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureWanted:
    """A picture as it is asked for.

    Attributes
    ----------
    eye : EyePoint
        Where from; a found one may be moved to where nothing is before it.
    view : float
        Angle of view from the left to the right edge [rad].
    lift : float
        0 at working height, 1 stowed [-].
    width, height : int
        Size [px].
    samples : int
        Rays into the room for each pixel [-].
    clashes, animals : int
        1 to mark the clashes, to put animals into the pens [-].
    """

    eye: EyePoint
    view: float
    lift: float
    width: int
    height: int
    samples: int
    clashes: int = 0
    animals: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkWanted:
    """A walk as it is asked for: along the alley, or through all named eye points.

    Attributes
    ----------
    eyes : tuple of str
        Names of the eye points; none for the alley.
    seconds : float
        Length [s].
    rate : float
        Pictures a second [1/s].
    width, height : int
        Size [px].
    samples : int
        Rays into the room for each pixel [-].
    """

    eyes: tuple[str, ...]
    seconds: float
    rate: float
    width: int
    height: int
    samples: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place to look from, by what it is called; `view` is its angle [rad]."""

    words: str
    eye: EyePoint
    view: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureOffer:
    """What a window offers of pictures.

    Attributes
    ----------
    title : str
        What is made.
    places : tuple of Place
        Where one can look from, that of `wanted` among them.
    wanted : PictureWanted
        What is proposed.
    lifts : int
        How many lifts the outcome shows: 1 if one is chosen, 2 for working and
        stowed [-].
    glimpse : callable
        Gives the work that makes a small picture, as a PNG file.
    """

    title: str
    places: tuple[Place, ...]
    wanted: PictureWanted
    lifts: int
    glimpse: Callable[[PictureWanted], Callable[[Ticket], bytes]]


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkOffer:
    """What a window offers of walks: the eye points to walk through, and a proposal."""

    eyes: tuple[str, ...]
    wanted: WalkWanted
