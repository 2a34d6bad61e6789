"""The loads and the grounding register of a report in words for people."""

from collections.abc import Iterator

from core.analysis.report import Report
from core.quantities import LengthStyle
from core.rules.electrical_evidence import ElectricalEvidence, StoredCharge
from core.rules.evidence import RunEvidence
from core.rules.grounding import MEASURED_AFTER, MEASURED_BEFORE
from core.rules.hoist_evidence import CableLoads, HoistEvidence, WinchLoads
from core.rules.wording import measure

__all__ = ["energy_words", "grounding_text", "loads_text"]


def _lb(value: float) -> str:
    return f"{value:.1f} lb"


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
    """Yield the lines on what everything carries."""
    if not report.runs:
        return
    yield ""
    yield "Loads (pounds-force)"
    for run in report.runs.values():
        yield from _run(run.evidence)
    for hoist in report.hoists.values():
        yield from _hoist(hoist, style)
    if report.trusses:
        yield "  Screws on each truss, for the truss designer"
        for truss in report.trusses:
            yield (
                f"      {truss.truss}: {truss.anchors} screws, {_lb(truss.down)} down, "
                f"{_lb(truss.along_x)} along the room, {_lb(truss.along_y)} across"
            )


def _run(evidence: RunEvidence) -> Iterator[str]:
    pipe = evidence.pipe
    if pipe.trouble:
        yield f"  {evidence.run.id}: not known, {pipe.trouble}"
        return
    loads = ", ".join(f"{key} {_lb(load)}" for key, load in pipe.reactions.items())
    yield f"  {evidence.run.id} hangs by {loads}"


def _hoist(hoist: HoistEvidence, style: LengthStyle) -> Iterator[str]:
    if hoist.trouble:
        yield f"  {hoist.hoist.id}: not known, {hoist.trouble}"
    for cable in hoist.cables:
        if not cable.trouble:
            yield from _cable(cable, style)
    if hoist.winch is not None:
        yield from _winch(hoist, hoist.winch, style)


def _cable(cable: CableLoads, style: LengthStyle) -> Iterator[str]:
    length = measure(cable.length, "in", style=style)
    yield (
        f"  {cable.id} on {cable.run}, {length}: pulled by {_lb(cable.lifting)} "
        f"lifting, {_lb(cable.resting)} at rest, {_lb(cable.lowering)} lowering; its "
        f"far clamp lags {measure(cable.lag, 'gap', style=style)}"
    )
    for pulley, segment in zip(cable.pulleys, cable.segments, strict=True):
        sag = measure(segment.sag_lowering, "gap", style=style)
        yield (
            f"      {pulley.kind} pulley {pulley.id} carries {_lb(pulley.load)} of "
            f"{_lb(pulley.rating)}; cable on to {segment.end} {_lb(segment.lifting)} "
            f"lifting, {_lb(segment.lowering)} lowering, then sags {sag}"
        )
    for anchor in cable.anchors:
        held = anchor.trouble or f"holds {_lb(anchor.allowed)}"
        yield (
            f"      screw of {anchor.id} in {anchor.truss}: {_lb(anchor.withdrawal)} "
            f"out, {_lb(anchor.side)} sideways; {held}"
        )


def _winch(
    hoist: HoistEvidence, winch: WinchLoads, style: LengthStyle
) -> Iterator[str]:
    if winch.trouble:
        yield f"  winch of {hoist.hoist.id}: not known, {winch.trouble}"
        return
    yield (
        f"  winch of {hoist.hoist.id} ({winch.part}): {_lb(winch.pull)} on its rope, "
        f"{_lb(winch.pull_at_top)} on layer {winch.layer} at the top; "
        f"{winch.turns:.1f} turns"
    )
    if winch.dead_end is not None:
        yield f"      dead end {_lb(winch.dead_end)}, block {_lb(winch.block or 0.0)}"
    if winch.lift_time is not None and winch.stop_at is not None:
        stop = measure(winch.stop_at, "in", style=style)
        yield (
            f"      lifts in {winch.lift_time:.0f} s; limit stop after {stop} of the "
            "travel"
        )
    if winch.handle_force is not None:
        yield f"      {_lb(winch.handle_force)} at the handle"


def grounding_text(evidence: ElectricalEvidence | None) -> Iterator[str]:
    """Yield the lines of the register of bonds and of what has to be measured."""
    if evidence is None:
        return
    yield ""
    yield "Grounding"
    for row in evidence.bonds:
        bond = row.to or "UNKNOWN"
        by = f" by {row.conductor}" if row.conductor else ""
        ohms = "not measured" if row.resistance is None else f"{row.resistance:g} ohm"
        yield f"  {row.subject} ({row.kind}): {bond}{by}, {ohms}"
    for rod in evidence.rods:
        ohms = "not known" if rod.resistance is None else f"{rod.resistance:.0f} ohm"
        yield f"  rod {rod.id}: {rod.length / 12:g} ft, resistance {ohms}"
    if evidence.together is not None:
        yield f"  both rods together: {evidence.together:.0f} ohm"
    yield "  Measure before the supply is switched on:"
    yield from (f"      {line}" for line in MEASURED_BEFORE)
    yield "  Measure with the supply on:"
    yield from (f"      {line}" for line in MEASURED_AFTER)
