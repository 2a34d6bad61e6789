"""Spoil one value of a good barn, see the code of the finding, mend it again."""

from dataclasses import replace
from typing import Any

from core.analysis.analyse import analyse
from core.catalogue.standard import standard_catalogue
from core.model.barn import Barn
from core.rules.finding import Finding, Outcome
from core.rules.wording import message, remedy
from tests.specimens import plain_barn

GOOD = plain_barn()
HOIST = GOOD.hoists[0]


def findings(barn: Barn, rule: str) -> list[Finding]:
    return [item for item in analyse(barn).report.findings if item.rule == rule]


def codes(barn: Barn, rule: str) -> dict[str, Outcome]:
    """Return what a rule has against a barn: code to outcome, passes left out."""
    return {
        item.code: item.outcome
        for item in findings(barn, rule)
        if item.outcome is not Outcome.PASS
    }


def one(barn: Barn, rule: str, code: str) -> Finding:
    (item,) = (each for each in findings(barn, rule) if each.code == code)
    return item


def goes_wrong(spoilt: Barn, rule: str, code: str, outcome: Outcome) -> Finding:
    """Hold a rule to: nothing, then this one code, then nothing again."""
    before = codes(GOOD, rule)
    assert code not in before
    assert codes(spoilt, rule) == {**before, code: outcome}
    assert codes(mended(spoilt), rule) == before
    item = next(each for each in findings(spoilt, rule) if each.code == code)
    words = message(item) + remedy(item)
    assert "{" not in words
    assert "safe" not in words.lower()
    assert "compl" not in words.lower()
    assert remedy(item)
    return item


def mended(spoilt: Barn) -> Barn:
    """Return the spoilt barn with every spoilt branch put right."""
    return replace(
        spoilt,
        room=GOOD.room,
        fixtures=GOOD.fixtures,
        runs=GOOD.runs,
        hoists=GOOD.hoists,
        electrical=GOOD.electrical,
        job=GOOD.job,
        parts=GOOD.parts,
    )


def with_hoist(**changes: Any) -> Barn:
    return replace(GOOD, hoists=(replace(HOIST, **changes),))


def with_winch(**changes: Any) -> Barn:
    return with_hoist(winch=replace(HOIST.winch, **changes))


def with_run(number: int = 0, **changes: Any) -> Barn:
    runs = list(GOOD.runs)
    runs[number] = replace(runs[number], **changes)
    return replace(GOOD, runs=tuple(runs))


def with_support(number: int = 0, **changes: Any) -> Barn:
    supports = list(GOOD.runs[0].supports)
    supports[number] = replace(supports[number], **changes)
    return with_run(0, supports=tuple(supports))


def with_turn(number: int = 0, **changes: Any) -> Barn:
    cable, *others = HOIST.cables
    turns = list(cable.turns)
    turns[number] = replace(turns[number], **changes)
    return with_hoist(cables=(replace(cable, turns=tuple(turns)), *others))


def with_electrical(**changes: Any) -> Barn:
    return replace(GOOD, electrical=replace(GOOD.electrical, **changes))


def with_part(part_id: str, **changes: Any) -> Barn:
    part = replace(standard_catalogue().by_id[part_id], **changes)
    return replace(GOOD, parts=(*GOOD.parts, part))


def with_loose_rope(number: int) -> Barn:
    """Return a stiff pipe one of whose ropes is a foot too long."""
    stiff = with_part("set-screw-coupling", rotational_stiffness=None)
    return replace(stiff, runs=with_support(number, rope_slack=12.0).runs)
