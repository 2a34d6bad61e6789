"""Where a run is joined from sticks, and how the sticks are cut with least waste."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from core.errors import ValueRangeError
from core.ranges import require_above, require_at_least, require_between

__all__ = ["CuttingPlan", "JointLayout", "cut_sticks", "lay_joints"]

_FORGIVEN = 1e-6  # [in] rounding of lengths
_SEARCH_STEPS = 20_000  # steps of the exact search before it keeps its best
_SEARCH_PIECES = 300  # pieces up to which it is tried


@dataclass(frozen=True, slots=True, kw_only=True)
class JointLayout:
    """Joints of one run: their stations and the pieces between them [in]."""

    stations: tuple[float, ...]
    pieces: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingPlan:
    """How sticks are cut: for each stick the places of its pieces in the list given.

    `least` is a proven lower bound for the number of sticks, `waste` [in] all
    that is left over, saw cuts included.
    """

    sticks: tuple[tuple[int, ...], ...]
    least: int
    waste: float

    @property
    def is_least(self) -> bool:
        """Return whether no plan with fewer sticks exists."""
        return len(self.sticks) == self.least


def lay_joints(
    start: float,
    end: float,
    *,
    stick: float,
    insulators: Sequence[float] = (),
    margin: float = 3.0,
    shortest: float = 12.0,
) -> JointLayout:
    """Return the joints of a run of sticks, none at an insulator.

    Parameters
    ----------
    start, end : float
        Ends of the run [in].
    stick : float
        Length of a stick [in], greater than 0.
    insulators : sequence of float
        Stations of the insulators [in].
    margin : float
        Least distance from a joint to an insulator [in], at least 0.
    shortest : float
        Least length of a piece [in], above 0 to half a stick; a run that fits in
        one stick is one piece.

    Returns
    -------
    JointLayout
        Stations and pieces from the front [in].

    Raises
    ------
    ValueRangeError
        If a limit is out of range or no joint fits between the insulators.

    Notes
    -----
    Each joint as far on as it may be, which needs the fewest sticks; the last
    joint goes back where the end piece would be too short. Exact for sticks of
    one length unless a piece would get shorter than `shortest`.

    References
    ----------
    Exchange argument for stopping places on a line.

    Examples
    --------
    >>> lay_joints(0.0, 300.0, stick=120.0, insulators=[120.0]).stations
    (117.0, 237.0)
    >>> lay_joints(0.0, 100.0, stick=120.0).pieces
    (100.0,)
    """
    require_above("end of the run", end, start, "in")
    require_above("stick", stick, 0.0, "in")
    require_at_least("margin", margin, 0.0, "in")
    require_above("shortest piece", shortest, 0.0, "in")
    require_between("shortest piece", shortest, 0.0, stick / 2.0, "in")
    stations: list[float] = []
    here = start
    while end - here > stick + _FORGIVEN:
        far = here + stick
        if end - far < shortest:
            far = end - shortest
        place = _free_place(far, here + shortest, insulators, margin)
        if place is None:
            msg = (
                f"no joint fits from {here + shortest:g} in to {far:g} in with "
                f"{margin:g} in to every insulator; move an insulator"
            )
            raise ValueRangeError(msg)
        stations.append(place)
        here = place
    edges = [start, *stations, end]
    pieces = tuple(b - a for a, b in pairwise(edges))
    return JointLayout(stations=tuple(stations), pieces=pieces)


def cut_sticks(pieces: Sequence[float], *, stick: float, kerf: float) -> CuttingPlan:
    """Return how to cut all pieces from as few sticks as can be found.

    Parameters
    ----------
    pieces : sequence of float
        Lengths wanted, of all runs together [in], each above 0 to `stick`.
    stick : float
        Length of a stick [in], greater than 0.
    kerf : float
        Width of a saw cut [in], at least 0.

    Returns
    -------
    CuttingPlan
        Pieces of each stick, the proven lower bound and the waste [in].

    Raises
    ------
    ValueRangeError
        If a piece is longer than a stick or not greater than 0.

    Notes
    -----
    Longest pieces first into the fullest stick that takes them, then a
    branch-and-bound search of up to 20 000 steps and 300 pieces where that is
    above the bound of Martello and Toth. `is_least` says whether the plan is
    proven to be the best.

    References
    ----------
    S. Martello and P. Toth, Knapsack Problems, 1990, ch. 8, bound L2.

    Examples
    --------
    >>> plan = cut_sticks([60.0, 59.0, 120.0, 60.0], stick=120.0, kerf=0.125)
    >>> plan.sticks, plan.least
    (((2,), (0, 1), (3,)), 3)
    >>> cut_sticks([], stick=120.0, kerf=0.125).sticks
    ()
    """
    require_above("stick", stick, 0.0, "in")
    require_at_least("saw cut", kerf, 0.0, "in")
    for piece in pieces:
        require_above("piece", piece, 0.0, "in")
        require_between("piece", piece, 0.0, stick + _FORGIVEN, "in")
    order = sorted(range(len(pieces)), key=lambda place: (-pieces[place], place))
    sizes = [min(pieces[place], stick) + kerf for place in order]
    room = stick + kerf
    least = _least_bins(sizes, room)
    bins = _best_fit(sizes, room)
    if len(bins) > least:
        bins, least = _searched(sizes, room, bins, least)
    sticks = tuple(tuple(order[item] for item in content) for content in bins)
    waste = len(sticks) * stick - math.fsum(pieces)
    return CuttingPlan(sticks=sticks, least=least, waste=waste)


def _free_place(
    far: float, near: float, insulators: Sequence[float], margin: float
) -> float | None:
    """Return the farthest place from `near` to `far` clear of all insulators."""
    place = far
    for insulator in sorted(insulators, reverse=True):
        if abs(place - insulator) < margin - _FORGIVEN:
            place = insulator - margin
    return place if place >= near - _FORGIVEN else None


def _best_fit(sizes: Sequence[float], room: float) -> list[list[int]]:
    """Put each size, largest first, into the fullest bin that takes it."""
    bins: list[list[int]] = []
    left: list[float] = []
    for item, size in enumerate(sizes):
        fitting = [k for k, space in enumerate(left) if size <= space + _FORGIVEN]
        if fitting:
            chosen = min(fitting, key=left.__getitem__)
            bins[chosen].append(item)
            left[chosen] -= size
        else:
            bins.append([item])
            left.append(room - size)
    return bins


def _least_bins(sizes: Sequence[float], room: float) -> int:
    """Return the bound L2: bins that any packing of these sizes needs."""
    halves = [size for size in sizes if size <= room / 2.0 + _FORGIVEN]
    cuts = {0.0, *halves}
    return max((_bins_above(sizes, room, cut) for cut in cuts), default=0)


def _bins_above(sizes: Sequence[float], room: float, cut: float) -> int:
    """Return the bound for the sizes that are at least `cut`."""
    half = room / 2.0 + _FORGIVEN
    alone = [size for size in sizes if size > room - cut + _FORGIVEN]
    paired = [size for size in sizes if half < size <= room - cut + _FORGIVEN]
    small = math.fsum(size for size in sizes if cut <= size <= half)
    spare = len(paired) * room - math.fsum(paired)
    extra = math.ceil((small - spare) / room - _FORGIVEN)
    return len(alone) + len(paired) + max(extra, 0)


def _searched(
    sizes: Sequence[float], room: float, best: list[list[int]], least: int
) -> tuple[list[list[int]], int]:
    """Search for a packing with fewer bins; return it and the bound then proven."""
    alone = [content for content in best if _fills(sizes, room, content)]
    items = sorted(set(range(len(sizes))).difference(*alone))
    if len(items) > _SEARCH_PIECES:
        return best, least
    shared = [sizes[item] for item in items]
    while len(best) > least:
        search = _Packing(shared, room, len(best) - 1 - len(alone))
        if not search.fill(0):
            proven = search.steps < _SEARCH_STEPS
            return best, len(best) if proven else least
        found = [[items[k] for k in content] for content in search.bins if content]
        best = alone + found
    return best, least


def _fills(sizes: Sequence[float], room: float, content: Sequence[int]) -> bool:
    """Return whether a bin holds one item so large that none goes beside it."""
    return len(content) == 1 and sizes[content[0]] + min(sizes) > room + _FORGIVEN


class _Packing:
    """A depth-first packing into a fixed number of bins; mutable while it runs."""

    def __init__(self, sizes: Sequence[float], room: float, count: int) -> None:
        self.sizes = sizes
        self.left = [room] * count
        self.bins: list[list[int]] = [[] for _ in range(count)]
        self.steps = 0

    def fill(self, item: int, first: int = 0) -> bool:
        """Place the items from `item` on; return whether all found a bin."""
        if item == len(self.sizes):
            return True
        tried: set[float] = set()
        for place in range(first, len(self.bins)):
            space = round(self.left[place], 6)
            if self.sizes[item] > space + _FORGIVEN or space in tried:
                continue
            tried.add(space)
            self.steps += 1
            if self.steps >= _SEARCH_STEPS:
                return False
            if self._try(item, place):
                return True
        return False

    def _try(self, item: int, place: int) -> bool:
        """Put one item into one bin and go on; take it out again when that fails."""
        self.bins[place].append(item)
        self.left[place] -= self.sizes[item]
        follows = item + 1
        same = (
            follows < len(self.sizes)
            and abs(self.sizes[follows] - self.sizes[item]) < _FORGIVEN
        )
        if self.fill(follows, place if same else 0):
            return True
        self.bins[place].pop()
        self.left[place] += self.sizes[item]
        return False
