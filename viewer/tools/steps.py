"""What a tool answers: a preview while it lasts, one request at its end."""

from collections.abc import Callable
from dataclasses import dataclass, field

from core.catalogue.catalogue import Catalogue
from core.drawing.records import Bounds, Drawing, Record
from core.drawing.shown import Shown
from core.geometry.shapes import Vec2
from core.model.barn import Barn
from core.model.edits import Edited

__all__ = ["Request", "Stage", "Step"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Request:
    """One edit that a gesture asks for: its name for the undo list, and itself."""

    name: str
    edit: Callable[[Barn], Edited]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stage:
    """What a tool acts on: the document, what its view shows, and how.

    `seen` is the part of the drawing that is on the screen, None for all [in];
    `reach` is how far off the pointer may be when it takes hold of something, by
    which the sizes of notes are measured [in].
    """

    barn: Barn
    drawing: Drawing
    shown: Shown
    seen: Bounds | None = None
    reach: float = 0.0

    @property
    def catalogue(self) -> Catalogue:
        """The parts of the job."""
        return self.shown.catalogue


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """What has come of one event.

    Attributes
    ----------
    preview : Barn or None
        The barn as it would be if the button went up now.
    notes : tuple of Record
        Live dimensions, guides and refusals, in the view's plane.
    request : Request or None
        The one edit of a gesture that has ended.
    selection : frozenset of str or None
        What is to be chosen now, None for no change.
    cut : float or None
        Where the section is to be cut, None for no change [in].
    band : pair of Vec2 or None
        Two corners of a rectangle that is being drawn round objects [in].
    is_dragging : bool
        Whether a drag is going on.
    problem : str
        Why the object cannot go where the pointer is; empty if it can. At the
        release the request is of the last place that it could go to.
    """

    preview: Barn | None = None
    notes: tuple[Record, ...] = field(default=())
    request: Request | None = None
    selection: frozenset[str] | None = None
    cut: float | None = None
    band: tuple[Vec2, Vec2] | None = None
    is_dragging: bool = False
    problem: str = ""
