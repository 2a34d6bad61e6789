"""What every rope, cable and pulley of a hoist carries, from the far end inwards.

Drop pulleys feed the cable in parallel, each with its own load; turning pulleys
act in series, each on the sum of all that lies beyond it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from core.mechanics.pulley import Motion
from core.ranges import require_at_least

__all__ = [
    "Branch",
    "CableTensions",
    "Drop",
    "PulleyKind",
    "PulleyTension",
    "Turn",
    "slack_while_lowering",
    "walk_cable",
]


_LOWERING = Motion.LOWERING.value


class PulleyKind(Enum):
    """What a pulley does."""

    DROP = "drop"
    TURN = "turn"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop:
    """A drop rope over its pulley to its clamp: load [lbf], ratio K [-], drag [lbf].

    Load and drag are at least 0, the ratio at least 1; anything else is refused
    with a ValueRangeError.
    """

    name: str
    load: float
    ratio: float
    drag: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what has no meaning."""
        require_at_least(f"load of {self.name}", self.load, 0.0, "lbf")
        _require_friction(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """A pulley at which the cable itself turns: ratio K [-], drag [lbf].

    The drag is at least 0, the ratio at least 1, as for a `Drop`.
    """

    name: str
    ratio: float
    drag: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what has no meaning."""
        _require_friction(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """A cable from its far end to its near end, other branches joined on the way."""

    name: str
    elements: tuple["Drop | Turn | Branch", ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PulleyTension:
    """Rope tensions [lbf] at one pulley: on its load side and on its winch side.

    `cable` is the tension of the pull cable on the near side of the pulley, or
    of the clamp of a drop.
    """

    name: str
    kind: PulleyKind
    load_side: float
    winch_side: float
    cable: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CableTensions:
    """All pulleys in the order of the walk, and the pull at the near end [lbf]."""

    motion: Motion
    pulleys: tuple[PulleyTension, ...]
    pull: float


def walk_cable(branch: Branch, motion: Motion) -> CableTensions:
    """Return the tension at every pulley of a cable and of what joins it.

    Parameters
    ----------
    branch : Branch
        The cable from its far end to the winch; loads [lbf], ratios [-].
    motion : Motion
        Lifting for strength and the winch, lowering for slack, at rest between.

    Returns
    -------
    CableTensions
        Tensions [lbf].

    Notes
    -----
    ``T = sum W_i K_drop^s K_turn^(s n_i)`` with s = +1 lifting, 0 at rest, -1
    lowering and n_i the turning pulleys between drop and winch; a drag adds to
    each pulley's friction whatever its load. At rest a brake holds anything
    between lifting and lowering. Range: slow and steady motion.

    References
    ----------
    Statics; K by Wire Rope Users Manual, 4th ed., 2005, p. 87-88.

    Examples
    --------
    >>> far = Drop(name="D1", load=10.0, ratio=1.09)
    >>> cable = Branch(name="A", elements=(far, Turn(name="T1", ratio=1.04)))
    >>> walk_cable(cable, Motion.LIFTING).pull
    11.336
    >>> walk_cable(Branch(name="A", elements=()), Motion.LIFTING).pull
    0.0
    """
    met: list[PulleyTension] = []
    pull = _walk(branch.elements, motion.value, met)
    return CableTensions(motion=motion, pulleys=tuple(met), pull=pull)


def slack_while_lowering(
    branch: Branch, *, least_tension: float = 0.0, load_share: float = 1.0
) -> tuple[str, ...]:
    """Return the drops whose rope goes slack while the winch pays out.

    A drop is named when its own load, or that of all drops beyond a turning
    pulley, cannot pull its side of the cable back through.

    Parameters
    ----------
    branch : Branch
        The cable from its far end to the winch; loads [lbf], ratios [-].
    least_tension : float
        Tension that must be left beyond a pulley [lbf], at least 0.
    load_share : float
        Share of each load that acts [-], at least 0: below 1 for the light case.

    Returns
    -------
    tuple of str
        Names of drops in walk order; none when all stay taut.

    Raises
    ------
    ValueRangeError
        If an input is below 0.

    Notes
    -----
    Lowering tensions only: friction helps hold the load, so ``T/K - drag`` must
    stay above `least_tension` at each drop pulley and each turn. Range: slow and
    steady motion, before the pipe's stiffness shares the loads out again.

    References
    ----------
    Statics.

    Examples
    --------
    >>> far = Drop(name="D1", load=1.0, ratio=1.09)
    >>> stiff = Turn(name="T1", ratio=1.09, drag=1.0)
    >>> near = Drop(name="D2", load=9.0, ratio=1.09)
    >>> slack_while_lowering(Branch(name="A", elements=(far, stiff, near)))
    ('D1',)
    """
    require_at_least("least tension", least_tension, 0.0, "lbf")
    require_at_least("share of the load", load_share, 0.0, "-")
    names, _ = _slack_beyond(branch.elements, least_tension, load_share)
    return tuple(names)


def _walk(
    elements: Sequence[Drop | Turn | Branch], sign: int, met: list[PulleyTension]
) -> float:
    """Add every pulley from far to near to `met`; return the tension at the end."""
    cable = 0.0
    for element in elements:
        if isinstance(element, Branch):
            cable += _walk(element.elements, sign, met)
            continue
        if isinstance(element, Drop):
            kind, load_side = PulleyKind.DROP, element.load
            winch_side = _beyond(load_side, element, sign)
            cable += winch_side
        else:
            kind, load_side = PulleyKind.TURN, cable
            cable = winch_side = _beyond(load_side, element, sign)
        met.append(
            PulleyTension(
                name=element.name,
                kind=kind,
                load_side=load_side,
                winch_side=winch_side,
                cable=cable,
            )
        )
    return cable


def _beyond(tension: float, pulley: Drop | Turn, sign: int) -> float:
    """Return the tension on the winch side, no less than none [lbf]."""
    if sign == 0:
        return tension
    if sign > 0:
        return tension * pulley.ratio + pulley.drag
    return max(tension / pulley.ratio - pulley.drag, 0.0)


def _slack_beyond(
    elements: Sequence[Drop | Turn | Branch], least: float, share: float
) -> tuple[list[str], float]:
    """Return the slack drops of these elements and the tension at their near end."""
    slack: list[str] = []
    drops: list[str] = []
    cable = 0.0
    for element in elements:
        if isinstance(element, Turn):
            cable = _beyond(cable, element, _LOWERING)
            if cable <= least:
                slack = drops.copy()
        elif isinstance(element, Drop):
            beyond = _beyond(element.load * share, element, _LOWERING)
            drops.append(element.name)
            cable += beyond
            slack += [element.name] if beyond <= least else []
        else:
            inner, beyond = _slack_beyond(element.elements, least, share)
            drops += _drop_names(element)
            slack += inner
            cable += beyond
    return slack, cable


def _drop_names(branch: Branch) -> list[str]:
    """Return the names of all drops of a branch in walk order."""
    names: list[str] = []
    for element in branch.elements:
        if isinstance(element, Drop):
            names.append(element.name)
        elif isinstance(element, Branch):
            names += _drop_names(element)
    return names


def _require_friction(pulley: Drop | Turn) -> None:
    """Refuse a pulley that would give work away."""
    require_at_least(f"friction ratio of {pulley.name}", pulley.ratio, 1.0, "-")
    require_at_least(f"drag of {pulley.name}", pulley.drag, 0.0, "lbf")
