"""What a picture is taken of: a barn, its scans, and what was found in it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from core.analysis.report import Report
from core.catalogue.catalogue import Catalogue
from core.catalogue.standard import standard_catalogue
from core.geometry.runs import SagProfile
from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.picture.hanging_things import moving_things
from core.picture.stage import Block, Stage, block_of, stage_of, still_things

__all__ = ["Subject", "subject_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Subject:
    """A barn whose still things are made once for any number of pictures."""

    barn: Barn
    catalogue: Catalogue
    still: Block
    report: Report | None = None
    sags: Mapping[str, SagProfile] = field(default_factory=dict)

    def stage(self, lift: float) -> Stage:
        """Return the barn at a lift from 0 (working) to 1 (stowed) [-]."""
        moving = moving_things(self.barn, self.catalogue, self.sags, lift=lift)
        return stage_of(self.barn, self.still, moving)


def subject_of(
    barn: Barn,
    *,
    meshes: Mapping[str, Mesh],
    report: Report | None = None,
    animals: int = 0,
) -> Subject:
    """Return what a picture is taken of.

    Parameters
    ----------
    barn : Barn
        The document.
    meshes : mapping of str to Mesh
        The mesh of each scan by its fixture's id, in room coordinates [in].
    report : Report, optional
        What was found in this barn; gives the sag of the runs, and the clashes.
    animals : int
        1 to see simple pigs in the pens, for scale [-].

    Raises
    ------
    MeshFileError
        If the mesh of a scan is not among `meshes`.
    """
    catalogue = standard_catalogue().with_parts(barn.parts)
    sags = {
        run.id: run.evidence.body.sag
        for run in (report.runs.values() if report else ())
        if run.evidence.body.sag is not None
    }
    return Subject(
        barn=barn,
        catalogue=catalogue,
        still=block_of(still_things(barn, meshes, catalogue, animals=animals)),
        report=report,
        sags=sags,
    )
