"""Tilted flat-ended cylinders: blocked bands and distances.

Seen along the run a cylinder is a convex outline with the support point p(n); the
upper end of its band is the least, over the upward directions n, of
`(n . p(n) + side |n_v| + D) / n_w`. It is found where the contact lies under the
rectangle, `p_v(n) + D n_v + side sign(n_v) = 0`, which rises with n from left to right.
It jumps where the side line is met flat and, with a side reach, on the level top
(closed forms), and nearly jumps where a flat cap stands nearly square to the run:
plain Newton fails there, a bracket does not.

Where the contact lies past an end of the run, the end line is what is met. Where the
contact is a stretch, any point of it under the rectangle may be asked: a stretch that
reaches into the span crosses the end line, and the top is the same there.
"""

from dataclasses import dataclass

import numpy as np

from core.geometry.kernels.cylinder import Cylinders
from core.geometry.kernels.cylinder_gap import cylinder_gap
from core.geometry.kernels.placed import (
    Asked,
    Band,
    BoolArray,
    Contact,
    Gap,
    Reach,
    Room,
    columns,
)
from core.geometry.kernels.roots import closed_in
from core.geometry.shapes import FloatArray, IntArray

__all__ = ["TiltedCylinders", "place_tilted_cylinders"]

_MOST_STEPS = 100
_SIDEWAYS_STEPS = 60
_LEVEL = 1e-9  # [in] so little across makes no difference in height
_ZERO = 1e-12
_SQUARE = 1e-11
_LYING = 1e-6
_NOTHING = 1e-200
_NARROW = 4e-16


@dataclass(frozen=True, slots=True)
class TiltedCylinders:
    """Cylinders in any pose, measured against runs."""

    solids: Cylinders

    def take(self, rows: IntArray) -> "TiltedCylinders":
        """Return the solids at the given rows."""
        return TiltedCylinders(self.solids.take(rows))

    def band(self, at: Reach) -> Band:
        """Return the heights of the rectangle that meet; `hi < lo` where none do."""
        both = self.solids.joined(self.solids.mirrored())
        tops = _top(both, at.joined(at))
        count = at.side.size
        return -tops[count:], tops[:count]

    def stations(self, at: Reach, low: FloatArray, high: FloatArray) -> Band:
        """Return the u that meet at heights in `[low, high]`, past the ends too."""
        level = Reach(columns(low, high, at.side, at.reach))
        return TiltedCylinders(self.solids.swapped()).band(level)

    def contact(self, asked: Asked) -> Contact:
        """Return bands, stations and touching bands in one go."""
        solids = self.solids
        every = solids.joined(
            solids.take(asked.within).swapped(), solids.take(asked.touched)
        )
        at = asked.at.joined(asked.level, asked.bare)
        return asked.split(*TiltedCylinders(every).band(at))

    def gap(self, room: Room) -> Gap:
        """Return the distance to the swept body."""
        return cylinder_gap(self.solids, room)


def place_tilted_cylinders(fields: FloatArray, local: FloatArray) -> TiltedCylinders:
    """Return cylinders in any pose in the frames of their runs.

    Parameters
    ----------
    fields : FloatArray, shape (15, n)
        The numbers of the solids.
    local : FloatArray, shape (3, 5, n)
        The same as points and directions in the frames.
    """
    return TiltedCylinders(
        Cylinders(np.concatenate((local[:, 0], local[:, 1], fields[6:8])))
    )


def _top(solids: Cylinders, at: Reach) -> FloatArray:
    """Return the greatest height of the rectangle that meets, or -inf."""
    least, greatest = solids.extent(1)
    wide = at.side + at.reach
    rows = ((least <= wide) & (greatest >= -wide)).nonzero()[0]
    top = np.full(solids.half.size, -np.inf)
    if not rows.size:
        return top
    some, near = solids.take(rows), at.take(rows)
    height, contact = _span_top(some, near)
    past = ((contact < near.first) | (contact > near.last)).nonzero()[0]
    if past.size:
        beyond = near.take(past)
        end = np.minimum(np.maximum(contact[past], beyond.first), beyond.last)
        height[past] = _end_top(some.take(past), end, beyond, height[past])
    top[rows] = height
    return top


@dataclass(slots=True, kw_only=True)
class _Bracket:
    """The directions between which the contact lies, and what is found so far.

    Changes while it closes in: left and right are `(3, n)` of x, y and value.
    """

    left: FloatArray
    right: FloatArray
    done: BoolArray
    height: FloatArray
    contact: FloatArray

    def probe(
        self,
        ends: tuple[FloatArray, FloatArray],
        values: tuple[FloatArray, FloatArray],
        found: tuple[FloatArray, FloatArray],
        open_: BoolArray,
    ) -> None:
        """Look at a jump: finish where it holds the root, else move an end to it."""
        here = open_ & (values[0] <= 0.0) & (values[1] >= 0.0)
        self.height = np.where(here, found[0], self.height)
        self.contact = np.where(here, found[1], self.contact)
        self.done = self.done | here
        self.right = np.where(
            open_ & (values[0] > 0.0), np.stack((*ends, values[0])), self.right
        )
        self.left = np.where(
            open_ & (values[1] < 0.0), np.stack((*ends, values[1])), self.left
        )


def _span_top(solids: Cylinders, at: Reach) -> Band:
    """Return the top along an endless run, and the u of a contact."""
    least, greatest = solids.extent(1)
    zero = np.zeros(least.size)
    wide = at.reach + at.side
    bracket = _Bracket(
        left=np.stack((zero - 1.0, zero, least - wide)),
        right=np.stack((zero + 1.0, zero, greatest + wide)),
        done=zero != 0.0,
        height=np.full(least.size, -np.inf),
        contact=solids.center[0],
    )
    _probe_level(bracket, solids, at)
    _probe_side_line(bracket, solids, at)
    _probe_square_cap(bracket, solids, at)
    rows = (~bracket.done).nonzero()[0]
    if rows.size:
        bracket.height[rows], bracket.contact[rows] = _close_in(
            solids.take(rows),
            at.take(rows),
            bracket.left[:, rows],
            bracket.right[:, rows],
        )
    return bracket.height, bracket.contact


def _probe_level(bracket: _Bracket, solids: Cylinders, at: Reach) -> None:
    """Look at the level top, where the side of the rectangle changes.

    Within 1e-11 rad of upright the cap is flat there, overstated by so many radii.
    """
    zero = np.zeros(solids.half.size)
    rim, dot = solids.support(zero, zero, zero + 1.0)
    au, av, aw = solids.axis
    level = dot == 0.0
    flat = level & (av != 0.0)
    slide = np.where(flat, -rim[1] / np.where(flat, av, 1.0), 0.0)
    slide = np.minimum(np.maximum(slide, -solids.half), solids.half)
    left = solids.half * np.where(level, -np.sign(av), np.sign(dot))
    right = solids.half * np.where(level, np.sign(av), np.sign(dot))
    capped = np.abs(au) + np.abs(av) < _SQUARE
    cu, cv, _ = solids.center
    first = np.where(capped, cv - solids.radius, rim[1] + left * av)
    last = np.where(capped, cv + solids.radius, rim[1] + right * av)
    bracket.probe(
        (zero, zero + 1.0),
        (first - at.side, last + at.side),
        (
            rim[2] + solids.half * np.abs(aw) + at.reach,
            np.where(capped, cu, rim[0] + np.where(level, slide, left) * au),
        ),
        np.ones(zero.size, dtype=np.bool_),
    )


def _probe_side_line(bracket: _Bracket, solids: Cylinders, at: Reach) -> None:
    """Look at the direction in which the side line is met flat."""
    au, av, aw = solids.axis
    cu, cv, cw = solids.center
    length = np.sqrt(av * av + aw * aw)
    open_ = ~bracket.done & (av != 0.0) & (aw != 0.0)
    length = np.where(open_, length, 1.0)
    x, y = -aw * np.sign(av) / length, np.abs(av) / length
    open_ &= (x > bracket.left[0]) & (x < bracket.right[0])
    middle = cv + (solids.radius + at.reach) * x + at.side * np.sign(x)
    jump = solids.half * np.abs(av)
    step = np.where(open_, av, 1.0)
    slide = np.minimum(np.maximum(-middle / step, -solids.half), solids.half)
    lift = cv * x + cw * y + solids.radius + at.reach + at.side * np.abs(x)
    bracket.probe(
        (x, y),
        (middle - jump, middle + jump),
        (lift / np.where(open_, y, 1.0), cu + slide * au),
        open_,
    )


def _probe_square_cap(bracket: _Bracket, solids: Cylinders, at: Reach) -> None:
    """Look at the direction of an axis that is square to the run, so its cap is flat.

    Within 1e-11 rad of square the flat cap overstates the top by under 1e-11 radii.
    """
    au, av, aw = solids.axis
    cu, cv, cw = solids.center
    sign = np.where(aw < 0.0, -1.0, 1.0)
    x, y = sign * av, sign * aw
    open_ = ~bracket.done & (np.abs(au) < _SQUARE) & (y > _LYING)
    open_ &= (x > bracket.left[0]) & (x < bracket.right[0])
    if not open_.any():
        return
    middle = cv + (solids.half + at.reach) * x + at.side * np.sign(x)
    jump = solids.radius * np.abs(aw)
    lift = cv * x + cw * y + solids.half + at.reach + at.side * np.abs(x)
    bracket.probe(
        (x, y),
        (middle - jump, middle + jump),
        (
            (lift + solids.radius * np.abs(au)) / np.where(open_, y, 1.0),
            cu + solids.half * sign * au,
        ),
        open_,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Outline:
    """One cap seen along the run: an ellipse, its centre moved out to the rim.

    A direction is `n = cos(d) a + sin(d) e`, `a` that of the axis and `e` a quarter
    turn to the right of it, told by `q = tan(d / 2)`: near `q = 0` no digit of it is
    lost, however flat the ellipse. The rows of the block: where the centre
    is across from the rectangle, the half axis along e, the square of the one along a
    by it, how far e and a point across, the reach, how much of the axis is seen, and
    on which side of the solid the cap is.
    """

    block: FloatArray

    def contact(self, items: IntArray | slice, q: FloatArray) -> Band:
        """Return where the contact lies across, from the rectangle, and its slope."""
        middle, radius, flat, ev, av, reach = self.block[:6, items]
        s, square = q + q, q * q
        c, w = 1.0 - square, 1.0 + square
        root = s * s + flat * (c * c) + _NOTHING
        scale = radius / np.sqrt(root)
        es = ev * s
        value = middle + scale * (es + flat * (av * c)) + reach * ((es + av * c) / w)
        turn = (ev * c - av * s) / w * (reach / w + scale * flat * (w * w) / root)
        return value, turn + turn

    def guess(self) -> FloatArray:
        """Return where to look first: the rim alone, or past it the reach alone.

        The rim turns fastest at `q = 0`, the faster the flatter it is; the reach is
        taken as it is there. Where the rim does not get so far, it is at its end.
        """
        middle, radius, flat, ev, av, reach = self.block[:6]
        away = -(middle + reach * av)
        most = radius * ev
        spare = most * most - away * away
        near = (spare > _NOTHING) & (ev > 0.0)
        t = np.sqrt(flat / np.where(near, spare, 1.0)) * away
        x = -(middle + np.where(away > 0.0, most, -most)) / (reach + _NOTHING)
        x = np.minimum(np.maximum(x, -1.0), 1.0)
        y = np.sqrt(1.0 - x * x)
        far = _half_angle(ev * x - av * y, av * x + ev * y)
        return np.where(near, t / (1.0 + np.sqrt(1.0 + t * t)), far)


def _half_angle(s: FloatArray, c: FloatArray) -> FloatArray:
    """Return the tangent of half the angle of a direction, up to a quarter turn."""
    q = s / (1.0 + np.maximum(c, 0.0))
    return np.minimum(np.maximum(q, -1.0), 1.0)


def _outlines(solids: Cylinders, at: Reach, between: Band) -> tuple[_Outline, Band]:
    """Return the caps that are met between two directions, and the axes as seen.

    All directions between have the same cap and the same side of the rectangle.
    """
    au, av, aw = solids.axis
    x, y = between
    length = np.sqrt(av * av + aw * aw)
    seen = length > 0.0
    shown = np.where(seen, length, 1.0)
    sign = np.where(av * x + aw * y < 0.0, -1.0, 1.0)
    axis_v, axis_w = sign * av / shown, np.where(seen, sign * aw / shown, 1.0)
    middle = solids.center[1] + solids.half * length * axis_v
    middle = middle + at.side * np.sign(x)
    cap = np.where(seen, sign, 0.0)
    block = columns(
        middle, solids.radius, au * au, axis_w, axis_v, at.reach, length, cap
    )
    return _Outline(block=block), (axis_v, axis_w)


def _close_in(
    solids: Cylinders, at: Reach, left: FloatArray, right: FloatArray
) -> Band:
    """Return top and contact where no jump holds the root."""
    between = left[0] + right[0], left[1] + right[1]
    outline, (av, aw) = _outlines(solids, at, between)
    ends = [
        _half_angle(x * aw - y * av, x * av + y * aw) for x, y in (left[:2], right[:2])
    ]
    size = 1.0 + solids.half + solids.radius + at.reach + np.abs(solids.center[1])
    one, other = closed_in(
        outline.contact,
        (ends[0], ends[1]),
        guess=outline.guess(),
        good=_ZERO * size,
        narrow=_NARROW,
    )
    q = np.stack((one, other))
    low, high = outline.contact(slice(None), q)[0]
    share = np.where(high > low, -low / np.where(high > low, high - low, 1.0), 0.0)
    share = np.minimum(np.maximum(share, 0.0), 1.0)
    tops, contacts = _dual_top(solids, at, outline, q)
    height = tops.min(axis=0)
    return (
        np.where(np.isinf(height), -np.inf, height),
        contacts[0] + share * (contacts[1] - contacts[0]),
    )


def _dual_top(solids: Cylinders, at: Reach, outline: _Outline, q: FloatArray) -> Band:
    """Return the bound on the top from one direction, and its contact."""
    _, radius, flat, ev, av, reach, length, cap = outline.block
    s, square = q + q, q * q
    c, w = 1.0 - square, 1.0 + square
    root = np.sqrt(s * s + flat * (c * c) + _NOTHING)
    x, y = ev * s + av * c, ev * c - av * s
    lift = solids.center[1] * x + solids.center[2] * y + at.side * np.abs(x)
    lift = lift + solids.half * length * c + radius * root + reach * w
    up = y > 0.0
    height = np.where(up, lift / np.where(up, y, 1.0), np.inf)
    shift = cap * (solids.half - radius * length * (c / root))
    return height, solids.center[0] + solids.axis[0] * shift


def _end_top(
    solids: Cylinders, end: FloatArray, at: Reach, above: FloatArray
) -> FloatArray:
    """Return the top over an end line of the rectangle, from a height above it."""
    straight = (at.side == 0.0).nonzero()[0]
    broad = (at.side > 0.0).nonzero()[0]
    top = np.zeros(end.size)
    if straight.size:
        top[straight] = _line_top(
            solids.take(straight),
            (end[straight], np.zeros(straight.size)),
            at.reach[straight],
            above[straight],
        )[0]
    if broad.size:
        top[broad] = _rail_top(
            solids.take(broad), end[broad], at.take(broad), above[broad]
        )
    return top


def _rail_top(
    solids: Cylinders, end: FloatArray, at: Reach, above: FloatArray
) -> FloatArray:
    """Return the best top over the places across; it is concave across.

    It is best where the way from the solid does not turn across. That place is closed
    in by chords and, every third time, by halving; near it the top hardly changes.
    """
    left, right = -at.side, at.side.copy()
    top, turn_left = _line_top(solids, (end, left), at.reach, above)
    other, turn_right = _line_top(solids, (end, right), at.reach, above)
    top = np.maximum(top, other)
    items = ((turn_left < 0.0) & (turn_right > 0.0)).nonzero()[0]
    ends = np.array((left, turn_left, right, turn_right))[:, items]
    for step in range(_SIDEWAYS_STEPS):
        if not items.size:
            break
        left, turn_left, right, turn_right = ends
        share = -turn_left / (turn_right - turn_left)
        middle = left + (right - left) * (0.5 if step % 3 == 2 else share)
        line, reach = (end[items], middle), at.reach[items]
        found, turn = _line_top(solids.take(items), line, reach, above[items])
        top[items] = np.maximum(top[items], found)
        new = np.array((middle, turn))
        ends[:2] = np.where(turn < 0.0, new, ends[:2])
        ends[2:] = np.where(turn < 0.0, ends[2:], new)
        open_ = (np.abs(turn) > _LEVEL) & (ends[2] - ends[0] > _LEVEL)
        items, ends = items[open_], ends[:, open_]
    return top


def _line_top(
    solids: Cylinders, line: Band, reach: FloatArray, above: FloatArray
) -> Band:
    """Return where a point that sinks along an upright line is met, or -inf.

    The distance is convex in the height, so Newton steps from above never pass
    the root. The second value is how far the way from the solid points across.
    """
    height, turn = above.copy(), np.zeros(above.size)
    items = np.arange(above.size)
    for _ in range(_MOST_STEPS):
        if not items.size:
            break
        some = solids.take(items)
        apart, way = some.from_point(line[0][items], line[1][items], height[items])
        turn[items] = way[1]
        excess = apart - reach[items]
        rises = way[2] > 0.0
        step = excess * apart / np.where(rises, way[2], 1.0)
        lost = ~rises & (excess > 0.0)
        sunk = height[items] - np.where(rises, step, 0.0)
        height[items] = np.where(lost, -np.inf, sunk)
        small = 1e-14 * (1.0 + np.abs(height[items]))
        items = items[~lost & rises & (excess > 0.0) & (np.abs(step) > small)]
    return height, turn
