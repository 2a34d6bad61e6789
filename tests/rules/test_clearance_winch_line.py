"""The rope from the winch to the pull point touches nothing, as low as it sags."""

from dataclasses import replace

import numpy as np

from core.geometry.shapes import Mesh
from core.model.barn import Barn
from core.model.fixtures import PlainBox
from core.rules.finding import Outcome
from tests.rules.judging import SCANNED, only, passed
from tests.rules.spoiling import GOOD, codes, goes_wrong
from tests.surface_specimens import box_mesh

RULE = "clearance.winch-line"


def with_box(z: float) -> Barn:
    """Return the barn with a thin box under the middle of the winch line."""
    box = PlainBox(id="box", x=200.0, y=114.0, z=z, length=8.0, width=8.0, height=2.0)
    return replace(GOOD, fixtures=(*GOOD.fixtures, box))


def test_a_box_in_the_way() -> None:
    item = goes_wrong(with_box(69.0), RULE, "rubs", Outcome.STOP)
    assert item.other == "box"


def test_the_sag_counts() -> None:
    """Hand-worked: at x = 200 the line is 48 + 49 x 196 / 436 = 70.0 in high; it is
    436 in long and weighs 0.065 lb/ft: pulled by 27 lb while lowering it sags
    0.0054 x 436^2 / (8 x 27) = 4.8 in there."""
    assert codes(with_box(70.0 - 5.0 - 2.0), RULE) != {}
    assert codes(with_box(70.0 - 8.0 - 2.0), RULE) == {}


def test_the_way_of_the_pull_point_counts() -> None:
    """Hand-worked: stowed the line is steeper, at x = 200 it is
    48 + 49 x 196 / 395.5 = 72.3 in high."""
    assert codes(with_box(72.3 + 0.5), RULE) != {}
    assert codes(with_box(72.3 + 3.0), RULE) == {}


def test_a_scan_in_the_way() -> None:
    """Hand-worked: the box of the first case, from a scan, and one below the sag."""

    def duct(z: float) -> dict[str, Mesh]:
        low, high = np.array([196.0, 110.0, z]), np.array([204.0, 118.0, z + 2.0])
        return {"scan-9": box_mesh(low, high)}

    item = only(SCANNED, RULE, "rubs", duct(69.0))
    assert (item.subject, item.other) == ("hoist-1", "scan-9")
    passed(SCANNED, RULE, duct(70.0 - 8.0 - 2.0))
