"""The dimensions of a plan for the drilling of it: from front and left wall."""

from collections.abc import Iterator

from core.analysis.analyse import Analysis
from core.drawing.frames import PLAN
from core.drawing.records import ROOM, Dimension, Measure, Role
from core.geometry.shapes import Vec2
from core.model.room import Room
from core.model.runs import Run

__all__ = ["plan_dimensions"]

_ROW = 24.0  # between two rows of dimension lines [in]


def plan_dimensions(analysis: Analysis) -> Iterator[Dimension]:
    """Yield the size of the room and where each run begins, ends and lies [in]."""
    barn = analysis.report.barn
    room = barn.room
    past = room.wall_thickness + _ROW
    yield _along(ROOM, 0.0, room.length, -past - _ROW * (len(barn.runs) + 1))
    yield _across(ROOM, 0.0, room.width, -past - _ROW * (len(barn.runs) + 1))
    for row, run in enumerate(barn.runs):
        yield from _run_dimensions(run, room, past + _ROW * row)


def _run_dimensions(run: Run, room: Room, past: float) -> Iterator[Dimension]:
    near, far = sorted((run.start, run.end))
    below = room.width + past
    yield _along(run.id, 0.0, near[0], below, at=near)
    yield _along(run.id, near[0], far[0], below, at=near)
    yield _across(run.id, 0.0, near[1], -past, at=near)


def _along(
    owner: str, a: float, b: float, y: float, *, at: Vec2 = (0.0, 0.0)
) -> Dimension:
    return Dimension(
        role=Role.DIMENSION,
        owner=owner,
        part="from the front wall",
        a=PLAN.point((a, at[1], 0.0)),
        b=PLAN.point((b, at[1], 0.0)),
        through=PLAN.point((a, y, 0.0)),
        value=b - a,
        measure=Measure.ACROSS,
    )


def _across(
    owner: str, a: float, b: float, x: float, *, at: Vec2 = (0.0, 0.0)
) -> Dimension:
    return Dimension(
        role=Role.DIMENSION,
        owner=owner,
        part="from the left wall",
        a=PLAN.point((at[0], a, 0.0)),
        b=PLAN.point((at[0], b, 0.0)),
        through=PLAN.point((x, a, 0.0)),
        value=b - a,
        measure=Measure.UPRIGHT,
    )
