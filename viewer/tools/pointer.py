"""The machine behind the pointer: choosing, dragging, and drawing a band.

Fed with press, move, release and keys, it answers each with a step. A drag gives
previews while it lasts and exactly one request at its end; Cancel gives none.
"""

import math
from dataclasses import dataclass, replace
from enum import Enum, auto

from core.drawing.live_dimensions import cut_dimensions
from core.drawing.pick import Hit, Touch, owners_in, picked
from core.drawing.records import CUT, Grip, Handle, Record
from core.drawing.refusals import refusal
from core.drawing.snap import snapped
from core.errors import LiftlaneError
from core.geometry.shapes import Vec2, Vec3
from core.model.barn import Barn, object_ids
from viewer.tools.events import (
    Event,
    Key,
    KeyPress,
    Modifier,
    Move,
    Press,
    Release,
)
from viewer.tools.grips import (
    is_room_part,
    mover_of,
    movers_of_many,
    why_it_stays,
)
from viewer.tools.movers import Mover
from viewer.tools.nudge import nudged
from viewer.tools.steps import Request, Stage, Step

__all__ = ["Pointer"]


# handles that move the whole of an object, and with it all that is chosen
_WHOLE = (Grip.BODY, Grip.SUPPORT, Grip.TURN, Grip.SUPPLY, Grip.SWITCH)


class _State(Enum):
    """What the machine waits for."""

    IDLE = auto()
    PRESSED = auto()
    DRAGGING = auto()
    BANDING = auto()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Grasp:
    """What is held since the press: where, by what, and who moves it.

    `stays` says why nothing moves it; empty where nothing is held.
    """

    press: Press
    stage: Stage
    hit: Hit | None
    mover: Mover | None
    selection: frozenset[str]
    is_cut: bool = False
    stays: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Possible:
    """The last place that a dragged object could go to, and what it showed there."""

    request: Request
    preview: Barn
    notes: tuple[Record, ...]
    at: Vec3


class Pointer:
    """The pointer over one view.

    Mutable: it remembers the press, and the last place that an object could go.
    """

    def __init__(self) -> None:
        self._state = _State.IDLE
        self._grasp: _Grasp | None = None
        self._last: _Possible | None = None

    def feed(self, event: Event, stage: Stage) -> Step:
        """Return what comes of one event.

        Parameters
        ----------
        event : Event
            What has happened, in the plane of the stage's drawing.
        stage : Stage
            The document without any preview, and what the view shows. During a
            drag the stage of the press counts.

        Returns
        -------
        Step
            Preview, notes, request and selection.
        """
        match event:
            case Press():
                return self._pressed(event, stage)
            case Move():
                return self._moved(event)
            case Release():
                return self._released(event)
            case KeyPress(key=Key.CANCEL):
                return self._cancelled()
            case KeyPress():
                if self._state is not _State.IDLE:
                    return Step(is_dragging=self._state is _State.DRAGGING)
                return Step(request=nudged(stage, event))

    def _pressed(self, press: Press, stage: Stage) -> Step:
        hit = _first(picked(stage.drawing, press.at, tolerance=press.tolerance), stage)
        selection = _selection_after(press, hit, stage)
        stage = replace(stage, reach=press.tolerance)
        mover = _mover(stage, hit, selection)
        self._last = None
        self._state = _State.PRESSED
        self._grasp = _Grasp(
            press=press,
            stage=stage,
            hit=hit,
            mover=mover,
            selection=selection,
            is_cut=hit is not None and hit.owner == CUT,
            stays=_stays(stage, hit, selection) if mover is None else "",
        )
        changed = selection != stage.shown.selection
        return Step(selection=selection if changed else None)

    def _moved(self, move: Move) -> Step:
        grasp = self._grasp
        if grasp is None:
            return Step()
        if self._state is _State.PRESSED:
            if math.dist(move.at, grasp.press.at) <= grasp.press.tolerance:
                return Step()
            is_held = grasp.mover is not None or grasp.is_cut or grasp.stays
            self._state = _State.DRAGGING if is_held else _State.BANDING
        if self._state is _State.BANDING:
            return Step(band=(grasp.press.at, move.at))
        if grasp.is_cut:
            return _cut_step(grasp, move)
        return self._dragged(grasp, move)

    def _dragged(self, grasp: _Grasp, move: Move | Release) -> Step:
        """Return the preview of an object where the pointer would put it."""
        mover = grasp.mover
        if mover is None:
            return self._refused(grasp, move, grasp.stays)
        kept = mover.keep(_place(grasp, mover, move.at), move.modifiers)
        request = mover.ask(kept)
        try:
            preview = request.edit(grasp.stage.barn).barn
            notes = (*kept.guides, *mover.notes(preview, kept))
        except LiftlaneError as error:
            return self._refused(grasp, move, mover.why(kept) or str(error))
        self._last = _Possible(
            request=request, preview=preview, notes=notes, at=kept.at
        )
        return Step(preview=preview, notes=notes, is_dragging=True)

    def _refused(self, grasp: _Grasp, move: Move | Release, words: str) -> Step:
        """Return the last place that was possible, with the reason beside the pointer.

        What is shown there stays, so that the two can be compared.
        """
        last, stage = self._last, grasp.stage
        frame, thing = stage.drawing.frame, grasp.press.at
        if last is not None:
            thing = frame.point(last.at)
        elif grasp.mover is not None:
            thing = frame.point(grasp.mover.start)
        said = refusal(words, move.at, thing=thing, reach=stage.reach, seen=stage.seen)
        return Step(
            preview=last.preview if last else None,
            notes=(*(last.notes if last else ()), *said),
            is_dragging=True,
            problem=words,
        )

    def _released(self, release: Release) -> Step:
        grasp, state = self._grasp, self._state
        if grasp is None:
            return Step()
        if state is _State.PRESSED and _is_far(grasp, release):
            self._moved(Move(at=release.at, modifiers=release.modifiers))
            state = self._state
        step = self._finished(grasp, state, release)
        self._forget()
        return step

    def _finished(self, grasp: _Grasp, state: _State, release: Release) -> Step:
        if state is _State.BANDING:
            return Step(selection=_banded(grasp, release))
        if state is not _State.DRAGGING:
            return Step()
        if grasp.is_cut:
            move = Move(at=release.at, modifiers=release.modifiers)
            return Step(cut=_cut_at(grasp, move))
        step = self._dragged(grasp, release)
        if self._last is None:
            return Step(problem=step.problem)
        if self._last.preview == grasp.stage.barn:
            return Step(problem=step.problem)
        return Step(request=self._last.request, problem=step.problem)

    def _cancelled(self) -> Step:
        grasp = self._grasp
        was_cut = grasp is not None and grasp.is_cut
        cut = grasp.stage.shown.cut if grasp is not None and was_cut else None
        self._forget()
        return Step(cut=cut)

    def _forget(self) -> None:
        self._state = _State.IDLE
        self._grasp = None
        self._last = None


def _is_far(grasp: _Grasp, release: Release) -> bool:
    return math.dist(release.at, grasp.press.at) > grasp.press.tolerance


def _known(barn: Barn) -> frozenset[str]:
    """Return everything that can be chosen or taken hold of."""
    return frozenset((CUT, *object_ids(barn)))


def _first(hits: tuple[Hit, ...], stage: Stage) -> Hit | None:
    """Return the hit that is meant: a handle, else what lies on top.

    Parts of the room come last, those that are chosen before the others.
    """
    ids = _known(stage.barn)
    known = [hit for hit in hits if hit.owner in ids]
    handles = [hit for hit in known if isinstance(hit.record, Handle)]
    chosen = [hit for hit in known if hit.owner in stage.shown.selection]
    loose = [hit for hit in known if not is_room_part(stage.barn, hit.owner)]
    return next(iter((*handles, *loose, *chosen, *known)), None)


def _selection_after(press: Press, hit: Hit | None, stage: Stage) -> frozenset[str]:
    old = stage.shown.selection
    adding = Modifier.ADD in press.modifiers
    if hit is None:
        return old if adding else frozenset()
    if hit.owner == CUT:
        return old
    if adding:
        return old ^ {hit.owner}
    if isinstance(hit.record, Handle):
        return old
    return old if hit.owner in old else frozenset({hit.owner})


def _mover(stage: Stage, hit: Hit | None, selection: frozenset[str]) -> Mover | None:
    if hit is None or hit.owner == CUT:
        return None
    grip = Grip.BODY
    record = hit.record
    if isinstance(record, Handle):
        grip = record.grip
    elif is_room_part(stage.barn, hit.owner):
        if hit.owner not in stage.shown.selection:
            return None
    elif hit.owner not in selection:
        return None
    if grip in _WHOLE and len(selection) > 1 and hit.owner in selection:
        return movers_of_many(stage, selection, hit.owner)
    return mover_of(stage, hit.owner, grip, record.part)


def _stays(stage: Stage, hit: Hit | None, selection: frozenset[str]) -> str:
    """Return why what has been hit cannot be dragged; empty for what is no object."""
    if hit is None or hit.owner not in selection:
        return ""
    return why_it_stays(stage.barn, hit.owner)


def _place(grasp: _Grasp, mover: Mover, at: Vec2) -> Vec3:
    """Return where the pointer would put the object, without a jump at the press."""
    frame = grasp.stage.drawing.frame
    du, dv = at[0] - grasp.press.at[0], at[1] - grasp.press.at[1]
    x, y, z = (
        s + du * r + dv * u
        for s, r, u in zip(mover.start, frame.right, frame.up, strict=True)
    )
    return (x, y, z)


def _cut_at(grasp: _Grasp, move: Move) -> float:
    """Return where the section is cut for a pointer in a view along the room [in]."""
    stage = grasp.stage
    right = stage.drawing.frame.right[0]
    x = (stage.shown.cut or 0.0) + (move.at[0] - grasp.press.at[0]) * right
    return snapped(min(max(x, 0.0), stage.barn.room.length), (), reach=0.0).value


def _cut_step(grasp: _Grasp, move: Move) -> Step:
    cut, stage = _cut_at(grasp, move), grasp.stage
    notes = cut_dimensions(cut, stage.barn.room, stage.drawing.frame, move.at)
    return Step(cut=cut, notes=tuple(notes), is_dragging=True)


def _banded(grasp: _Grasp, release: Release) -> frozenset[str]:
    """Return what a band takes: to the right all inside, to the left all touched."""
    (u0, v0), (u1, v1) = grasp.press.at, release.at
    touch = Touch.INSIDE if u1 >= u0 else Touch.TOUCHED
    low, high = (min(u0, u1), min(v0, v1)), (max(u0, u1), max(v0, v1))
    found = owners_in(grasp.stage.drawing, low, high, touch=touch)
    known = (found & _known(grasp.stage.barn)) - {CUT}
    if Modifier.ADD in release.modifiers:
        return grasp.stage.shown.selection | known
    return known
