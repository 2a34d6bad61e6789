"""Rules on what pulleys and their screws carry."""

from collections.abc import Iterator
from dataclasses import replace

from core.rules.finding import Finding, Outcome
from core.rules.hoist_evidence import (
    AnchorLoads,
    FixingLoads,
    HoistEvidence,
    PulleyLoads,
)
from core.rules.registry import Limits, Scope, breach_of, rule, usual_limits
from core.rules.remedies import force_words
from core.rules.unknown import not_checked

__all__ = ["anchors", "edges_once", "pulleys", "unknown_loads"]

_PRACTICE = "common practice, no published source; the rating of the part chosen"


def unknown_loads(rule_id: str, hoist: HoistEvidence, unit: str) -> Iterator[Finding]:
    """Yield a finding for each cable whose loads are not known."""
    if not hoist.cables:
        yield not_checked(
            rule_id,
            hoist.hoist.id,
            code="no-cable",
            why="{subject} lifts nothing: it has no pull cable.",
            remedy="Give {subject} a pull cable for each run.",
            unit=unit,
        )
    for cable in hoist.cables:
        if cable.trouble:
            yield not_checked(
                rule_id,
                hoist.hoist.id,
                code="loads-unknown",
                other=cable.run,
                unit=unit,
                why="What {other} loads {subject} with is not known: {why}.",
                remedy="Mend the hanging of {other} first.",
                details={"why": cable.trouble},
            )


def _pulley_limit(pulley: PulleyLoads, limits: Limits) -> float:
    """Return the part's rating, or a lower limit that the job has set."""
    limit = limits[pulley.kind]
    overridden = limit != usual_limits("support.pulley")[pulley.kind]
    return min(pulley.rating, limit) if overridden else pulley.rating


def _pulley_finding(hoist: str, pulley: PulleyLoads, limit: float) -> Finding:
    kept = pulley.load <= limit
    x, y, z = pulley.force
    return Finding(
        rule="support.pulley",
        code="kept" if kept else f"{pulley.kind}-overloaded",
        outcome=Outcome.PASS if kept else breach_of("support.pulley"),
        subject=hoist,
        other=pulley.id,
        value=pulley.load,
        limit=limit,
        unit="lb",
        lift=pulley.at_lift,
        points=(pulley.at,),
        message="The {kind} pulley {other} ({part}, {run}) carries {value} while "
        "lifting; at most {limit} is allowed. It is pulled by {way}, with "
        "{tension:lb} in the rope behind it.",
        remedy=""
        if kept
        else "Take a pulley of a higher rating for {other}, or share its load: fewer "
        "drops beyond it, or a flatter turn.",
        details={
            "kind": pulley.kind,
            "part": pulley.part,
            "run": pulley.run,
            "x": x,
            "y": y,
            "down": -z,
            "way": force_words(pulley.force),
            "tension": pulley.lifting,
        },
    )


@rule(
    "support.pulley",
    protects="An overloaded pulley bends its pin, or breaks and drops the run.",
    limits={"drop": 40.0, "turning": 175.0},
    unit="lb",
    breach=Outcome.STOP,
    source=_PRACTICE,
    scope=Scope.HOIST,
)
def pulleys(hoist: HoistEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that no pulley carries more than its rating, the block included."""
    yield from unknown_loads("support.pulley", hoist, "lb")
    rows = [
        (pulley, _pulley_limit(pulley, limits))
        for cable in hoist.cables
        for pulley in cable.pulleys
    ]
    over = [row for row in rows if row[0].load > row[1]]
    for pulley, limit in over or _hardest(rows):
        yield _pulley_finding(hoist.hoist.id, pulley, limit)
    yield from _block(hoist)


def _hardest(
    rows: list[tuple[PulleyLoads, float]],
) -> list[tuple[PulleyLoads, float]]:
    """Return the pulley of each kind that is used most."""
    kinds = dict.fromkeys(pulley.kind for pulley, _ in rows)
    return [
        max(
            (row for row in rows if row[0].kind == kind),
            key=lambda row: row[0].load / row[1],
        )
        for kind in kinds
    ]


def _block(hoist: HoistEvidence) -> Iterator[Finding]:
    winch = hoist.winch
    if winch is None or winch.block is None or winch.block_rating is None:
        return
    if winch.block > winch.block_rating:
        yield Finding(
            rule="support.pulley",
            code="block-overloaded",
            outcome=breach_of("support.pulley"),
            subject=hoist.hoist.id,
            other=hoist.hoist.block,
            value=winch.block,
            limit=winch.block_rating,
            unit="lb",
            message="The block {other} of {subject} carries {value}; at most {limit} "
            "is allowed.",
            remedy="Take a block of a higher rating.",
        )


def _anchor_code(anchor: AnchorLoads, chord: float, limits: Limits) -> str | None:
    """Return what is wrong with a screw, None for nothing."""
    if anchor.off_chord > chord / 2:
        return "no-wood"
    if anchor.use > limits["use"]:
        return "overloaded"
    return "near-edge" if anchor.edge_room < 0.0 else None


_ANCHOR_WORDS = {
    "no-wood": (
        "The screw of {other} ({part}, {run}) is {off} from the middle of the nearest "
        "truss, {truss}, and stands on no blocking: it holds in sheet only."
    ),
    "overloaded": (
        "The screw of {other} ({part}, {run}) in {wood} is pulled by {value}: "
        "{out:lb} out of the wood and {side:lb} sideways; it holds {limit} that way."
    ),
    "kept": (
        "The screw of {other} ({part}, {run}) is used most: {value} of the {limit} "
        "that it holds, {out:lb} out of the wood and {side:lb} sideways."
    ),
}
_ANCHOR_REMEDIES = {
    "no-wood": "Move {other} onto a truss, or add blocking there and say so.",
    "overloaded": "Take a longer or thicker screw at {other}, two of them on a plate, "
    "or brace the pulley sideways.",
    "kept": "",
}


def _anchor_finding(hoist: str, anchor: AnchorLoads, code: str) -> Finding:
    size = (anchor.withdrawal**2 + anchor.side**2) ** 0.5
    return Finding(
        rule="support.anchor",
        code=code,
        outcome=Outcome.PASS if code == "kept" else breach_of("support.anchor"),
        subject=hoist,
        other=anchor.id,
        value=size,
        limit=anchor.allowed,
        unit="lb",
        points=(anchor.at,),
        message=_ANCHOR_WORDS[code],
        remedy=_ANCHOR_REMEDIES[code],
        details={
            "part": anchor.part,
            "run": anchor.run,
            "truss": anchor.truss,
            "wood": "blocking" if anchor.blocking else anchor.truss,
            "out": anchor.withdrawal,
            "side": anchor.side,
            "off": anchor.off_chord,
        },
    )


@rule(
    "support.anchor",
    protects="A screw pulled out of its truss drops the run; side pull adds to it.",
    limits={"use": 1.0},
    unit="-",
    breach=Outcome.STOP,
    by_code={"near-edge": Outcome.CAUTION},
    source="NDS 2018 12.2, 12.3, 12.4.1; factors for permanent load and wet service; "
    "the lever of a base is common practice, no published source",
    scope=Scope.HOIST,
)
def anchors(hoist: HoistEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that every screw holds its combined pull in its wood, bases included."""
    yield from unknown_loads("support.anchor", hoist, "lb")
    if hoist.hoist.winch.on_lumber:  # hoist.place asks for lumber first
        yield from _fixings(hoist, limits["use"])
    rows = [anchor for cable in hoist.cables for anchor in cable.anchors]
    yield from (_unknown_screw(hoist, row) for row in rows if row.trouble)
    known = [row for row in rows if not row.trouble]
    codes = [_anchor_code(row, hoist.chord_width, limits) for row in known]
    for anchor, code in zip(known, codes, strict=True):
        if code == "near-edge":
            yield _edge_finding(hoist.hoist.id, anchor)
        elif code is not None:
            yield _anchor_finding(hoist.hoist.id, anchor, code)
    if known and set(codes) <= {None, "near-edge"}:
        worst = max(known, key=lambda anchor: anchor.use)
        yield _anchor_finding(hoist.hoist.id, worst, "kept")


def _fixings(hoist: HoistEvidence, most: float) -> Iterator[Finding]:
    """Yield what the screws of winch and dead end are used for: each, or the worst."""
    yield from (_unknown_fixing(hoist, row) for row in hoist.fixings if row.trouble)
    known = [row for row in hoist.fixings if not row.trouble]
    over = [row for row in known if row.use > most]
    worst = [max(known, key=lambda row: row.use)] if known else []
    for row in over or worst:
        yield _fixing_finding(hoist.hoist.id, row, most)


_FIXING_WORDS = (
    "The hardest pulled of the {screws} that hold the {what} of {subject} ({part}) "
    "carries {value} of the {limit} that it holds, {out:lb} out of the wood and "
    "{side:lb} sideways, with the rope {height:gap} off the wood and {spread:gap} "
    "between the rows of screws."
)


def _fixing_finding(hoist: str, fixing: FixingLoads, most: float) -> Finding:
    kept = fixing.use <= most
    return Finding(
        rule="support.anchor",
        code="fixing-kept" if kept else "fixing-overloaded",
        outcome=Outcome.PASS if kept else breach_of("support.anchor"),
        subject=hoist,
        value=fixing.load,
        limit=fixing.allowed,
        unit="lb",
        points=(fixing.at,),
        message=_FIXING_WORDS,
        remedy=""
        if kept
        else "Take more or longer screws for the {what}, a longer base, or bolts "
        "through the lumber.",
        details={
            "screws": _screws(fixing),
            "what": fixing.what,
            "part": fixing.part,
            "out": fixing.withdrawal,
            "side": fixing.side,
            "height": fixing.height,
            "spread": fixing.spread,
        },
    )


def _unknown_fixing(hoist: HoistEvidence, fixing: FixingLoads) -> Finding:
    return Finding(
        rule="support.anchor",
        code="fixing-unknown",
        outcome=Outcome.NOT_CHECKED,
        subject=hoist.hoist.id,
        unit="lb",
        points=(fixing.at,),
        message="What the {screws} of the {what} of {subject} ({part}) hold is not "
        "known: {why}.",
        remedy="Take screws whose thread is in the lumber of the {what}.",
        details={
            "screws": _screws(fixing),
            "what": fixing.what,
            "part": fixing.part,
            "why": fixing.trouble,
        },
    )


def _screws(fixing: FixingLoads) -> str:
    return "1 screw" if fixing.screws == 1 else f"{fixing.screws} screws"


def _edge_finding(hoist: str, anchor: AnchorLoads) -> Finding:
    return Finding(
        rule="support.anchor",
        code="near-edge",
        outcome=breach_of("support.anchor", "near-edge"),
        subject=hoist,
        other=anchor.id,
        value=anchor.edge_room,
        limit=0.0,
        unit="gap",
        points=(anchor.at,),
        message="The screw of {other} ({part}, {run}) in {truss} is {short:gap} too "
        "near to the edge of the chord on the side that it is pulled to by {side:lb}; "
        "it is {among}.",
        remedy="Put such screws on added blocking, take thinner ones, or use straps "
        "round the chords.",
        details={
            "part": anchor.part,
            "run": anchor.run,
            "truss": anchor.truss,
            "side": anchor.side,
            "short": -anchor.edge_room,
            "among": "the only such screw in the room",
        },
    )


def _is_near_edge(row: Finding) -> bool:
    return (row.rule, row.code) == ("support.anchor", "near-edge")


def edges_once(found: list[Finding]) -> list[Finding]:
    """Return findings with one for all screws too near to an edge: the worst.

    Parameters
    ----------
    found : list of Finding
        What the rules say of every hoist of a room.

    Returns
    -------
    list of Finding
        The same, with the worst of those screws and how many they are.
    """
    near = [row for row in found if _is_near_edge(row)]
    if len(near) < 2:
        return found
    worst = min(near, key=lambda row: (row.value or 0.0, -float(row.details["side"])))
    among = {"among": f"the worst of {len(near)} such screws in the room"}
    others = [row for row in found if not _is_near_edge(row)]
    return [*others, replace(worst, details={**worst.details, **among})]


def _unknown_screw(hoist: HoistEvidence, anchor: AnchorLoads) -> Finding:
    return not_checked(
        "support.anchor",
        hoist.hoist.id,
        code="hold-unknown",
        other=anchor.id,
        unit="lb",
        why="What the screw of {other} ({part}) holds is not known: {why}.",
        remedy="Take a lag screw long enough for {other}.",
        details={"part": anchor.part, "why": anchor.trouble},
    )
