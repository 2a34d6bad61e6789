"""The take-off: what to buy and what to cut, counted from the barn itself."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from core.analysis.analyse import Analysis
from core.analysis.fixings import fixings_of
from core.catalogue import parts
from core.catalogue.catalogue import Catalogue
from core.mechanics.joints import CuttingPlan, cut_sticks
from core.model.barn import Barn
from core.model.hoists import Hoist, Parts
from core.model.runs import Run
from core.outputs.drilling import drill_size
from core.outputs.grounding import LeadCut, lead_cuts
from core.outputs.holes import Hole
from core.outputs.rigging import RopeCut, rope_cuts
from core.outputs.tables import Cell, Column, Kind, Table
from core.placement.runs import run_length
from core.quantities import LengthStyle, format_length

__all__ = [
    "KERF",
    "SPARE_SHARE",
    "Item",
    "Piece",
    "items_table",
    "pieces_table",
    "run_pieces",
    "sticks_table",
    "take_off",
    "tools_table",
]

# common practice, no published source
KERF = 0.0625  # width of a saw cut [in]
SPARE_SHARE = 0.05  # [-] of small parts, ropes and sticks; at least one of each

_SPARED = (
    parts.AnchorScrew,
    parts.Cap,
    parts.Clamp,
    parts.DischargePoint,
    parts.Insulator,
    parts.Joint,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One line of the take-off: how many are needed, how many more are bought.

    `unit` is "each", "stick" or "ft"; `unit_weight` [lbf] is None where it is not
    known.
    """

    group: str
    part: str
    what: str
    unit: str
    needed: float
    spare: float
    unit_weight: float | None = None

    @property
    def order(self) -> float:
        """Return how many to buy."""
        return self.needed + self.spare

    @property
    def weight(self) -> float | None:
        """Return the weight of what is needed, spares left out [lbf]."""
        return None if self.unit_weight is None else self.needed * self.unit_weight


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece of tube of a run: its number from the front and its ends [in]."""

    run: str
    number: int
    start: float
    end: float

    @property
    def length(self) -> float:
        """Return its length [in]."""
        return self.end - self.start


def run_pieces(analysis: Analysis, run: Run) -> tuple[Piece, ...]:
    """Return the pieces that a run is joined from; none where they are not known."""
    facts = analysis.report.runs[run.id].evidence.pipe
    if facts.trouble:
        return ()
    edges = [0.0, *(joint[0] for joint in facts.joints), run_length(run)]
    return tuple(
        Piece(run=run.id, number=number, start=a, end=b)
        for number, (a, b) in enumerate(pairwise(edges), 1)
    )


def take_off(analysis: Analysis) -> tuple[Item, ...]:
    """Return every line of the take-off.

    Parameters
    ----------
    analysis : Analysis
        The barn with how its runs hang.

    Returns
    -------
    tuple of Item
        Runs, supports, hoists, electrical parts; each part once.
    """
    barn, catalogue = analysis.report.barn, analysis.catalogue
    each = Counter(_each(analysis, barn))
    items = [*_sticks(analysis)]
    items += [_counted(catalogue, *key, count) for key, count in each.items()]
    items += _ropes(rope_cuts(analysis), catalogue)
    items += _leads(lead_cuts(analysis), catalogue)
    return tuple(items) + tuple(_unlisted(barn))


def _each(analysis: Analysis, barn: Barn) -> Iterator[tuple[str, str]]:
    """Yield group and part of everything that is counted one by one."""
    for run in barn.runs:
        yield from _run_parts(analysis, run)
        for support in run.supports:
            for part in (
                support.anchor,
                support.pulley,
                support.insulator,
                support.clamp,
            ):
                yield ("Supports", part)
    for hoist in barn.hoists:
        yield from _hoist_parts(hoist)


def _run_parts(analysis: Analysis, run: Run) -> Iterator[tuple[str, str]]:
    joints = max(len(run_pieces(analysis, run)) - 1, 0)
    row = run.points
    count = max(0, math.floor((run_length(run) - row.first) / row.spacing + 1e-9) + 1)
    yield from [("Runs", run.joint)] * joints
    yield from [("Runs", row.part)] * count
    yield from [("Runs", _cap(analysis.catalogue, run.tube))] * 2


def _cap(catalogue: Catalogue, tube: str) -> str:
    """Return the id of the cap that fits a tube, or one of its own where none does."""
    outside = catalogue.find(parts.Tube, tube).outside_diameter
    fits = (c.id for c in catalogue.all_of(parts.Cap) if c.tube_diameter == outside)
    return next(fits, f"cap-{tube}")


def _hoist_parts(hoist: Hoist) -> Iterator[tuple[str, str]]:
    yield ("Hoists", hoist.winch.part)
    yield ("Hoists", hoist.turnbuckle)
    if hoist.parts is Parts.TWO:
        yield ("Hoists", hoist.block)
    for _, _, fixing, _ in fixings_of(hoist):
        yield from [("Hoists", fixing.anchor)] * fixing.screws
    for cable in hoist.cables:
        for turn in cable.turns:
            yield ("Hoists", turn.part)
            yield ("Hoists", turn.anchor)


def _counted(catalogue: Catalogue, group: str, part: str, count: int) -> Item:
    found = catalogue.by_id.get(part)
    spare = math.ceil(SPARE_SHARE * count) if isinstance(found, _SPARED) else 0
    return Item(
        group=group,
        part=part,
        what=found.description if found and found.description else part,
        unit="each",
        needed=count,
        spare=spare,
        unit_weight=getattr(found, "weight", None),
    )


def _sticks(analysis: Analysis) -> Iterator[Item]:
    for sticks in _by_stick(analysis):
        part = analysis.catalogue.find(parts.Tube, sticks.tube)
        count = len(sticks.plan.sticks)
        yield Item(
            group="Runs",
            part=sticks.tube,
            what=f"{part.description or sticks.tube}, sticks of "
            f"{format_length(sticks.length, style=LengthStyle.FEET)}",
            unit="stick",
            needed=count,
            spare=math.ceil(SPARE_SHARE * count),
            unit_weight=part.unit_weight * sticks.length,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sticks:
    """The sticks of one tube and length [in], and how pieces are cut from them."""

    tube: str
    length: float
    pieces: tuple[float, ...]
    plan: CuttingPlan

    @property
    def words(self) -> str:
        """Whether fewer sticks could do."""
        count = len(self.plan.sticks)
        if self.plan.is_least:
            return f"{self.tube}: {count} sticks, proved to be the fewest."
        return (
            f"{self.tube}: {count} sticks, good but not proved to be the fewest; "
            f"fewer than {self.plan.least} cannot do."
        )


def _by_stick(analysis: Analysis) -> tuple[_Sticks, ...]:
    """Return how the pieces of all runs are cut, by tube and stick length."""
    found: dict[tuple[str, float], list[float]] = {}
    for run in analysis.report.barn.runs:
        lengths = found.setdefault((run.tube, run.stick_length), [])
        lengths += [piece.length for piece in run_pieces(analysis, run)]
    return tuple(
        _Sticks(
            tube=tube,
            length=stick,
            pieces=tuple(lengths),
            plan=cut_sticks(lengths, stick=stick, kerf=KERF),
        )
        for (tube, stick), lengths in found.items()
        if lengths
    )


def _ropes(cuts: Iterable[RopeCut], catalogue: Catalogue) -> Iterator[Item]:
    lengths: dict[str, float] = {}
    for cut in cuts:
        lengths[cut.part] = lengths.get(cut.part, 0.0) + cut.cut
    for part, inches in lengths.items():
        rope = catalogue.find(parts.Rope, part)
        yield _by_foot("Ropes", part, rope.description, inches, rope.weight_per_foot)


def _by_foot(
    group: str, part: str, what: str, inches: float, weight: float | None
) -> Item:
    feet = inches / 12.0
    return Item(
        group=group,
        part=part,
        what=what or part,
        unit="ft",
        needed=feet,
        spare=math.ceil(feet * (1.0 + SPARE_SHARE)) - feet,
        unit_weight=weight,
    )


def _leads(cuts: Iterable[LeadCut], catalogue: Catalogue) -> Iterator[Item]:
    lengths: defaultdict[str, float] = defaultdict(float)
    sleeves: defaultdict[str, float] = defaultdict(float)
    for cut in cuts:
        lengths[cut.part] += cut.cut
        if cut.sleeve:
            sleeves[_sleeve(catalogue, cut.part)] += cut.sleeve
    for part, inches in lengths.items():
        found = catalogue.find(parts.HvLead, part)
        yield _by_foot(
            "Electrical", part, found.description, inches, found.weight_per_foot
        )
    for part, inches in sleeves.items():
        yield _by_foot("Electrical", part, "sleeve over the lead", inches, None)


def _sleeve(catalogue: Catalogue, lead: str) -> str:
    """Return the id of the closest sleeve over a lead, or its own where none fits."""
    outside = catalogue.find(parts.HvLead, lead).outside_diameter
    fits = (s for s in catalogue.all_of(parts.Sleeve) if s.inside_diameter >= outside)
    closest = min(fits, key=lambda sleeve: sleeve.inside_diameter, default=None)
    return closest.id if closest else f"sleeve-{lead}"


def _unlisted(barn: Barn) -> Iterator[Item]:
    """Yield what the job names without a part of the catalogue."""
    electrical = barn.electrical
    rods = Counter((rod.diameter, rod.length) for rod in electrical.rods)
    for (diameter, length), count in rods.items():
        size = format_length(diameter, style=LengthStyle.FEET)
        long = format_length(length, style=LengthStyle.FEET)
        yield _plain("Electrical", "ground-rod", f"ground rod {size} x {long}", count)
    bonds = Counter(bond.conductor or "bond" for bond in electrical.bonds if bond.to)
    for conductor, count in bonds.items():
        words = f"bond of {conductor}, length measured on site"
        yield _plain("Electrical", "bond", words, count)
    for part, there in (
        ("supply", electrical.supply),
        ("isolating-switch", electrical.switch),
    ):
        if there is not None:
            yield _plain("Electrical", part, part.replace("-", " "), 1)
    for hoist in barn.hoists:
        for name, what, fixing, _ in fixings_of(hoist):
            if what == "dead end":
                words = (
                    f"pad eye for the dead end {name}, holes for {fixing.screws} screws"
                )
                yield _plain("Hoists", "pad-eye", words, 1)
    blocking = sum(s.blocking for run in barn.runs for s in run.supports)
    blocking += sum(t.blocking for h in barn.hoists for c in h.cables for t in c.turns)
    if blocking:
        words = "place of blocking between trusses, as the truss designer says"
        yield _plain("Supports", "blocking", words, blocking)


def _plain(group: str, part: str, what: str, count: int) -> Item:
    return Item(group=group, part=part, what=what, unit="each", needed=count, spare=0)


def items_table(items: Iterable[Item]) -> Table:
    """Return the take-off as a table with its total weight."""
    rows = [
        (i.group, i.part, i.what, i.unit, i.needed, i.spare, i.order, i.weight)
        for i in items
    ]
    total = sum(row[-1] or 0.0 for row in rows)
    return Table.of(
        "take-off",
        "Take-off",
        (
            Column(heading="For", share=1.1),
            Column(heading="Part", share=2.0),
            Column(heading="What", share=3.4),
            Column(heading="Unit", share=0.7),
            Column(heading="Needed", kind=Kind.NUMBER, share=0.9),
            Column(heading="Spare", kind=Kind.NUMBER, share=0.8),
            Column(heading="Buy", kind=Kind.NUMBER, share=0.8),
            Column(heading="Weight needed", kind=Kind.POUNDS, share=1.1),
        ),
        rows,
        (
            f"Weight of all parts with a known weight: {total:.0f} lb.",
            f"Spare: {SPARE_SHARE:.0%} of small parts, sticks and lengths, rounded up.",
            "The spare rule is common practice, no published source.",
        ),
    )


def pieces_table(analysis: Analysis) -> Table:
    """Return every piece of tube with its place in its run."""
    return Table.of(
        "pieces",
        "Pieces of tube",
        (
            Column(heading="Cut", kind=Kind.TICK, share=0.7),
            Column(heading="Run", share=1.3),
            Column(heading="Piece", kind=Kind.COUNT),
            Column(heading="Starts at", kind=Kind.LENGTH, share=1.5),
            Column(heading="Ends at", kind=Kind.LENGTH, share=1.5),
            Column(heading="Length to cut", kind=Kind.LENGTH, share=1.5),
        ),
        (
            (None, piece.run, float(piece.number), piece.start, piece.end, piece.length)
            for run in analysis.report.barn.runs
            for piece in run_pieces(analysis, run)
        ),
        (
            "Stations along the run from its front end.",
            "Joints stay clear of insulators.",
        ),
    )


def sticks_table(analysis: Analysis, *, style: LengthStyle) -> Table:
    """Return how the sticks are cut, sticks that are cut alike in one row."""
    cut = _by_stick(analysis)
    return Table.of(
        "sticks",
        "How the sticks are cut",
        (
            Column(heading="Tube", share=1.4),
            Column(heading="Stick", kind=Kind.LENGTH, share=1.1),
            Column(heading="Sticks cut so", kind=Kind.COUNT, share=1.0),
            Column(heading="Pieces from each", share=4.0),
            Column(heading="Left over", kind=Kind.LENGTH, share=1.2),
        ),
        (row for sticks in cut for row in _stick_rows(sticks, style)),
        (
            f"A saw cut takes {format_length(KERF, style=style)}.",
            *(sticks.words for sticks in cut),
        ),
    )


def _stick_rows(sticks: _Sticks, style: LengthStyle) -> Iterator[tuple[Cell, ...]]:
    alike = Counter(
        tuple(sorted((round(sticks.pieces[k], 4) for k in content), reverse=True))
        for content in sticks.plan.sticks
    )
    for lengths, count in sorted(alike.items(), reverse=True):
        words = " + ".join(format_length(length, style=style) for length in lengths)
        left = sticks.length - sum(lengths) - KERF * max(len(lengths) - 1, 0)
        yield (sticks.tube, sticks.length, float(count), words, max(left, 0.0))


_TOOLS = (
    ("Tape, 100 ft or longer", "from the front wall"),
    ("Tape, 25 ft", "from the left wall, heights"),
    ("Laser or chalk line", "runs and cables straight"),
    ("Two stepladders", "drilling and hanging"),
    ("Drill", "pilot holes"),
    ("Tube cutter or saw, deburring tool", "sticks"),
    ("Rope and cable cutters", "lengths to cut"),
    ("Level", "heights to set"),
    ("Ohmmeter for bonds", "register of bonds"),
    ("Static meter", "readings before and after"),
    ("High-voltage meter", "voltage at the runs"),
    ("Grounding stick", "discharging every run before anyone works in reach"),
    ("Locks and tags", "supply and winch"),
    ("Eye protection, gloves, hard hat", "everyone in the room"),
)


def tools_table(holes: Iterable[Hole]) -> Table:
    """Return what to bring, with a drill for each pilot hole of the job."""
    drills = sorted({hole.screw.pilot_hole for hole in holes})
    sizes = [(f"Drill bit {drill_size(size)}", "pilot holes") for size in drills]
    return Table.of(
        "tools",
        "Tools for the job",
        (
            Column(heading="Packed", kind=Kind.TICK, share=0.6),
            Column(heading="Tool", share=2),
            Column(heading="For", share=3),
        ),
        ((None, tool, use) for tool, use in (*_TOOLS[:5], *sizes, *_TOOLS[5:])),
    )
