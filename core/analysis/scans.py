"""How near runs and what hangs come to the scans, which no obstacle set holds.

What sweeps past scans is loaded when there is one: most rooms have none.
"""

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from core.analysis.contacts import scan_contact
from core.analysis.memo import Memo
from core.analysis.scene import Scene
from core.analysis.tables import StrandRow
from core.geometry.runs import SweptRun
from core.placement.solids import Group, Solid
from core.rules.evidence import Contact, InsideHit, StrandContact

if TYPE_CHECKING:
    from core.geometry.surface import Surface

__all__ = ["inside_scans", "scan_contacts", "swept_contact"]

Parts = tuple[tuple[str, Group], ...]


def scan_contacts(
    key: str,
    row: StrandRow,
    parts: Parts,
    scene: Scene,
    memo: Memo,
    *,
    horizon: float,
    margin: float = 0.0,
) -> Iterator[tuple[StrandContact, ...]]:
    """Yield for each scan the nearest contact of each strand with it.

    Parameters
    ----------
    key : str
        What the strands hang with; names them in the memo.
    row : StrandRow
        The strands as still capsules.
    parts : tuple of (str, Group)
        The strand that each capsule is a piece of.
    scene : Scene
        With the scans.
    memo : Memo
        What is kept between analyses; a scan is measured again only when it or the
        row changes.
    horizon : float
        Scans farther than this are not listed [in].
    margin : float
        How far the strands may be from the capsules, taken off each clearance [in].
    """
    parts = memo.settled(("strand parts", key), parts)
    for solid, surface in scene.scans:
        yield memo.of(
            ("strand scan", key, solid.owner),
            (row, parts, solid, surface),
            partial(_contacts, row, parts, solid, surface, horizon, margin),
        )


def _contacts(
    row: StrandRow,
    parts: Parts,
    solid: Solid,
    surface: "Surface",
    horizon: float,
    margin: float,
) -> tuple[StrandContact, ...]:
    from core.geometry.strand_surface import nearest_in_bundles

    numbers = {part: number for number, part in enumerate(dict.fromkeys(parts))}
    bundles = np.array([numbers[part] for part in parts], dtype=np.int64)
    found = nearest_in_bundles(
        row.starts, row.ends, row.radii, bundles, surface, horizon=horizon
    )
    return tuple(
        StrandContact(
            part=parts[gap.segment][0],
            group=parts[gap.segment][1],
            other=solid.owner,
            other_part=solid.part,
            other_group=solid.group,
            clearance=gap.clearance - margin,
            on_strand=gap.on_segment,
            on_other=gap.on_surface,
        )
        for gap in found.values()
    )


def swept_contact(body: SweptRun, solid: Solid, surface: "Surface") -> Contact | None:
    """Return the contact of a run with a scan, None beyond the reach of contacts."""
    from core.geometry.sweep_surface import sweep_surface

    return scan_contact(sweep_surface([body], surface)[0], solid)


def inside_scans(body: SweptRun, scene: Scene) -> Iterator[InsideHit]:
    """Yield the closed scans that a run starts, passes or ends inside of."""
    for solid, surface in scene.scans:
        if surface.closed and _starts_inside(body, surface):
            x, y = body.start
            yield InsideHit(
                other=solid.owner, part=solid.part, at=(x, y, body.low), lift=0.0
            )


def _starts_inside(body: SweptRun, surface: "Surface") -> bool:
    from core.geometry.sweep_surface import run_starts_inside

    return run_starts_inside(body, surface)
