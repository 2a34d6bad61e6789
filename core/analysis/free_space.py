"""Where a run could hang: the free-space map among what stands in the room."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.free_space import FreeSpaceMap, free_space_map
from core.geometry.map_frame import ColumnBands, MapFrame, RunBody
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.model.runs import Run
from core.placement.building import building_solids
from core.placement.ceiling import ceiling_top
from core.placement.runs import run_direction, run_length
from core.placement.solids import fixture_solids

if TYPE_CHECKING:
    from core.geometry.surface import Surface

__all__ = ["run_free_space"]

STEP = 0.5  # [in] between the columns of the map
_TOGETHER = 32  # columns swept past a scan before anybody may say stop


def _go_on() -> bool:
    return True


def run_free_space(
    barn: Barn,
    run: Run,
    body: SweptRun,
    meshes: Mapping[str, Mesh],
    *,
    is_wanted: Callable[[], bool] = _go_on,
) -> FreeSpaceMap:
    """Return the blocked heights of a run at every place across the room.

    Parameters
    ----------
    barn : Barn
        The document.
    run : Run
        The run whose direction and span are mapped.
    body : SweptRun
        Its live metal and limit.
    meshes : mapping of str to Mesh
        The mesh of each scan by the fixture's id [in].
    is_wanted : callable, optional
        Asked now and then; the map is of no use once it says no.

    Returns
    -------
    FreeSpaceMap
        Bands by column. Building and fixtures count, the skin of scans too; the
        inside of a closed scan, the ropes of other runs and the runs themselves do
        not.
    """
    solids = [
        *building_solids(barn.room),
        *(
            solid
            for fixture in barn.fixtures
            for solid in fixture_solids(fixture, barn.room, meshes)
        ),
    ]
    obstacles = ObstacleSet.of(
        [solid.shape for solid in solids if not isinstance(solid.shape, Mesh)]
    )
    scans = [solid.shape for solid in solids if isinstance(solid.shape, Mesh)]
    frame = _frame(barn, run)
    top = ceiling_top(barn.room)
    parts = [
        part
        for owner, mesh in enumerate(scans, len(obstacles))
        for part in _scan_bands(frame, body, mesh, owner, top, is_wanted)
    ]
    surfaces = ColumnBands.joined(*parts) if parts else None
    return free_space_map(frame, obstacles, body, surfaces=surfaces)


def _frame(barn: Barn, run: Run) -> MapFrame:
    """Return the columns of a map: from wall to wall across a run."""
    (dx, dy), length = run_direction(run), run_length(run)
    across = [
        (y - run.start[1]) * dx - (x - run.start[0]) * dy
        for x in (0.0, barn.room.length)
        for y in (0.0, barn.room.width)
    ]
    return MapFrame(
        origin=run.start,
        direction=(dx, dy),
        length=length,
        v_lo=min(across),
        v_hi=max(across),
        step=STEP,
    )


def _scan_bands(
    frame: MapFrame,
    body: SweptRun,
    mesh: Mesh,
    owner: int,
    top: float,
    is_wanted: Callable[[], bool],
) -> Iterator[ColumnBands]:
    """Yield what a scan blocks, some columns at a time, until it is not wanted."""
    from core.geometry.surface import Surface  # most rooms have no scan

    surface = Surface.of(mesh)
    for first in range(0, frame.count, _TOGETHER):
        if not is_wanted():
            return
        numbers = range(first, min(first + _TOGETHER, frame.count))
        yield _columns_past(frame, body, surface, owner, top, numbers)


def _columns_past(
    frame: MapFrame,
    body: SweptRun,
    surface: "Surface",
    owner: int,
    top: float,
    numbers: range,
) -> ColumnBands:
    """Return what a surface blocks of some columns between the floor and a height."""
    from core.geometry.sweep_surface import sweep_surface

    reach = RunBody.of(body)
    level = replace(
        body,
        low=0.0,
        travel=top,
        down=reach.down,
        up=reach.up,
        side=reach.side,
        sag=None,
        swing=None,
    )
    swept = sweep_surface(
        [_shifted(level, frame, number) for number in numbers], surface, horizon=0.0
    )
    rows = [
        (number, lo, hi)
        for number, found in zip(numbers, swept, strict=True)
        for lo, hi in found.bands
    ]
    column, lo, hi = np.array(rows, dtype=np.float64).reshape(-1, 3).T
    return ColumnBands(
        owner=np.full(len(rows), owner, dtype=np.int64),
        column=column.astype(np.int64),
        lo=lo,
        hi=hi,
    )


def _shifted(body: SweptRun, frame: MapFrame, number: int) -> SweptRun:
    """Return a run in a column of the map."""
    (x, y), (dx, dy) = frame.origin, frame.direction
    across = frame.v_lo + frame.step * number
    start = (x - across * dy, y + across * dx)
    end = (start[0] + frame.length * dx, start[1] + frame.length * dy)
    return replace(body, start=start, end=end)
