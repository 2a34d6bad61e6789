"""Where a run could hang: the free-space map among what stands in the room."""

from collections.abc import Mapping

from core.geometry.free_space import FreeSpaceMap, free_space_map
from core.geometry.map_frame import MapFrame
from core.geometry.obstacles import ObstacleSet
from core.geometry.runs import SweptRun
from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.model.runs import Run
from core.placement.building import building_solids
from core.placement.runs import run_direction, run_length
from core.placement.solids import fixture_solids

__all__ = ["run_free_space"]

STEP = 0.5  # [in] between the columns of the map


def run_free_space(
    barn: Barn, run: Run, body: SweptRun, meshes: Mapping[str, Mesh]
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

    Returns
    -------
    FreeSpaceMap
        Bands by column. Building and fixtures count; scans, the ropes of other
        runs and the runs themselves do not.
    """
    solids = [
        *building_solids(barn.room),
        *(
            solid
            for fixture in barn.fixtures
            for solid in fixture_solids(fixture, barn.room, meshes)
        ),
    ]
    shapes = [solid.shape for solid in solids if not isinstance(solid.shape, Mesh)]
    (dx, dy), length = run_direction(run), run_length(run)
    across = [
        (y - run.start[1]) * dx - (x - run.start[0]) * dy
        for x in (0.0, barn.room.length)
        for y in (0.0, barn.room.width)
    ]
    frame = MapFrame(
        origin=run.start,
        direction=(dx, dy),
        length=length,
        v_lo=min(across),
        v_hi=max(across),
        step=STEP,
    )
    return free_space_map(frame, ObstacleSet.of(shapes), body)
