"""Puts a scene on the stage: which layer holds what, in which colour, moved how far."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from core.geometry.facets import Facets, joined, tube
from core.geometry.shapes import FloatArray
from core.model.room import Room, Wall
from core.placement.ceiling import ceiling_fields
from viewer.paper.theme import mixed
from viewer.room3d.animals import animal_pieces
from viewer.room3d.camera import Camera
from viewer.room3d.colours import bytes_of, colour_of, rgba
from viewer.room3d.fading import fading
from viewer.room3d.items import HATCHED, Bytes, LineItem, SurfaceItem, moved
from viewer.room3d.scene import Hanging, RoomScene, hanging
from viewer.room3d.shell import Piece, Surface
from viewer.room3d.shown import Shown
from viewer.room3d.things import RunForm, sleeve

__all__ = ["Stage"]

_BESIDE = 6.0  # beyond its envelope a scan is marked beside a run [in]
_OF_CEILING = 8.0  # what a scan has within this of the ceiling fades with it [in]
_WIDTHS = {Surface.ROPE: 1.5, Surface.CABLE: 2.0, Surface.LEAD: 3.0}
_NO_CLASH = frozenset(
    {Surface.FLOOR, Surface.PEN_FLOOR, Surface.CEILING, Surface.ALLEY}
)


class _RunItems:
    """The items of runs that have one travel; all move with them."""

    def __init__(self, forms: Sequence[RunForm]) -> None:
        self.forms = tuple(forms)
        self.metal = SurfaceItem()
        self.points = LineItem(order=25)
        self.envelope = SurfaceItem(order=30, clear=True)
        self.rims = LineItem(order=31)
        self.clash = SurfaceItem(order=40, clear=True, shader=HATCHED)
        self.stretch = SurfaceItem(order=2, towards=3.0)

        self.all: tuple[SurfaceItem | LineItem, ...] = (
            *(self.metal, self.points, self.envelope),
            *(self.rims, self.clash, self.stretch),
        )


class Stage:
    """The items of one view; mutable, for they live in OpenGL."""

    def __init__(self) -> None:
        self.scene: RoomScene | None = None
        self.shown = Shown()
        self.hung: Hanging | None = None
        self.still = SurfaceItem()
        self.scans = SurfaceItem()
        self.high_scans = SurfaceItem()  # what a scan has of the ceiling
        self.edges = LineItem(order=24)
        self.chosen = SurfaceItem(order=3, towards=2.5)
        self.chosen_edges = LineItem(order=26, width=2.0)
        self.clashing = SurfaceItem(order=5, towards=3.0, shader=HATCHED)
        self.stopped = LineItem(order=27, width=2.0)
        self.animals = SurfaceItem()
        self.rods = SurfaceItem()
        self.lines = {kind: LineItem(order=25, width=w) for kind, w in _WIDTHS.items()}
        self.chords = LineItem(order=23)
        self.shell = SurfaceItem(order=20, clear=True)
        self.ghosts = SurfaceItem(order=22, clear=True)
        self.runs: tuple[_RunItems, ...] = ()
        self.pulls: list[SurfaceItem] = []
        self._fade: tuple[dict[Wall, float], float] = ({}, 1.0)

    def items(self) -> list[SurfaceItem | LineItem]:
        """Return every item."""
        found: list[SurfaceItem | LineItem] = [self.still, self.edges]
        found += [self.scans, self.high_scans]
        found += [self.chosen, self.chosen_edges, self.clashing, self.stopped]
        found += [self.animals, self.rods, self.chords, *self.lines.values()]
        found += [self.shell, self.ghosts, *self.pulls]
        for runs in self.runs:
            found += runs.all
        return found

    # ----- what is shown -----

    def show_scene(self, scene: RoomScene, shown: Shown) -> None:
        """Show another scene."""
        before, self.scene, self.shown = self.scene, scene, shown
        if before is None or not _same(before.scans, scene.scans):
            self._show_scans(scene)
        if before is None or not _same(before.still, scene.still):
            self._show_still(scene)
        self._show_shell(scene)
        if before is None or before.runs != scene.runs or before.pulls != scene.pulls:
            self._make_moving(scene)
        self._show_animals()
        self._dress()
        self._mark_clashes()
        self._move()

    def show(self, shown: Shown) -> None:
        """Show the same scene in another state; only what differs is touched."""
        before, self.shown = self.shown, shown
        if self.scene is None or before == shown:
            return
        if before.theme != shown.theme:
            scene = self.scene
            self.scene = None
            self._fade = ({}, -1.0)
            self.show_scene(scene, shown)
            return
        if before.animals != shown.animals:
            self._show_animals()
        if _dress_of(before) != _dress_of(shown):
            self._dress()
        has_scan = before.lift != shown.lift and self.scene.scans and shown.clashes
        if before.clashes != shown.clashes or has_scan:
            self._mark_clashes()
        if before.lift != shown.lift or before.selection != shown.selection:
            self._move()

    def _colours(self, pieces: Iterable[Piece], *, alpha: float = 1.0) -> Bytes:
        theme = self.shown.theme
        parts = [
            np.broadcast_to(
                bytes_of(colour_of(theme, piece.surface), alpha),
                (len(piece.facets.corners), 4),
            )
            for piece in pieces
        ]
        return np.concatenate([np.zeros((0, 4), np.uint8), *parts])

    def _paint(
        self, item: SurfaceItem, pieces: Sequence[Piece], alpha: float = 1.0
    ) -> None:
        merged = joined(*(piece.facets for piece in pieces))
        item.show_facets(merged, self._colours(pieces, alpha=alpha))

    def _show_scans(self, scene: RoomScene) -> None:
        parts = [_parted(piece, scene.barn.room) for piece in scene.scans]
        self._paint(self.scans, [low for low, _ in parts])
        self._paint(self.high_scans, [high for _, high in parts])

    def _show_still(self, scene: RoomScene) -> None:
        self._paint(self.still, scene.still)
        theme = self.shown.theme
        ends = joined(*(piece.facets for piece in scene.still)).edges
        self.edges.show_lines(ends, rgba(theme.strong, 0.30 if theme.is_dark else 0.42))

    def _show_shell(self, scene: RoomScene) -> None:
        theme = self.shown.theme
        whole = [p for pieces in scene.walls.values() for p in pieces]
        self._paint(self.shell, [*whole, *scene.ceiling])
        self.chords.show_lines(scene.chords, rgba(theme.plain, 0.30))
        self._fade = ({}, -1.0)

    def _make_moving(self, scene: RoomScene) -> None:
        travels: dict[float, list[RunForm]] = {}
        for form in scene.runs:
            travels.setdefault(form.body.travel, []).append(form)
        self.runs = tuple(map(_RunItems, travels.values()))
        self.pulls = [SurfaceItem() for _ in scene.pulls]
        for item, pull in zip(self.pulls, scene.pulls, strict=True):
            self._paint(item, (pull.piece,))

    def _show_animals(self) -> None:
        scene = self.scene if self.shown.animals else None
        pieces = tuple(animal_pieces(scene.barn)) if scene is not None else ()
        self._paint(self.animals, pieces)

    # ----- what is chosen and what clashes -----

    def _dress(self) -> None:
        scene, shown = self.scene, self.shown
        if scene is None:
            return
        theme = shown.theme
        chosen = [p for p in scene.aimed_at if p.owner in shown.selection]
        accent = joined(*(_below(piece, scene.barn.room) for piece in chosen))
        self.chosen.show_facets(accent, rgba(theme.accent))
        self.chosen_edges.show_lines(accent.edges, rgba(theme.strong, 0.8))
        swung = [
            p for p in scene.ghosts if p.owner in {*shown.selection, *shown.stopped}
        ]
        self._paint(self.ghosts, swung, 0.22)
        ever = [p for p in scene.aimed_at if p.owner in shown.stopped and _may_clash(p)]
        outlines = joined(*(piece.facets for piece in ever)).edges
        self.stopped.show_lines(outlines, rgba(theme.stop))
        for runs in self.runs:
            self._dress_runs(runs)

    def _mark_clashes(self) -> None:
        scene, stop = self.scene, self.shown.theme.stop
        if scene is None:
            return
        others = {clash.other for clash in self.shown.clashes}
        hot = [p for p in scene.aimed_at if p.owner in others and _may_clash(p)]
        parts = [
            self._beside_runs(p) if p.surface is Surface.SCAN else p.facets for p in hot
        ]
        self.clashing.show_facets(joined(*parts), rgba(stop))
        for runs in self.runs:
            self._mark_runs(runs)

    def _beside_runs(self, piece: Piece) -> Facets:
        """Return the part of a scan that is beside the runs that it clashes with."""
        scene, shown = self.scene, self.shown
        centers = piece.facets.corners.mean(axis=1)
        near = np.zeros(len(centers), dtype=bool)
        for form in scene.runs if scene is not None else ():
            for clash in shown.clashes:
                if clash.run == form.run.id and clash.other == piece.owner:
                    reach = form.body.radius + form.body.limit + _BESIDE
                    for span in clash.stretches:
                        ends = _stretch(form, span)[[0, -1]] + form.way(shown.lift)
                        near |= _gaps(centers, *ends) < reach
        return _some(piece.facets, near)

    def _dress_runs(self, runs: _RunItems) -> None:
        shown, theme = self.shown, self.shown.theme
        chosen = set(shown.selection)
        colours = [
            np.broadcast_to(
                bytes_of(theme.accent if f.run.id in chosen else metal), (n, 4)
            )
            for metal in (colour_of(theme, Surface.RUN),)
            for f, n in ((f, len(f.piece.facets.corners)) for f in runs.forms)
        ]
        whole = joined(*(form.piece.facets for form in runs.forms))
        runs.metal.show_facets(whole, np.concatenate(colours))
        runs.points.show_lines(whole.edges, rgba(theme.strong))
        air = [f for f in runs.forms if shown.all_envelopes or _is_chosen(f, chosen)]
        sleeves = joined(*(sleeve(form) for form in air))
        runs.envelope.show_facets(sleeves, rgba(theme.accent, 0.16))

    def _mark_runs(self, runs: _RunItems) -> None:
        shown, stop = self.shown, self.shown.theme.stop
        spans = [
            (form, span)
            for form in runs.forms
            for span in _united(
                s for c in shown.clashes if c.run == form.run.id for s in c.stretches
            )
        ]
        parts = joined(*(sleeve(form, span) for form, span in spans))
        runs.clash.show_facets(parts, rgba(stop, 0.45))
        runs.rims.show_lines(parts.edges, rgba(stop))
        bare = joined(*(_bare(form, span) for form, span in spans))
        runs.stretch.show_facets(bare, rgba(stop))

    # ----- the lift -----

    def _move(self) -> None:
        scene, lift = self.scene, self.shown.lift
        if scene is None:
            return
        for runs in self.runs:
            transform = moved(runs.forms[0].way(lift))
            for item in runs.all:
                item.setTransform(transform)
        for item, pull in zip(self.pulls, scene.pulls, strict=True):
            x, y, z = pull.way
            item.setTransform(moved((lift * x, lift * y, lift * z)))
        self.hung = hanging(scene, lift)
        self._show_hung(self.hung)

    def _show_hung(self, hung: Hanging) -> None:
        theme, chosen = self.shown.theme, set(self.shown.selection)
        accent = np.array(rgba(theme.accent), np.float32)
        for kind, item in self.lines.items():
            own = [(o, points) for o, surface, points in hung.lines if surface is kind]
            plain = np.array(rgba(colour_of(theme, kind)), np.float32)
            item.show_lines(*_segments(own, chosen, plain, accent))
        if hung.rod_owners:
            each = len(hung.rods.corners) // len(hung.rod_owners)
            colours = [
                bytes_of(theme.accent if o in chosen else colour_of(theme, surface))
                for o, surface in hung.rod_owners
            ]
            self.rods.show_facets(hung.rods, np.repeat(np.array(colours), each, axis=0))
        else:
            self.rods.setVisible(False)

    # ----- the eye -----

    def is_shut(self, wall: Wall) -> bool:
        """Tell whether a wall can be seen and hides what is behind it."""
        return self._fade[0].get(wall, 1.0) > 0.5

    def look_from(self, camera: Camera) -> None:
        """Let walls and ceiling fade where the eye is behind them."""
        if self.scene is None:
            return
        fade = fading(camera, self.scene.barn.room)
        if fade == self._fade:
            return
        self._fade = fade
        theme, (walls, ceiling) = self.shown.theme, fade
        colours = [
            self._colours(pieces, alpha=walls[wall])
            for wall, pieces in self.scene.walls.items()
        ]
        colours.append(self._colours(self.scene.ceiling, alpha=ceiling))
        self.shell.paint_in(np.concatenate(colours))
        self.high_scans.setVisible(ceiling > 0.5 and bool(self.scene.scans))
        ink = mixed(theme.plain, theme.paper, 0.6)
        self.chords.colour(rgba(ink, 0.55 if ceiling < 0.5 else 0.35))


def _dress_of(shown: Shown) -> tuple[object, ...]:
    return (shown.selection, shown.stopped, shown.all_envelopes)


def _is_chosen(form: RunForm, chosen: Collection[str]) -> bool:
    supports = (support.id for support in form.run.supports)
    return form.run.id in chosen or any(each in chosen for each in supports)


def _same(a: Sequence[Piece], b: Sequence[Piece]) -> bool:
    return len(a) == len(b) and all(x is y for x, y in zip(a, b, strict=True))


def _may_clash(piece: Piece) -> bool:
    return piece.surface not in _NO_CLASH


def _united(stretches: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return stretches with those that overlap made one."""
    united: list[tuple[float, float]] = []
    for low, high in sorted(stretches):
        if united and low <= united[-1][1]:
            united[-1] = (united[-1][0], max(high, united[-1][1]))
        else:
            united.append((low, high))
    return united


def _stretch(form: RunForm, span: tuple[float, float]) -> FloatArray:
    """Return the axis of a stretch at lift 0 `(n, 3)` [in]."""
    near = (form.axis[1:, 0] - form.axis[:-1, 0]) ** 2
    near = near + (form.axis[1:, 1] - form.axis[:-1, 1]) ** 2
    stations = np.concatenate(([0.0], np.cumsum(np.sqrt(near))))
    inside = stations[(stations > span[0]) & (stations < span[1])]
    wanted = np.concatenate(([span[0]], inside, [span[1]]))
    axis: FloatArray = np.stack(
        [np.interp(wanted, stations, form.axis[:, k]) for k in range(3)], axis=-1
    )
    return axis


def _bare(form: RunForm, span: tuple[float, float]) -> Facets:
    """Return the metal of a stretch, a little thicker than it is."""
    return tube(_stretch(form, span), form.body.radius + 0.25, sides=12)


def _gaps(points: FloatArray, a: FloatArray, b: FloatArray) -> FloatArray:
    """Return how far points `(n, 3)` are from a segment [in]."""
    way = b - a
    square = max(float(way @ way), 1e-12)
    share = np.clip((points - a) @ way / square, 0.0, 1.0)
    off = points - a - share[:, None] * way
    gaps: FloatArray = np.sqrt((off * off).sum(axis=1))
    return gaps


def _some(part: Facets, which: NDArray[np.bool_]) -> Facets:
    return Facets(
        corners=part.corners[which], normals=part.normals[which], edges=part.edges[:0]
    )


def _below(piece: Piece, room: Room) -> Facets:
    """Return a piece; of a scan what is not the ceiling, if there is such."""
    if piece.surface is not Surface.SCAN:
        return piece.facets
    low, _ = _parted(piece, room)
    return low.facets if len(low.facets.corners) else piece.facets


def _parted(piece: Piece, room: Room) -> tuple[Piece, Piece]:
    """Return a scan below the ceiling, and what it has of the ceiling itself."""
    lowest = min(min(f.z_low, f.z_high) for f in ceiling_fields(room))
    high = piece.facets.corners[..., 2].min(axis=1) > lowest - _OF_CEILING
    return (
        replace(piece, facets=_some(piece.facets, ~high)),
        replace(piece, facets=_some(piece.facets, high)),
    )


def _segments(
    lines: Sequence[tuple[str, FloatArray]],
    chosen: Collection[str],
    plain: NDArray[np.float32],
    accent: NDArray[np.float32],
) -> tuple[FloatArray, NDArray[np.float32]]:
    """Return lines as separate pieces, with the colour of each."""
    ends = [np.stack((points[:-1], points[1:]), axis=1) for _, points in lines]
    counts = [len(part) for part in ends]
    colours = [accent if owner in chosen else plain for owner, _ in lines]
    return (
        np.concatenate([np.zeros((0, 2, 3)), *ends]),
        np.repeat(np.array(colours, np.float32).reshape(-1, 4), counts, axis=0),
    )
