"""What a view is asked to show besides the document itself."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from core.catalogue.catalogue import Catalogue
from core.geometry.shapes import Mesh
from core.model.job import EyePoint

__all__ = ["Shown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """The state that all views share.

    Attributes
    ----------
    catalogue : Catalogue
        The standard parts with those of the job.
    lift : float
        Where the runs are, 0 at working height, 1 stowed [-].
    selection : frozenset of str
        Ids of the chosen objects.
    cut : float or None
        Where the section across the room is cut (room x) [in].
    run : str or None
        The run of the long section.
    eye : EyePoint or None
        The eye point that the plan shows.
    meshes : mapping of str to Mesh
        For each scan, by its id, its mesh in room coordinates [in].
    finding : int or None
        Number of the chosen finding: its place in the report, from 1.
    """

    catalogue: Catalogue
    lift: float = 0.0
    selection: frozenset[str] = frozenset()
    cut: float | None = None
    run: str | None = None
    eye: EyePoint | None = None
    meshes: Mapping[str, Mesh] = field(default_factory=dict)
    finding: int | None = None
