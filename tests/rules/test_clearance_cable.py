"""clearance.cable: 1 in between pull cable, clamps and everything else.

Hand-worked: over its drop pulleys the cable lies on top of the wheels, its middle
at 100 - 2.5 + 0.875 = 98.375 in; it is 3/16 in thick and sags down, never up. A
plate over it between the second and the third pulley, where no clamp comes, leaves
what is between 98.375 + 3/32 and its underside.
"""

from dataclasses import replace

import numpy as np
import pytest

from core.geometry.shapes import Mesh
from core.model.fixtures import PlainBox
from core.rules.finding import Outcome
from core.rules.wording import message, remedy
from tests.rules.judging import SCANNED, only, passed, with_fixture
from tests.specimens import plain_barn
from tests.surface_specimens import box_mesh

RULE = "clearance.cable"
TOP = 98.375 + 3.0 / 32.0


def _plate(gap: float) -> PlainBox:
    return PlainBox(
        id="plate", x=285.0, y=60.0, z=TOP + gap, length=10.0, width=8.0, height=0.5
    )


def test_the_cables_of_the_plain_barn_touch_nothing() -> None:
    assert len(passed(plain_barn(), RULE)) == 2


@pytest.mark.parametrize(
    ("gap", "code", "words"),
    [
        (0.5, "too-near", "comes within 0.50 in of plate"),
        (-0.0625, "rubs", "pull cable of run-1 rubs on plate"),
    ],
)
def test_a_plate_by_the_cable_is_a_stop(gap: float, code: str, words: str) -> None:
    spoilt = only(with_fixture(_plate(gap)), RULE, code)

    assert spoilt.outcome is Outcome.STOP
    assert (spoilt.subject, spoilt.other) == ("run-1", "plate")
    assert spoilt.value == pytest.approx(gap, abs=1e-9)  # hand-worked, see above
    assert spoilt.limit == 1.0
    assert words in message(spoilt)
    assert remedy(spoilt) == (
        "Move plate, or hang the pulleys of run-1 where its cable passes clear of "
        "plate."
    )

    passed(with_fixture(_plate(1.001)), RULE)


def test_a_clamp_is_thicker_than_its_cable() -> None:
    # the clamp of the second support comes by at x = 220; its radius is 1/2 in
    plate = replace(_plate(1.25), x=220.0)
    spoilt = only(with_fixture(plate), RULE, "too-near")
    assert spoilt.value == pytest.approx(1.25 + 3 / 32 - 0.5, abs=1e-9)  # hand-worked
    assert "The clamp support-1-2 of run-1" in message(spoilt)
    assert "set the clamp support-1-2 elsewhere on its cable" in remedy(spoilt)


@pytest.mark.parametrize(("gap", "code"), [(0.5, "too-near"), (-0.0625, "rubs")])
def test_a_scan_by_the_cable_is_a_stop(gap: float, code: str) -> None:
    """Hand-worked, see above: the plate's underside, from a scan."""

    def sheet(gap: float) -> dict[str, Mesh]:
        low = np.array([280.0, 56.0, TOP + gap])
        return {"scan-9": box_mesh(low, low + 8.0)}

    spoilt = only(SCANNED, RULE, code, sheet(gap))

    assert spoilt.outcome is Outcome.STOP
    assert (spoilt.subject, spoilt.other) == ("run-1", "scan-9")
    assert spoilt.value == pytest.approx(gap, abs=1e-9)
    assert "pull cable of run-1" in message(spoilt)
    assert remedy(spoilt).startswith("Hang the pulleys of run-1")  # a scan stays

    kept = passed(SCANNED, RULE, sheet(1.001))
    assert [item.other for item in kept if item.subject == "run-1"] == ["scan-9"]
