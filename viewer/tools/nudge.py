"""Moving what is chosen by keys."""

from functools import partial

from core.drawing.frames import PLAN
from core.drawing.records import Frame, Grip
from core.drawing.snap import SIXTEENTH
from core.geometry.shapes import Vec2, Vec3
from core.model import edits
from core.model.hoists import Hoist
from core.model.room import Wall
from viewer.tools.events import Key, KeyPress, Modifier
from viewer.tools.fixture_movers import Hung, fixture_mover
from viewer.tools.grips import movable_ids, object_of
from viewer.tools.hoist_movers import hoist_mover
from viewer.tools.movers import Kept, Mover
from viewer.tools.steps import Request, Stage

__all__ = ["nudged"]

_WAYS: dict[Key, Vec2] = {
    Key.LEFT: (-1.0, 0.0),
    Key.RIGHT: (1.0, 0.0),
    Key.UP: (0.0, 1.0),
    Key.DOWN: (0.0, -1.0),
}


def _step(modifiers: Modifier) -> float:
    """Return how far one key press goes [in]: an inch, a foot, or a sixteenth."""
    if Modifier.FINE in modifiers:
        return SIXTEENTH
    return 12.0 if Modifier.COARSE in modifiers else 1.0


def _vector(frame: Frame, way: Vec2, step: float) -> Vec3:
    x, y, z = (
        step * (way[0] * right + way[1] * up)
        for right, up in zip(frame.right, frame.up, strict=True)
    )
    return (x, y, z)


def nudged(stage: Stage, event: KeyPress) -> Request | None:
    """Return the request to move what is chosen one step on the sheet.

    Parameters
    ----------
    stage : Stage
        The document and its view, whose plane gives the direction.
    event : KeyPress
        An arrow; FINE goes a sixteenth, COARSE a foot, otherwise an inch.

    Returns
    -------
    Request or None
        None for another key or when nothing movable is chosen.
    """
    way = _WAYS.get(event.key)
    ids = movable_ids(stage.barn, stage.shown.selection)
    if way is None or not ids:
        return None
    by = _vector(stage.drawing.frame, way, _step(event.modifiers))
    if len(ids) == 1:
        item = object_of(stage.barn, next(iter(ids)))
        if isinstance(item, Hoist):
            mover = hoist_mover(stage, item, Grip.WINCH)
            return _asked(mover, by, wall=item.winch.wall)
        if isinstance(item, Hung) and stage.drawing.frame != PLAN:
            return _asked(fixture_mover(stage, item, Grip.BODY, ""), by)
    name = f"Nudge {next(iter(ids))}" if len(ids) == 1 else f"Nudge {len(ids)} objects"
    return Request(name=name, edit=partial(edits.move_objects, ids=ids, by=by))


def _asked(mover: Mover, by: Vec3, *, wall: Wall | None = None) -> Request:
    """Return the request to move an object as a drag of it does."""
    x, y, z = (a + b for a, b in zip(mover.start, by, strict=True))
    return mover.ask(Kept(at=(x, y, z), wall=wall))
