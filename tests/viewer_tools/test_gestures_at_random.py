"""Random gestures: never an exception, at most one edit each, and Cancel gives none."""

from contextlib import suppress
from random import Random

import pytest

from core.drawing.long_section import long_section
from core.drawing.memo import Memo
from core.drawing.plan import plan
from core.drawing.section import section
from core.drawing.shown import Shown
from core.errors import EditError
from core.model.barn import object_ids
from tests.core.drawing.reports import CATALOGUE
from tests.specimens import full_barn
from viewer.tools.events import Key, KeyPress, Modifier, Move, Press, Release
from viewer.tools.pointer import Pointer
from viewer.tools.steps import Stage

GESTURES = 400


def _point(random, drawing):
    handles = [r.at for r in drawing.records if hasattr(r, "at")]
    if handles and random.random() < 0.7:
        return random.choice(handles)
    low, high = drawing.bounds.low, drawing.bounds.high
    return tuple(random.uniform(a, b) for a, b in zip(low, high, strict=True))


def _gesture(random, stage, pointer):
    """One random press, some moves, and a release or Cancel; the steps."""
    start = _point(random, stage.drawing)
    held = random.choice([Modifier.NONE, Modifier.FREE, Modifier.ADD])
    steps = [pointer.feed(Press(at=start, tolerance=3.0, modifiers=held), stage)]
    at = start
    for _ in range(random.randrange(4)):
        at = tuple(c + random.gauss(0, 40) for c in at)
        steps.append(pointer.feed(Move(at=at, modifiers=held), stage))
    is_cancelled = random.random() < 0.2
    if is_cancelled:
        steps.append(pointer.feed(KeyPress(key=Key.CANCEL), stage))
    steps.append(pointer.feed(Release(at=at, modifiers=held), stage))
    if is_cancelled:
        assert all(step.request is None for step in steps)
    return steps


@pytest.mark.parametrize("view", [plan, section, long_section])
def test_random_gestures_leave_a_sound_barn(view):
    random, barn = Random(view.__name__), full_barn()
    catalogue = CATALOGUE.with_parts(barn.parts)
    ids, memo, pointer = set(object_ids(barn)), Memo(), Pointer()
    shown = Shown(catalogue=catalogue, cut=100.0, eye=barn.eyes[0])
    edits = 0
    for _ in range(GESTURES):
        stage = Stage(
            barn=barn, drawing=view(barn, None, shown, memo=memo), shown=shown
        )
        steps = _gesture(random, stage, pointer)
        requests = [step.request for step in steps if step.request is not None]
        assert len(requests) <= 1
        for request in requests:
            barn = request.edit(barn).barn
            edits += 1
        for step in steps:
            if step.selection is not None:
                shown = Shown(
                    catalogue=catalogue,
                    cut=step.cut or shown.cut,
                    eye=barn.eyes[0],
                    selection=step.selection,
                )
    assert set(object_ids(barn)) == ids
    assert edits > 5


@pytest.mark.parametrize("key", [Key.LEFT, Key.RIGHT, Key.UP, Key.DOWN])
def test_everything_in_the_barn_can_be_nudged_or_says_why_not(key):
    barn = full_barn()
    catalogue = CATALOGUE.with_parts(barn.parts)
    memo = Memo()
    for owner in (*object_ids(barn), "supply", "switch"):
        shown = Shown(catalogue=catalogue, selection=frozenset({owner}))
        stage = Stage(
            barn=barn, drawing=plan(barn, None, shown, memo=memo), shown=shown
        )
        request = Pointer().feed(KeyPress(key=key), stage).request
        if request is None:
            continue
        with suppress(EditError):
            assert request.edit(barn).barn.name == barn.name
