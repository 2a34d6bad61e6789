"""support.fan: insulators 8 ft from the fans of a tunnel-ventilated room.

Hand-worked: tunnel-fan-1 hangs 16 in into the room from the back wall at x = 480:
its face is at x = 464, from y = 45 to 95. The last insulator of run-1 is at (336, 60).
"""

from dataclasses import replace

from core.model.barn import Barn
from core.model.room import Ventilation
from core.rules.finding import Outcome
from core.rules.wording import message
from tests.rules.judging import breaches, only, passed
from tests.specimens import FIXTURES, plain_barn

RULE = "support.fan"


def _tunnel(*, station: float = 312.0, fan: bool = True) -> Barn:
    barn = plain_barn()
    run = barn.runs[0]
    row = (*run.supports[:2], replace(run.supports[2], station=station))
    extra = (FIXTURES["tunnel-fan"],) if fan else ()
    return replace(
        barn,
        room=replace(barn.room, ventilation=Ventilation.TUNNEL),
        runs=(replace(run, supports=row), barn.runs[1]),
        fixtures=(*barn.fixtures, *extra),
    )


def test_ten_feet_and_more_pass() -> None:
    first, _ = passed(_tunnel(), RULE)
    assert (first.value, first.limit) == (464.0 - 336.0, 96.0)


def test_an_insulator_less_than_eight_feet_away_is_a_stop() -> None:
    finding = only(_tunnel(station=360.0), RULE, "near-fan")

    assert finding.outcome is Outcome.STOP
    assert (finding.subject, finding.other) == ("run-1", "support-1-3")
    assert (finding.value, finding.limit) == (464.0 - 384.0, 96.0)
    assert finding.station == 360.0
    assert "from tunnel-fan-1" in message(finding)

    passed(_tunnel(station=344.0), RULE)


def test_fans_of_another_ventilation_do_not_count() -> None:
    barn = _tunnel(station=360.0)
    room = replace(barn.room, ventilation=Ventilation.WALL_FANS)
    assert passed(replace(barn, room=room), RULE) == []


def test_a_tunnel_without_its_fans_is_not_checked() -> None:
    found = breaches(_tunnel(fan=False), RULE)
    assert [item.code for item in found] == ["no-fan", "no-fan"]
    assert found[0].outcome is Outcome.NOT_CHECKED
