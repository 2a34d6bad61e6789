"""The document: one room with everything that belongs to its job."""

from collections.abc import Iterator
from dataclasses import dataclass

from core.catalogue.parts import Part
from core.model.electrical import PLACES, Electrical
from core.model.fields import Id
from core.model.fixtures import Fixture
from core.model.hoists import Hoist
from core.model.job import CommissioningRecord, EyePoint, Job
from core.model.room import Room
from core.model.runs import Run

__all__ = ["SCHEMA_VERSION", "Barn", "object_ids"]

SCHEMA_VERSION = 1

_STANDARD_ELECTRICAL = Electrical()
_UNTITLED_JOB = Job()


@dataclass(frozen=True, slots=True, kw_only=True)
class Barn:
    """A room, its fixtures, runs, hoists and electrical parts, and the job.

    The document is immutable; `core.model.edits` makes changed copies that
    share everything an edit leaves alone.
    """

    name: Id
    room: Room
    fixtures: tuple[Fixture, ...] = ()
    runs: tuple[Run, ...] = ()
    hoists: tuple[Hoist, ...] = ()
    electrical: Electrical = _STANDARD_ELECTRICAL
    job: Job = _UNTITLED_JOB
    parts: tuple[Part, ...] = ()
    eyes: tuple[EyePoint, ...] = ()
    record: CommissioningRecord | None = None


def object_ids(barn: Barn) -> Iterator[str]:
    """Yield the id of everything in the barn that has one, in file order.

    The supply and the isolating switch go by the names of their fields.
    """
    room = barn.room
    for group in (room.bulkheads, room.strips, room.pens, room.alleys, room.doors):
        yield from (item.id for item in group)
    yield from (fixture.id for fixture in barn.fixtures)
    for run in barn.runs:
        yield run.id
        yield from (support.id for support in run.supports)
    for hoist in barn.hoists:
        yield hoist.id
        for cable in hoist.cables:
            yield cable.id
            yield from (turn.id for turn in cable.turns)
    electrical = barn.electrical
    yield from (name for name in PLACES if getattr(electrical, name) is not None)
    yield from (lead.id for lead in electrical.leads)
    yield from (jumper.id for jumper in electrical.jumpers)
    yield from (rod.id for rod in electrical.rods)
    yield from (eye.id for eye in barn.eyes)
