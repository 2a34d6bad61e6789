"""The loads and the grounding register of a report in words for people."""

import math
from collections.abc import Iterator, Sequence

from core.analysis.report import Report
from core.mechanics.anchor import TrussLoad
from core.quantities import LengthStyle
from core.rules.electrical_evidence import Bonding, ElectricalEvidence, StoredCharge
from core.rules.evidence import RunEvidence
from core.rules.grounding import MEASURED_AFTER, MEASURED_BEFORE
from core.rules.hoist_evidence import CableLoads, HoistEvidence, WinchLoads
from core.rules.remedies import force_words
from core.rules.wording import measure

__all__ = ["energy_words", "grounding_text", "loads_text"]

_TRUSSES_TOLD = 3


def _lb(value: float) -> str:
    return f"{value:.1f} lb"


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def energy_words(charge: StoredCharge) -> str:
    """Return how much stays on runs and leads, and for how long, as a sentence."""
    words = (
        f"Switched off, all runs and leads together still hold {charge.energy:.2f} J "
        f"({charge.capacitance * 1e12:.0f} pF)"
    )
    if charge.bleed_time is None:
        return words + "; nothing is known to bleed it off: use the grounding stick."
    return words + (
        f"; the bleed resistor takes {charge.bleed_time:.1f} s, as long as it is "
        "connected: use the grounding stick."
    )


def loads_text(report: Report, *, style: LengthStyle) -> Iterator[str]:
    """Yield the lines on what everything carries: of each kind the hardest used."""
    if not report.runs:
        return
    yield ""
    yield (
        "Loads (pounds-force), the hardest used of each kind; the report in JSON has "
        "every pulley, screw and truss"
    )
    for run in report.runs.values():
        yield _run(run.evidence)
    for hoist in report.hoists.values():
        yield from _hoist(hoist, style)
    yield from _trusses(report.trusses)


def _run(evidence: RunEvidence) -> str:
    pipe = evidence.pipe
    if pipe.trouble:
        return f"  {evidence.run.id}: not known, {pipe.trouble}"
    loads = pipe.reactions
    most, least = max(loads, key=loads.__getitem__), min(loads, key=loads.__getitem__)
    return (
        f"  {evidence.run.id}: {_lb(sum(loads.values()))} on {len(loads)} supports, "
        f"most on {most} {_lb(loads[most])}, least on {least} {_lb(loads[least])}"
    )


def _trusses(trusses: Sequence[TrussLoad]) -> Iterator[str]:
    if not trusses:
        return
    yield "  Screws on each truss, for the truss designer, the worst first"
    worst = sorted(trusses, key=lambda load: (-load.down, load.truss))
    for truss in worst[:_TRUSSES_TOLD]:
        yield (
            f"      {truss.truss}: {_count(truss.anchors, 'screw')}, "
            + force_words((truss.along_x, truss.along_y, -truss.down))
        )
    others = worst[_TRUSSES_TOLD:]
    if others:
        yield f"      and {len(others)} more, each {_lb(others[0].down)} down or less"


def _hoist(hoist: HoistEvidence, style: LengthStyle) -> Iterator[str]:
    if hoist.trouble:
        yield f"  {hoist.hoist.id}: not known, {hoist.trouble}"
    for cable in hoist.cables:
        if not cable.trouble:
            yield _cable(cable, style)
            yield f"      hardest used: {', '.join(_hardest(cable))}"
    if hoist.winch is not None:
        yield from _winch(hoist, hoist.winch, style)


def _cable(cable: CableLoads, style: LengthStyle) -> str:
    length = measure(cable.length, "in", style=style)
    return (
        f"  {cable.id} on {cable.run}, {length}: pulled by {_lb(cable.lifting)} "
        f"lifting, {_lb(cable.resting)} at rest, {_lb(cable.lowering)} lowering; its "
        f"far clamp lags {measure(cable.lag, 'gap', style=style)}"
    )


def _hardest(cable: CableLoads) -> Iterator[str]:
    """Yield the worst pulley of each kind and the worst screw, with their shares."""
    for kind in dict.fromkeys(pulley.kind for pulley in cable.pulleys):
        pulley = max(
            (pulley for pulley in cable.pulleys if pulley.kind == kind),
            key=lambda pulley: pulley.load / pulley.rating,
        )
        yield f"{kind} pulley {pulley.id} {_share(pulley.load, pulley.rating)}"
    known = [anchor for anchor in cable.anchors if not anchor.trouble]
    if known:
        worst = max(known, key=lambda anchor: anchor.use)
        pull = math.hypot(worst.withdrawal, worst.side)
        yield f"screw of {worst.id} {_share(pull, worst.allowed)}"
    if len(known) < len(cable.anchors):
        unknown = _count(len(cable.anchors) - len(known), "screw")
        yield f"{unknown} whose hold is not known"


def _share(load: float, most: float) -> str:
    return f"{load:.1f} of {_lb(most)} ({100.0 * load / most:.0f} %)"


def _winch(
    hoist: HoistEvidence, winch: WinchLoads, style: LengthStyle
) -> Iterator[str]:
    if winch.trouble:
        yield f"  winch of {hoist.hoist.id}: not known, {winch.trouble}"
        return
    yield (
        f"  winch of {hoist.hoist.id} ({winch.part}): {_lb(winch.pull)} on its rope, "
        f"of {_lb(winch.pull_at_top)} on layer {winch.layer} at the top; "
        f"{winch.turns:.1f} turns"
    )
    if winch.dead_end is not None:
        yield f"      dead end {_lb(winch.dead_end)}, block {_lb(winch.block or 0.0)}"
    for row in hoist.fixings:
        if not row.trouble:
            yield f"      screw of the {row.what} {_share(row.load, row.allowed)}"
    if winch.lift_time is not None and winch.stop_at is not None:
        stop = measure(winch.stop_at, "in", style=style)
        yield (
            f"      lifts in {winch.lift_time:.0f} s; limit stop after {stop} of the "
            "travel"
        )
    if winch.handle_force is not None:
        yield f"      {_lb(winch.handle_force)} at the handle"


def grounding_text(
    evidence: ElectricalEvidence | None, *, style: LengthStyle
) -> Iterator[str]:
    """Yield the lines of the register of bonds and of what has to be measured."""
    if evidence is None:
        return
    yield ""
    yield "Grounding"
    yield from _bonds(evidence.bonds)
    for rod in evidence.rods:
        ohms = "not known" if rod.resistance is None else f"{rod.resistance:.0f} ohm"
        length = measure(rod.length, "in", style=style)
        yield f"  rod {rod.id}: {length}, resistance {ohms}"
    if evidence.together is not None:
        yield f"  both rods together: {evidence.together:.0f} ohm"
    yield "  Measure before the supply is switched on:"
    yield from (f"      {line}" for line in MEASURED_BEFORE)
    yield "  Measure with the supply on:"
    yield from (f"      {line}" for line in MEASURED_AFTER)


def _bonds(bonds: Sequence[Bonding]) -> Iterator[str]:
    """Yield what has no known bond, then a line for each thing bonded to."""
    bonded: dict[str, list[Bonding]] = {}
    for row in bonds:
        if row.to:
            bonded.setdefault(row.to, []).append(row)
        else:
            yield f"  {row.subject} ({row.kind}): UNKNOWN"
    for target, rows in bonded.items():
        yield f"  {target}: {_bonded(rows)}"


def _bonded(rows: Sequence[Bonding]) -> str:
    """Return how many parts are bonded to one thing, how, and which they are."""
    by = " or ".join(dict.fromkeys(row.conductor for row in rows if row.conductor))
    ohms = [row.resistance for row in rows if row.resistance is not None]
    measured = f"{len(ohms)} measured, the most {max(ohms):g} ohm" if ohms else ""
    words = [
        f"{_count(len(rows), 'part')}{' by ' * bool(by)}{by}",
        measured or "none measured",
    ]
    return f"{', '.join(words)}: {', '.join(row.subject for row in rows)}"
