"""The drilling schedule and the heights to set, as tables for the ladder."""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from core.analysis.analyse import Analysis
from core.outputs.holes import Hole, is_base
from core.outputs.tables import Cell, Column, Kind, Table
from core.placement.hanging import support_points
from core.quantities import LengthStyle, format_length

__all__ = ["drill_size", "drilling_table", "heights_table"]


def drill_size(inches: float) -> str:
    """Return a drill's size as it is stamped on it: the nearest 1/64 in.

    Examples
    --------
    >>> drill_size(0.15625), drill_size(0.4375)
    ('5/32 in', '7/16 in')
    """
    return f"{Fraction(round(inches * 64), 64)} in"


def drilling_table(holes: Iterable[Hole], *, style: LengthStyle) -> Table:
    """Return the drilling schedule.

    Parameters
    ----------
    holes : iterable of Hole
        The holes, in the order in which they are drilled.
    style : LengthStyle
        How lengths are written inside a text.
    """
    return Table.of(
        "drilling",
        "Drilling schedule",
        (
            Column(heading="Done", kind=Kind.TICK, share=0.8),
            Column(heading="Hole", share=1.4),
            Column(heading="Truss, or wall and height", share=1.5),
            Column(heading="From the front wall", kind=Kind.LENGTH, share=1.6),
            Column(heading="From the left wall", kind=Kind.LENGTH, share=1.6),
            Column(heading="Hardware", share=2.6),
            Column(heading="Pilot hole", share=1.2),
            Column(heading="Load", kind=Kind.POUNDS, share=1.4),
            Column(heading="Nearest thing", share=2.8),
        ),
        (_hole_row(hole, style) for hole in holes),
        (
            "Tape from the inner faces of front wall (main door) and left wall.",
            "T3 + 8 in: 8 in behind the middle of truss 3 as one walks in.",
            "A drop pulley hangs on each screw that has nothing else named.",
            "On a wall: the middle between the holes of the base, and its height.",
            "Load: greatest pull through the travel, on the hardest pulled screw.",
            "Nearest thing: from the line of the hole, directions as one walks in.",
        ),
    )


def _hole_row(hole: Hole, style: LengthStyle) -> tuple[Cell, ...]:
    near = hole.nearest
    what = "nothing within 10 ft"
    if near is not None:
        gap = format_length(max(near.distance, 0.0), style=style)
        what = f"{near.name}, {gap} {near.direction}"
    return (
        None,
        hole.id,
        _truss_words(hole, style),
        hole.at[0],
        hole.at[1],
        _hardware(hole),
        drill_size(hole.screw.pilot_hole),
        hole.load,
        what,
    )


def _hardware(hole: Hole) -> str:
    screw = hole.screw.description or hole.screw.id
    many = f"{hole.count} x " if hole.count > 1 else ""
    what = "" if hole.what == "drop pulley" else f", {hole.what}"
    return f"{many}{screw}{what}"


def _truss_words(hole: Hole, style: LengthStyle) -> str:
    if is_base(hole):
        height = format_length(hole.at[2], style=style)
        lumber = ", added lumber" if hole.blocking else ""
        return f"{hole.wall or 'post'}, {height} up{lumber}"
    if hole.truss is None:
        return "blocking" if hole.blocking else "none"
    off = hole.off_truss
    words = f"T{hole.truss.number}"
    if abs(off) >= 1 / 32:
        sign = "+" if off > 0 else "-"
        words += f" {sign} {format_length(abs(off), style=style)}"
    return f"{words}, blocking" if hole.blocking else words


def heights_table(analysis: Analysis) -> Table:
    """Return the heights to set: each support at working height and stowed.

    Heights are those of the pipe's middle above the floor; an installer measures to
    the top of the pipe, so that both are given.
    """
    return Table.of(
        "heights",
        "Heights to set",
        (
            Column(heading="Done", kind=Kind.TICK, share=0.8),
            Column(heading="Run", share=1.3),
            Column(heading="Support", share=1.3),
            Column(heading="From run's front end", kind=Kind.LENGTH, share=1.7),
            Column(heading="Floor to top of pipe, working", kind=Kind.LENGTH, share=2),
            Column(
                heading="Floor to middle of pipe, working", kind=Kind.LENGTH, share=2
            ),
            Column(heading="Floor to top of pipe, stowed", kind=Kind.LENGTH, share=2),
            Column(heading="Measured", kind=Kind.BLANK, share=1.8),
        ),
        _height_rows(analysis),
        (
            "Set every support at working height with the run hanging still.",
            "Then lift, lower, and measure again.",
        ),
    )


def _height_rows(analysis: Analysis) -> Iterator[tuple[Cell, ...]]:
    barn, catalogue = analysis.report.barn, analysis.catalogue
    for run in barn.runs:
        low, high = (
            support_points(run, barn.room, catalogue, lift=lift) for lift in (0.0, 1.0)
        )
        for support, down, up in zip(run.supports, low, high, strict=True):
            yield (
                None,
                run.id,
                support.id,
                support.station,
                down.insulator_low[2],
                down.pipe[2],
                up.insulator_low[2],
                None,
            )
