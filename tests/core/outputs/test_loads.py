"""Loads, grounding register and cautions in both forms of the report."""

import json
from dataclasses import replace
from typing import Any

import pytest

from core.analysis.analyse import analyse
from core.model.barn import Barn
from core.outputs.report_json import report_json
from core.outputs.report_text import report_text
from core.quantities import LengthStyle
from tests.rules.spoiling import with_electrical, with_part, with_run
from tests.specimens import plain_barn

BARN = plain_barn()


def as_json(barn: Barn) -> dict[str, Any]:
    report = analyse(barn).report
    told = report_json(report, style=LengthStyle.FEET, barn="barn.json")
    # a strict writer refuses what other programs cannot read
    read: dict[str, Any] = json.loads(json.dumps(told, allow_nan=False))
    return read


def as_text(barn: Barn) -> str:
    return report_text(analyse(barn).report, style=LengthStyle.FEET, barn="barn.json")


def test_every_support_pulley_segment_screw_and_winch_is_in_loads() -> None:
    loads = as_json(BARN)["loads"]
    supports = [s.id for run in BARN.runs for s in run.supports]
    assert [s["id"] for run in loads["runs"] for s in run["supports"]] == supports
    (hoist,) = loads["hoists"]
    pulleys = [p["id"] for cable in hoist["cables"] for p in cable["pulleys"]]
    turns = [t.id for cable in BARN.hoists[0].cables for t in cable.turns]
    assert set(pulleys) == {*supports, *turns}
    assert [a["id"] for cable in hoist["cables"] for a in cable["anchors"]] == pulleys
    for cable in hoist["cables"]:
        assert len(cable["segments"]) == len(cable["pulleys"])
        assert cable["segments"][-1]["end"] == "pull point"
    assert hoist["winch"]["pull"] == pytest.approx(hoist["pull"])
    assert {truss["truss"] for truss in loads["trusses"]} >= {"truss 2", "truss 5"}


def test_the_register_says_what_is_known_and_what_is_to_be_measured() -> None:
    grounding = as_json(with_electrical(bonds=BARN.electrical.bonds[1:]))["grounding"]
    known = {row["subject"]: row["known"] for row in grounding["bonds"]}
    first = BARN.electrical.bonds[0].subject
    assert [key for key, value in known.items() if not value] == [first]
    assert known["hoist-1"]
    assert grounding["measure_before"]
    assert grounding["measure_after"]


def test_the_stored_energy_is_a_caution_of_every_output() -> None:
    energy = as_json(BARN)["grounding"]["stored"]["energy"]
    words = f"{energy:.2f} J"
    assert any(words in line for line in as_json(BARN)["cautions"])
    assert words in as_text(BARN)


@pytest.mark.parametrize(
    "barn",
    [
        BARN,
        replace(BARN, hoists=()),
        replace(
            BARN, runs=(), hoists=(), electrical=replace(BARN.electrical, leads=())
        ),
        with_run(supports=()),
        with_part("drop-pulley-40", friction_ratio=40.0),
        with_electrical(bonds=(), rods=(), supply=None, switch=None, leads=()),
    ],
    ids=["good", "no hoist", "no run", "no rope", "stiff", "no electrics"],
)
def test_no_barn_is_too_poor_to_be_told_of(barn: Barn) -> None:
    as_json(barn)
    text = as_text(barn)
    assert "nan" not in text
    assert "{" not in text
    for word in ("safe", "complies", "compliant"):
        assert word not in text.lower()


def test_bare_barns_are_not_passed_in_silence() -> None:
    bare = replace(BARN, hoists=())
    told = as_json(bare)["not_checked"]
    rules = {item["rule"] for item in told}
    assert {"hoist.pull", "hoist.lower", "support.pulley", "support.anchor"} <= rules
    none = with_electrical(bonds=(), rods=(), supply=None, switch=None, leads=())
    told = as_json(none)["not_checked"]
    rules = {item["rule"] for item in told}
    assert {
        "clearance.lead",
        "electrical.lead",
        "electrical.supply",
        "electrical.switch",
    } <= rules


def test_unknown_bonds_are_written_large() -> None:
    text = as_text(with_electrical(bonds=()))
    assert "probe-1 (probe): UNKNOWN" in text
    assert "hoist-1 (hoist): UNKNOWN" in text


def _section(text: str, title: str) -> list[str]:
    """Return the lines of a report from a title to the next empty line."""
    lines = text.splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith(title))
    return lines[start + 1 : lines.index("", start)]


def test_the_text_tells_the_hardest_used_only_and_the_json_all() -> None:
    lines = _section(as_text(BARN), "Loads")
    loads = as_json(BARN)["loads"]
    (hoist,) = loads["hoists"]
    for run in loads["runs"]:
        (line,) = (each for each in lines if each.startswith(f"  {run['id']}: "))
        weights = {row["id"]: row["load"] for row in run["supports"]}
        assert f"most on {max(weights, key=weights.__getitem__)} " in line
        assert f"least on {min(weights, key=weights.__getitem__)} " in line
    for cable in hoist["cables"]:
        at = next(i for i, each in enumerate(lines) if f"  {cable['id']} on " in each)
        for kind in ("drop", "turning"):
            rows = [row for row in cable["pulleys"] if row["kind"] == kind]
            worst = max(rows, key=lambda row: row["load"] / row["rating"])
            share = 100 * worst["load"] / worst["rating"]
            assert (
                f"{kind} pulley {worst['id']} {worst['load']:.1f} of" in lines[at + 1]
            )
            assert f"({share:.0f} %)" in lines[at + 1]
        screw = max(cable["anchors"], key=lambda row: row["use"])
        assert f"screw of {screw['id']} " in lines[at + 1]
    most = max(row["down"] for row in loads["trusses"])
    title = next(i for i, each in enumerate(lines) if "Screws on each truss" in each)
    assert f"{most:.1f} lb down" in lines[title + 1]
    told = len(lines) - title - 1
    assert told == min(len(loads["trusses"]), 4)
    assert f"and {len(loads['trusses']) - 3} more" in lines[-1]


def test_rods_are_as_long_as_the_job_writes_lengths() -> None:
    report = analyse(BARN).report
    told = {
        style: report_text(report, style=style, barn="barn.json")
        for style in (LengthStyle.FEET, LengthStyle.MILLIMETRES)
    }
    # hand-worked: 96 in are 8 ft, times 25.4 are 2438.4 mm
    assert "rod rod-1: 8 ft 0 in, " in told[LengthStyle.FEET]
    assert "rod rod-1: 2438 mm, " in told[LengthStyle.MILLIMETRES]


def test_bonds_are_told_of_by_what_they_go_to_unknown_ones_first() -> None:
    bonds = BARN.electrical.bonds
    lines = _section(as_text(with_electrical(bonds=bonds[1:])), "Grounding")
    assert lines[0].startswith(f"  {bonds[0].subject} (")
    assert lines[0].endswith("): UNKNOWN")
    rows = as_json(with_electrical(bonds=bonds[1:]))["grounding"]["bonds"]
    for target in {row["to"] for row in rows if row["known"]}:
        ids = [row["subject"] for row in rows if row["to"] == target]
        (line,) = (each for each in lines if each.startswith(f"  {target}: "))
        assert f"{len(ids)} part" in line
        assert line.endswith(": " + ", ".join(ids))
