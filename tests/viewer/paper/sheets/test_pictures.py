"""SVG and PNG of a view, read back."""

import io
import itertools
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QImage, QPainter

from core.analysis.analyse import Analysis, analyse
from core.barnfile.files import open_barn
from core.drawing.plan import plan
from core.drawing.records import Drawing
from core.drawing.shown import Shown
from core.quantities import LengthStyle
from tests.specimens import plain_barn
from viewer.paper.sheets.pictures import drawing_png, drawing_svg
from viewer.paper.sheets.views import Picture, _box, paint_window

SAMPLES = Path(__file__).resolve().parents[4] / "sample_barns"

pytestmark = [pytest.mark.gui, pytest.mark.usefixtures("qapp")]


@pytest.fixture(scope="module")
def drawn() -> tuple[Analysis, Drawing]:
    analysis = analyse(plain_barn())
    shown = Shown(catalogue=analysis.catalogue)
    return analysis, plan(analysis.report.barn, analysis.report, shown)


def test_the_svg_has_its_size_in_millimetres_and_its_texts(
    drawn: tuple[Analysis, Drawing],
) -> None:
    _, drawing = drawn
    content = drawing_svg(drawing, scale=96.0, style=LengthStyle.FEET)
    root = ET.fromstring(content)
    (u0, v0), (u1, v1) = drawing.bounds.low, drawing.bounds.high
    # hand-worked: inches at 1:96 in millimetres
    for key, inches in (("width", u1 - u0), ("height", v1 - v0)):
        assert root.attrib[key].endswith("mm")
        size = float(root.attrib[key].removesuffix("mm"))
        assert size == pytest.approx(inches * 25.4 / 96.0, abs=0.1)
    words = {e.text for e in root.iter("{http://www.w3.org/2000/svg}text")}
    assert {run.name or run.id for run in plain_barn().runs} <= words


def test_the_png_is_as_wide_as_asked_and_shows_the_walls(
    drawn: tuple[Analysis, Drawing],
) -> None:
    _, drawing = drawn
    content = drawing_png(drawing, width=1200, style=LengthStyle.FEET)
    picture = np.asarray(Image.open(io.BytesIO(content)).convert("L"))
    assert picture.shape[1] == 1200
    (u0, _), (u1, v1) = drawing.bounds.low, drawing.bounds.high
    inch = 1200 / (u1 - u0)
    room = plain_barn().room
    # the back wall is cut: its inner face is a dark line, paper lies beyond it
    column = round((room.length - u0) * inch)
    row = round((v1 + room.width * 0.3) * inch)
    assert picture[row - 3 : row + 3, column - 2 : column + 3].min() < 100
    assert (
        picture[row, round((room.length + room.wall_thickness + 20 - u0) * inch)] == 255
    )


@pytest.mark.parametrize("name", ["awkward", "tunnel"])
def test_no_text_stands_on_another(name: str) -> None:
    file = open_barn(SAMPLES / f"{name}.json")
    analysis = analyse(file.barn)
    shown = Shown(catalogue=analysis.catalogue, cut=288.0)
    drawing = plan(file.barn, analysis.report, shown)
    root = ET.fromstring(drawing_svg(drawing, scale=48.0, style=LengthStyle.FEET))
    picture = Picture.of(drawing, scale=48.0, mm=10.0, style=LengthStyle.FEET)
    image = QImage(20_000, 10_000, QImage.Format.Format_Mono)
    (u0, _), (_, v1) = drawing.bounds.low, drawing.bounds.high
    inch = picture.scale.inch
    box = QRectF(0.0, 0.0, image.width(), image.height())
    painter = QPainter(image)
    texts = paint_window(painter, picture, box, origin=QPointF(-u0 * inch, v1 * inch))
    painter.end()
    boxes = [_box(text) for text in texts]
    assert len(boxes) > 30
    assert not [(a, b) for a, b in itertools.combinations(boxes, 2) if a.intersects(b)]
    words = [e.text for e in root.iter("{http://www.w3.org/2000/svg}text")]
    assert sorted(text.words for text in texts) == sorted(words)
