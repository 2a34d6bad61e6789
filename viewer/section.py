"""The section across the room and the long section along a run, on the screen."""

from core.analysis.report import Report
from core.drawing.long_section import long_section
from core.drawing.memo import Memo
from core.drawing.records import Drawing
from core.drawing.section import section
from core.drawing.shown import Shown
from core.errors import EditError
from core.geometry.free_space import FreeSpaceMap
from core.geometry.shapes import Vec2
from core.model.barn import Barn
from core.placement.building import nearest_truss
from viewer.paper.drawing_view import DrawingView
from viewer.paper.readout import both_units
from viewer.paper.turns import Turns
from viewer.session import Session

__all__ = ["LongSectionView", "SectionView"]


class SectionView(DrawingView):
    """The room across, cut where the session says."""

    def __init__(
        self,
        session: Session,
        *,
        common: Memo | None = None,
        turns: Turns | None = None,
    ) -> None:
        super().__init__(session, common=common, turns=turns)
        session.maps.made.connect(self.ask_to_draw)

    @property
    def title(self) -> str:
        """Its name."""
        return "Section"

    def draw(
        self, barn: Barn, report: Report | None, shown: Shown, memo: Memo
    ) -> Drawing:
        """Return the section, with the free space of a chosen run behind it."""
        found = self._free_space(barn, report, shown)
        return section(barn, report, shown, free_space=found, memo=memo)

    def _free_space(
        self, barn: Barn, report: Report | None, shown: Shown
    ) -> FreeSpaceMap | None:
        """Return the map of the chosen run; that of before while a drag goes on."""
        maps = self.session.maps
        run = next((r for r in barn.runs if r.id in shown.selection), None)
        if run is None or report is None:
            maps.forget()
            return None
        is_settled = report.barn is barn is self.session.document
        if not is_settled or run.id not in report.runs:
            return maps.kept(run)
        body = report.runs[run.id].evidence.body
        return maps.wanted(barn, run, body, shown.meshes)

    def readout(self, at: Vec2) -> str:
        """Return across, height, and where the cut is."""
        across, height = both_units(at[0]), both_units(at[1])
        cut = both_units(self.session.cut)
        return f"across {across}   height {height}   cut at {cut}"


class LongSectionView(DrawingView):
    """The room along the session's run."""

    @property
    def title(self) -> str:
        """Its name."""
        return "Long section"

    def draw(
        self, barn: Barn, report: Report | None, shown: Shown, memo: Memo
    ) -> Drawing:
        """Return the long section."""
        if not barn.runs:
            msg = "no run yet: add one in the plan"
            raise EditError(msg)
        return long_section(barn, report, shown, memo=memo)

    def readout(self, at: Vec2) -> str:
        """Return station, height, and the truss near by."""
        words = f"station {both_units(at[0])}   height {both_units(at[1])}"
        drawing = self.drawing
        if drawing is None:
            return words
        x, y, _ = drawing.frame.to_room(at)
        room = self.session.barn.room
        truss = nearest_truss(room, x)
        inside = 0.0 <= x <= room.length and 0.0 <= y <= room.width
        return f"{words}   truss {truss.number}" if truss and inside else words
