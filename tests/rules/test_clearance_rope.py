"""clearance.rope: 1 in between the drop ropes and everything else.

Hand-worked: the first rope of run-1 lies in the plane y = 60. It goes from the top
of the tube, (48, 60, 50.461), to its pulley's wheel, (48 - 0.875, 60, 97.5). A ball
beside it, straight across from a point of that line, is as far from the rope's
axis as its middle is from y = 60; the rope is 3/16 in thick.
"""

from dataclasses import replace

import numpy as np
import pytest

from core.geometry.shapes import Mesh
from core.model.fixtures import PlainSphere
from core.rules.finding import Outcome
from core.rules.wording import message
from tests.rules.judging import SCANNED, only, passed, with_fixture
from tests.specimens import plain_barn
from tests.surface_specimens import box_mesh

RULE = "clearance.rope"
HEIGHT = 75.0
SHARE = (HEIGHT - 50.461) / (97.5 - 50.461)
X = 48.0 - 0.875 * SHARE


def _ball(gap: float) -> PlainSphere:
    away = gap + 2.0 + 3.0 / 32.0  # radius of the ball, half of the rope
    return PlainSphere(id="ball", x=X, y=60.0 + away, z=HEIGHT, diameter=4.0)


def test_the_ropes_of_the_plain_barn_touch_nothing() -> None:
    assert len(passed(plain_barn(), RULE)) == 2


@pytest.mark.parametrize(("gap", "code"), [(0.5, "too-near"), (-0.0625, "rubs")])
def test_a_ball_by_a_rope_is_a_stop(gap: float, code: str) -> None:
    spoilt = only(with_fixture(_ball(gap)), RULE, code)

    assert spoilt.outcome is Outcome.STOP
    assert (spoilt.subject, spoilt.other) == ("run-1", "ball")
    assert spoilt.value == pytest.approx(gap, abs=1e-9)  # hand-worked, see above
    assert spoilt.limit == 1.0
    assert spoilt.height == pytest.approx(HEIGHT, abs=1e-6)
    assert spoilt.station == pytest.approx(X - 24.0, abs=1e-6)
    assert "rope support-1-1 of run-1" in message(spoilt)

    passed(with_fixture(_ball(1.001)), RULE)


def test_a_run_without_a_hoist_still_has_ropes() -> None:
    barn = replace(with_fixture(_ball(0.5)), hoists=())
    only(barn, RULE, "too-near")


@pytest.mark.parametrize(("gap", "code"), [(0.5, "too-near"), (-0.0625, "rubs")])
def test_a_scan_by_a_rope_is_a_stop(gap: float, code: str) -> None:
    """Hand-worked: a flat side parallel to y = 60, half a rope and the gap from it."""

    def chute(gap: float) -> dict[str, Mesh]:
        low = np.array([44.0, 60.0 + 3.0 / 32.0 + gap, 70.0])
        return {"scan-9": box_mesh(low, low + 8.0)}

    spoilt = only(SCANNED, RULE, code, chute(gap))

    assert spoilt.outcome is Outcome.STOP
    assert (spoilt.subject, spoilt.other) == ("run-1", "scan-9")
    assert spoilt.value == pytest.approx(gap, abs=1e-9)
    assert spoilt.height is not None
    assert 70.0 - 1e-6 <= spoilt.height <= 78.0 + 1e-6
    assert "rope support-1-1 of run-1" in message(spoilt)

    kept = passed(SCANNED, RULE, chute(1.001))
    assert [item.other for item in kept if item.subject == "run-1"] == ["scan-9"]
