"""Drags on the specimen without a window, for the tests of the tools."""

from core.drawing.plan import plan
from core.drawing.records import Role, Text
from core.drawing.shown import Shown
from tests.core.drawing.reports import CATALOGUE
from tests.specimens import plain_barn
from viewer.tools.events import Modifier, Move, Press, Release
from viewer.tools.pointer import Pointer
from viewer.tools.steps import Stage

__all__ = ["drag", "make_stage", "result", "said"]


def make_stage(view=plan, barn=None, selection=(), **changes):
    """A view of a barn, the sound one unless told, with things chosen."""
    barn = plain_barn() if barn is None else barn
    catalogue = CATALOGUE.with_parts(barn.parts)
    shown = Shown(
        catalogue=catalogue, cut=100.0, selection=frozenset(selection), **changes
    )
    return Stage(barn=barn, drawing=view(barn, None, shown), shown=shown)


def drag(stage, start, end, modifiers=Modifier.NONE, pointer=None):
    """Press, three moves, release; return the steps."""
    pointer = pointer or Pointer()
    steps = [pointer.feed(Press(at=start, tolerance=2.0), stage)]
    for share in (0.3, 0.7, 1.0):
        at = tuple(a + share * (b - a) for a, b in zip(start, end, strict=True))
        steps.append(pointer.feed(Move(at=at, modifiers=modifiers), stage))
    steps.append(pointer.feed(Release(at=end, modifiers=modifiers), stage))
    return steps


def result(stage, steps):
    """The barn after the one request of a drag."""
    requests = [step.request for step in steps if step.request is not None]
    assert len(requests) == 1
    assert requests[0] is steps[-1].request
    return requests[0].edit(stage.barn).barn


def said(step):
    """The sentence beside the pointer."""
    found = [n for n in step.notes if n.role is Role.REFUSAL and isinstance(n, Text)]
    return " ".join(note.parts[0] for note in found)
