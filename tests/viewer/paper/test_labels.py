"""Nothing that must be read lies under a handle or under another text."""

from collections.abc import Callable
from itertools import combinations
from pathlib import Path

import pytest
from PySide6.QtCore import QPointF, QRect, QRectF
from PySide6.QtGui import QFontMetricsF, QTransform
from PySide6.QtWidgets import QApplication

from core.barnfile.files import load_barn
from core.drawing.records import Align, Dimension, Grip, Handle, Role, Text
from core.drawing.refusals import refusal
from tests.gui import settle
from viewer.app.window import MainWindow
from viewer.paper.drawing_view import DrawingView
from viewer.paper.labels import Labels, arranged, ink_box, spread
from viewer.paper.shapes import Scale, Shape, record_shapes
from viewer.session import Session

pytestmark = pytest.mark.gui

SCALE = Scale(inch=1.0, mm=96.0 / 25.4)
PAGE = QRect(-500, -500, 1000, 1000)
SAMPLE = Path(__file__).parents[3] / "sample_barns" / "awkward.json"


def _text(at: tuple[float, float], words: str, role: Role = Role.LABEL) -> Shape:
    (shape,) = record_shapes(
        Text(role=role, at=at, parts=(words,), across=Align.START), SCALE
    )
    return shape


def _handle(at: tuple[float, float]) -> Shape:
    record = Handle(role=Role.HANDLE, owner="a", grip=Grip.BODY, at=at)
    (shape,) = record_shapes(record, SCALE)
    return shape


@pytest.fixture(autouse=True)
def _fonts(qapp: QApplication) -> None:
    """Texts are measured with the application's fonts."""


def test_a_text_that_nothing_is_on_stays() -> None:
    texts = [_text((0, 0), "7: 1.32 in", Role.WITNESS), _text((0, 30), "pen-1")]
    assert arranged(texts, [_handle((200, 0))], within=PAGE) == {}


def test_the_box_of_a_text_is_that_of_its_letters() -> None:
    # hand-worked: capitals of 2.5 mm are 9.4 px high; the text begins at its point
    box = ink_box(_text((10, 20), "HHHH"))
    assert box.left() == pytest.approx(10, abs=3)
    assert box.top() == pytest.approx(-20 - 9.4 / 2, abs=3)
    assert box.height() == pytest.approx(9.4, abs=5)


@pytest.mark.parametrize("role", [Role.WITNESS, Role.LABEL])
def test_a_text_goes_beside_a_handle(role: Role) -> None:
    text, handle = _text((0, 0), "7: 1.32 in", role), _handle((20, 0))
    places = arranged([text], [handle], within=PAGE)
    way = places[text]
    assert way is not None
    assert not ink_box(text).translated(way).intersects(ink_box(handle))
    labels = Labels()
    labels.arrange([text], [handle], within=PAGE)
    assert text in labels
    drawn = list(labels.moved)
    assert drawn[0].box == text.box.translated(way)
    assert drawn[0].lettering is not None
    assert text.lettering is not None
    assert drawn[0].lettering.at == text.lettering.at + QPointF(way)
    # a number keeps a line to where it belongs, a name does without
    assert len(drawn) == (2 if role is Role.WITNESS else 1)


def test_a_number_goes_beside_a_text_and_a_name_gives_way_to_it() -> None:
    first = _text((0, 0), "7: 1.32 in", Role.WITNESS)
    second = _text((10, 2), "8: 2.50 in", Role.WITNESS)
    name = _text((5, -2), "pen-21")
    places = arranged([first, second, name], [], within=PAGE)
    assert first not in places
    assert places[second] is not None
    assert places[name] is None
    labels = Labels()
    changed, shapes = labels.arrange([first, second, name], [], within=PAGE)
    assert changed == {second, name}
    assert [s.lettering for s in labels.moved].count(None) == 1
    assert set(shapes) == set(labels.moved)


def test_what_stays_as_it_is_is_painted_once() -> None:
    first = _text((0, 0), "7: 1.32 in", Role.WITNESS)
    second = _text((10, 2), "8: 2.50 in", Role.WITNESS)
    name = _text((5, 200), "pen-21")
    labels = Labels()
    labels.arrange([first, second, name], [], within=PAGE)
    before = list(labels.moved)
    assert labels.arrange([first, second, name], [], within=PAGE) == (set(), [])
    far = _handle((300, 0))
    assert labels.arrange([first, second, name], [far], within=PAGE) == (set(), [])
    assert list(labels.moved) == before
    near = _handle((15, 200))
    changed, shapes = labels.arrange([first, second, name], [near], within=PAGE)
    assert changed == {name}
    assert {shape.owner for shape in shapes} == {name.owner}
    assert len(shapes) == 1
    changed, shapes = labels.arrange([second, name], [], within=PAGE)
    assert changed == {second, name}
    assert len(shapes) == 3


def _dimension(a: tuple[float, float], b: tuple[float, float]) -> list[Shape]:
    value = abs(a[0] - b[0]) + abs(a[1] - b[1])
    record = Dimension(role=Role.DIMENSION, a=a, b=b, through=a, value=value)
    return list(record_shapes(record, SCALE))


def test_live_dimensions_do_not_lie_on_one_another_nor_under_a_refusal() -> None:
    notes = [
        *_dimension((0, 0), (40, 0)),
        *_dimension((0, 5), (44, 5)),
        *_dimension((10, -20), (10, 20)),
        *_dimension((0, 60), (40, 60)),
    ]
    said = refusal("no", (20, 60), thing=(20, 0), reach=6.0, seen=None)
    notes += [shape for record in said for shape in record_shapes(record, SCALE)]
    shown = spread(notes, within=PAGE)
    texts = [s for s in shown if s.lettering and s.role is Role.DIMENSION]
    frames = [s for s in shown if s.role is Role.REFUSAL and not s.lettering]
    assert len(texts) == 4
    assert len(frames) == 1
    boxes = [ink_box(shape) for shape in (*texts, *frames)]
    assert not any(a.intersects(b) for a, b in combinations(boxes, 2))
    # what nothing is on stays the very shape
    assert notes[1] in shown
    assert spread(notes[:2], within=PAGE) == tuple(notes[:2])


def test_no_text_leaves_what_is_seen() -> None:
    text, handle = _text((0, 0), "7: 1.32 in", Role.WITNESS), _handle((20, 0))
    box = ink_box(text)
    below = box.united(box.translated(0, 2 * box.height()))
    way = arranged([text], [handle], within=below)[text]
    assert way is not None
    assert way.y() > 0
    assert arranged([text], [handle], within=box)[text] is None


def _shown(view: DrawingView) -> tuple[list[Shape], list[Shape]]:
    """The texts and the handles that a view shows, where it shows them."""
    backing = view.canvas._backing
    shapes = [shape for made in backing._made.values() for shape in made.shapes]
    still = [s for s in shapes if s.lettering and s not in backing._labels]
    aside = [s for s in backing._labels.moved if s.lettering]
    return [*still, *aside], [s for s in shapes if s.role is Role.HANDLE]


def _letters(shape: Shape) -> QRectF:
    """What the letters themselves cover: second method, by the font's outlines."""
    text = shape.lettering
    assert text is not None
    tight = QFontMetricsF(text.font).tightBoundingRect(text.words)
    turn = QTransform.fromTranslate(text.at.x(), text.at.y()).rotate(text.degrees)
    return turn.mapRect(tight.translated(text.place))


@pytest.fixture
def awkward(
    make_session: Callable[..., Session], make_window: Callable[[Session], MainWindow]
) -> MainWindow:
    return make_window(make_session(load_barn(SAMPLE)))


@pytest.mark.parametrize("zoom", [1.0, 2.0])
@pytest.mark.parametrize(
    "chosen",
    [
        (),
        ("run-1", "heater-1"),
        ("run-1", "run-2", "run-3", "run-4"),
        ("pen-21", "pen-22"),
        ("hoist-1",),
    ],
    ids="-".join,
)
def test_in_the_awkward_room_no_text_is_under_a_handle_or_another_text(
    awkward: MainWindow, chosen: tuple[str, ...], zoom: float
) -> None:
    awkward.session.select(chosen)
    awkward.plan.canvas.zoom(zoom)
    settle(awkward)
    for view in awkward.views:
        texts, handles = _shown(view)
        assert texts
        letters = [_letters(text) for text in texts]
        squares = [h.face.boundingRect() for h in handles if h.face is not None]
        assert not any(a.intersects(b) for a in letters for b in squares)
        assert not any(a.intersects(b) for a, b in combinations(letters, 2))


def test_in_the_awkward_room_the_plan_shows_every_number(awkward: MainWindow) -> None:
    report = awkward.session.report
    assert report is not None
    awkward.session.select(["run-1"])
    settle(awkward)
    texts, _ = _shown(awkward.plan)
    drawing = awkward.plan.drawing
    assert drawing is not None
    asked = {r.part for r in drawing.records if r.role is Role.WITNESS}
    shown = {s.part for s in texts if s.role is Role.WITNESS}
    numbers = {r.part for r in drawing.records if isinstance(r, Text)} & asked
    assert len(numbers) > 15
    assert shown == numbers
