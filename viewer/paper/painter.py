"""Painting a drawing's shapes with one theme: screen, PDF, SVG and printer alike."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from operator import attrgetter

from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen

from core.drawing.linework import LINEWORK, Layer, LineType
from core.drawing.records import Group, Role
from viewer.paper.shapes import Lettering, Scale, Shape
from viewer.paper.theme import Theme, mixed

__all__ = ["Look", "Painter", "Tier", "ordered", "tier_of"]

Tier = int
# groups that lie still under everything else, whatever layers these are in
_STILL = frozenset({"free-space", "room", "trusses", "fixture"})
# faces that hide what lies below them; the others let it shine through
_SOLID = frozenset({Layer.SEEN, Layer.CUT, Layer.HOIST, Layer.RUN, Layer.HANDLE})
_OPAQUE_MOVING = frozenset({Role.MOVING})
_HALO = 210  # alpha of the paper behind a text, of 255
_THINNEST = 1.0  # a line on a screen [px]
_STRESSED = 1.6  # how much wider a chosen object's lines are [-]


def tier_of(group: Group) -> Tier:
    """Return 0 for what lies still under all the rest, 1 for the rest."""
    return 0 if group.key[0] in _STILL else 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """Theme, chosen objects, and which numbered findings are only cautions.

    `on_screen` keeps every line wide enough for a screen.
    """

    theme: Theme
    selection: frozenset[str] = frozenset()
    cautions: frozenset[str] = frozenset()
    on_screen: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tools:
    """The pens and brushes of one role in one state."""

    line: QPen
    hatch: QPen
    face: QBrush
    letters: QPen
    halo: QBrush
    is_crisp: bool  # thin dashes are drawn pixel by pixel: that is clearer and quick


@dataclass(slots=True, kw_only=True)
class Painter:
    """Paints shapes in one look at one scale; mutable, it keeps its pens."""

    look: Look
    scale: Scale
    _tools: dict[tuple[Role, str], _Tools] = field(default_factory=dict)

    def paint(self, painter: QPainter, shapes: Iterable[Shape]) -> None:
        """Paint shapes in the order given; the painter's origin is the plane's."""
        for shape in shapes:
            tools = self._tools_of(shape)
            if shape.lettering is not None:
                _letter(painter, shape.lettering, tools)
                continue
            smooth = QPainter.RenderHint.Antialiasing
            painter.setRenderHint(smooth, on=not tools.is_crisp)
            has_line = shape.is_open or LINEWORK[shape.role].outline
            if shape.face is not None and _is_plain(shape) and has_line:
                painter.setPen(tools.line)
                painter.setBrush(tools.face)
                painter.drawPath(shape.face)
                continue
            _fill(painter, shape, tools)
            if has_line and shape.line is not None:
                painter.setPen(tools.line)
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawPath(shape.line)

    def _tools_of(self, shape: Shape) -> _Tools:
        key = (shape.role, self._state(shape))
        tools = self._tools.get(key)
        if tools is None:
            tools = self._made(*key)
            self._tools[key] = tools
        return tools

    def _state(self, shape: Shape) -> str:
        if shape.role in (Role.FINDING, Role.WITNESS):
            return "caution" if shape.part in self.look.cautions else ""
        chosen = shape.owner in self.look.selection
        return "accent" if chosen and shape.role not in _UNSTRESSED else ""

    def _made(self, role: Role, state: str) -> _Tools:
        theme, linework = self.look.theme, LINEWORK[role]
        ink = str(getattr(theme, state)) if state else theme.ink(role)
        letters = ink if state else theme.lettering(role)
        stress = _STRESSED if state == "accent" else 1.0
        line = self._pen(ink, linework.width * stress)
        is_dashed = linework.line is not LineType.CONTINUOUS
        if is_dashed:
            pattern = linework.line.pattern(line.widthF())
            line.setDashPattern([max(part, 1.0) / line.widthF() for part in pattern])
        hatch = linework.hatch
        halo = QColor(theme.paper)
        halo.setAlpha(_HALO)
        return _Tools(
            line=line,
            hatch=self._pen(ink, hatch.width if hatch else 0.0),
            face=self._face(role, ink),
            letters=QPen(QColor(letters)),
            halo=QBrush(halo),
            is_crisp=is_dashed and line.widthF() <= _THINNEST,
        )

    def _pen(self, ink: str, width: float) -> QPen:
        least = _THINNEST if self.look.on_screen else 0.0
        pen = QPen(QColor(ink))
        pen.setWidthF(max(width * self.scale.mm, least))
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        return pen

    def _face(self, role: Role, ink: str) -> QBrush:
        linework, paper = LINEWORK[role], self.look.theme.paper
        if linework.layer in _SOLID and role not in _OPAQUE_MOVING:
            return QBrush(QColor(mixed(ink, paper, linework.tint)))
        if not linework.tint:
            return QBrush(Qt.BrushStyle.NoBrush)
        colour = QColor(ink)
        colour.setAlphaF(linework.tint)
        return QBrush(colour)


# what a chosen object only carries with it
_UNSTRESSED = frozenset({Role.SWEPT, Role.LANE, Role.BLOCKED, Role.DIMENSION})


def _is_plain(shape: Shape) -> bool:
    """Tell whether a face has its own outline and no hatch between the two."""
    return shape.face is shape.line and shape.hatch is None


def _fill(painter: QPainter, shape: Shape, tools: _Tools) -> None:
    if shape.face is not None and tools.face.style() != Qt.BrushStyle.NoBrush:
        painter.fillPath(shape.face, tools.face)
    if shape.hatch is not None:
        painter.setPen(tools.hatch)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(shape.hatch)


def _letter(painter: QPainter, text: Lettering, tools: _Tools) -> None:
    painter.save()
    painter.translate(text.at)
    if text.degrees:
        painter.rotate(text.degrees)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(text.box, tools.halo)
    painter.setFont(text.font)
    painter.setPen(tools.letters)
    painter.drawText(text.place, text.words)
    painter.restore()


def ordered(groups: Sequence[tuple[Tier, Sequence[Shape]]]) -> Iterator[Shape]:
    """Yield the shapes of some groups tier by tier and layer by layer."""
    for tier in (0, 1):
        shapes = [shape for own, made in groups if own == tier for shape in made]
        yield from sorted(shapes, key=attrgetter("layer"))
