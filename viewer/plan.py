"""The plan on the screen."""

from core.analysis.report import Report
from core.drawing.memo import Memo
from core.drawing.plan import plan
from core.drawing.records import Drawing
from core.drawing.shown import Shown
from core.geometry.shapes import Vec2
from core.model.barn import Barn
from core.placement.building import nearest_truss
from core.placement.ceiling import ceiling_height
from viewer.paper.drawing_view import DrawingView
from viewer.paper.readout import both_units
from viewer.paper.turns import Turns
from viewer.session import Session

__all__ = ["PlanView"]


class PlanView(DrawingView):
    """The room from above."""

    def __init__(
        self,
        session: Session,
        *,
        common: Memo | None = None,
        turns: Turns | None = None,
    ) -> None:
        super().__init__(session, common=common, turns=turns, v_sign=-1)

    @property
    def title(self) -> str:
        """Its name."""
        return "Plan"

    def draw(
        self, barn: Barn, report: Report | None, shown: Shown, memo: Memo
    ) -> Drawing:
        """Return the plan."""
        return plan(barn, report, shown, memo=memo)

    def readout(self, at: Vec2) -> str:
        """Return along, across, the truss near by and the ceiling there."""
        room = self.session.barn.room
        x, y = at[0], -at[1]
        words = f"along {both_units(x)}   across {both_units(y)}"
        if not (0.0 <= x <= room.length and 0.0 <= y <= room.width):
            return words
        truss = nearest_truss(room, x)
        if truss is not None:
            words += f"   truss {truss.number}"
        return f"{words}   ceiling {both_units(ceiling_height(room, x, y))}"
