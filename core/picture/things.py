"""A thing in the picture: triangles of one finish that belong to one owner."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from core.geometry.shapes import Box, Shape, Vec3
from core.picture.finishes import Finish
from core.picture.forms import Form, merged, shape_form

__all__ = ["Thing", "bar", "solid", "thing"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Thing:
    """Triangles of one finish; owner and part are named as in `core.placement`."""

    owner: str
    part: str
    finish: Finish
    form: Form


def thing(owner: str, part: str, finish: Finish, *forms: Form) -> Thing:
    """Return a thing of some forms."""
    return Thing(owner=owner, part=part, finish=finish, form=merged(forms))


def solid(owner: str, part: str, finish: Finish, shapes: Iterable[Shape]) -> Thing:
    """Return a thing of some shapes."""
    return thing(owner, part, finish, *(shape_form(shape) for shape in shapes))


def bar(
    box: Box, low: Sequence[float], high: Sequence[float], *, grown: float = 0.0
) -> Box:
    """Return a part of a box, between shares of its size from -1 to 1 [-].

    Parameters
    ----------
    box : Box
        The whole.
    low, high : sequence of float
        Shares along its three axes [-].
    grown : float
        How far the part reaches out on all sides besides [in].
    """
    middle = [(a + b) / 2 * h for a, b, h in zip(low, high, box.half, strict=True)]
    half = [
        (b - a) / 2 * h + grown for a, b, h in zip(low, high, box.half, strict=True)
    ]
    center: Vec3 = box.center
    for share, axis in zip(middle, box.axes, strict=True):
        center = (
            center[0] + share * axis[0],
            center[1] + share * axis[1],
            center[2] + share * axis[2],
        )
    return Box(center=center, half=(half[0], half[1], half[2]), axes=box.axes)
