"""Everything that the eye can meet, as arrays: triangles, their owners, the lamps."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.catalogue.catalogue import Catalogue
from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.model.fixtures import Gate
from core.picture.finishes import Finish
from core.picture.fixture_looks import fixture_things
from core.picture.forms import TILE, Floats, Ints, merged
from core.picture.hanging_things import electrical_things, fixed_things
from core.picture.lamps import Lamps, lamps_of
from core.picture.room_things import animal_things, floor_map, room_things
from core.picture.things import Thing

__all__ = ["Block", "Stage", "block_of", "kin_of", "stage_of", "still_things"]

_JOINED = (Finish.CONCRETE, Finish.CEILING, Finish.WALL, Finish.PLANK)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stage:
    """A barn at a lift, ready for rays.

    Attributes
    ----------
    corners, normals : ndarray
        Triangles and their corners' normals `(n, 3, 3)` [in].
    finish, thing, cell : ndarray
        For each triangle its `Finish`, its place in `names`, and the patch of
        surface to which it belongs for the light that it throws back `(n,)`.
    kin : ndarray
        For each triangle a number that it shares with those that may be one surface
        with it: partitions of neighbours lie in one another `(n,)`.
    names : tuple
        Owner and part of each thing.
    still_cells : int
        How many of the patches belong to what stands still; they come first.
    low, high : ndarray
        Corners of the room `(3,)` [in].
    slats : ndarray
        Where the floor is slatted, by whole inches of x and y.
    lamps : Lamps
        The lamps.
    """

    corners: Floats
    normals: Floats
    finish: Ints
    thing: Ints
    kin: Ints
    cell: Ints
    names: tuple[tuple[str, str], ...]
    still_cells: int
    low: Floats
    high: Floats
    slats: NDArray[np.bool_]
    lamps: Lamps

    def things_of(self, owner: str) -> tuple[int, ...]:
        """Return the numbers of the things of an owner."""
        return tuple(k for k, name in enumerate(self.names) if name[0] == owner)


def still_things(
    barn: Barn, meshes: Mapping[str, Mesh], catalogue: Catalogue, *, animals: int = 0
) -> tuple[Thing, ...]:
    """Return everything that stands still; `animals` 1 puts pigs into the pens."""
    fixtures = (
        part
        for fixture in barn.fixtures
        for part in fixture_things(fixture, barn.room, meshes)
    )
    gates = [fixture for fixture in barn.fixtures if isinstance(fixture, Gate)]
    return (
        *room_things(barn.room, gates),
        *fixtures,
        *fixed_things(barn, catalogue),
        *electrical_things(barn.electrical, barn.room),
        *(animal_things(barn.room) if animals else ()),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block:
    """Some things as arrays; their cells are counted from 0."""

    corners: Floats
    normals: Floats
    finish: Ints
    thing: Ints
    cell: Ints
    names: tuple[tuple[str, str], ...]

    @property
    def cells(self) -> int:
        """How many patches of surface there are."""
        return int(self.cell.max()) + 1 if len(self.cell) else 0


def block_of(things: Iterable[Thing]) -> Block:
    """Return things as arrays, leaving out those without triangles."""
    parts = [part for part in things if len(part.form)]
    counts = [len(part.form) for part in parts]
    whole = merged(part.form for part in parts)
    number = np.repeat(np.arange(len(parts), dtype=np.int32), counts)
    finish = np.repeat(np.array([int(part.finish) for part in parts], np.int32), counts)
    return Block(
        corners=whole.corners,
        normals=whole.normals,
        finish=finish,
        thing=number,
        cell=_cells(number, whole.corners, whole.normals),
        names=tuple((part.owner, part.part) for part in parts),
    )


def stage_of(barn: Barn, still: Block, moving: Iterable[Thing]) -> Stage:
    """Return a barn as arrays.

    Parameters
    ----------
    barn : Barn
        The barn.
    still : Block
        Its `still_things`.
    moving : iterable of Thing
        Its `moving_things` at a lift; their cells follow those of the still ones.
    """
    block, room = block_of(moving), barn.room
    finish = np.concatenate([still.finish, block.finish])
    thing = np.concatenate([still.thing, block.thing + len(still.names)])
    return Stage(
        corners=np.concatenate([still.corners, block.corners]),
        normals=np.concatenate([still.normals, block.normals]),
        finish=finish,
        thing=thing,
        kin=kin_of(finish, thing),
        cell=np.concatenate([still.cell, block.cell + still.cells]),
        still_cells=still.cells,
        names=still.names + block.names,
        low=np.zeros(3, np.float32),
        high=np.array([room.length, room.width, 1e4], np.float32),
        slats=floor_map(room),
        lamps=lamps_of(barn),
    )


def kin_of(finish: Ints, thing: Ints) -> Ints:
    """Return which triangles may be one surface: parts of the building of a finish."""
    joined = np.isin(finish, [int(kind) for kind in _JOINED])
    kin: Ints = np.where(joined, -2 - finish, thing).astype(np.int32)
    return kin


def _cells(number: Ints, corners: Floats, normals: Floats) -> Ints:
    """Return to which patch each triangle belongs: by thing, place and facing."""
    middle = np.floor(corners.mean(axis=1) / TILE).astype(np.int64)
    facing = normals.mean(axis=1)
    axis = np.abs(facing).argmax(axis=1)
    side = 2 * axis + (facing[np.arange(len(axis)), axis] > 0)
    key = number.astype(np.int64)
    for column, size in (
        (middle[:, 0], 4096),
        (middle[:, 1], 4096),
        (middle[:, 2], 64),
    ):
        key = key * size + np.mod(column, size)
    _, cells = np.unique(key * 6 + side, return_inverse=True)
    found: Ints = cells.astype(np.int32)
    return found
