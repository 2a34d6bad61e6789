"""The installer's set, rendered by another library, measured and read."""

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c
import pytest

from core.barnfile.files import BarnFile, open_barn
from core.outputs.folder import CancelledError, Silent
from core.quantities import LengthStyle
from sample_barns.make_scan import TARGET, scan_mesh, write_ply
from viewer.paper.sheets.installers_set import pages_pdf, set_pages
from viewer.paper.sheets.job import SheetJob, digest, head_of
from viewer.paper.sheets.job_files import sheet_job
from viewer.paper.sheets.page import BIND, EDGE, Paper, TextBox
from viewer.paper.sheets.scales import scale_words, scales

pytestmark = [pytest.mark.gui, pytest.mark.usefixtures("qapp")]

SAMPLES = Path(__file__).resolve().parents[4] / "sample_barns"
NAMES = ("awkward", "nursery", "plain", "scan", "tunnel")
DPI = 600
PIXEL = 25.4 / DPI  # [mm]


@pytest.fixture(scope="module", autouse=True)
def _scan() -> None:
    """Make the scan of the scanned room as the script does."""
    write_ply(TARGET, *scan_mesh())


@cache
def opened(name: str) -> BarnFile:
    return open_barn(SAMPLES / f"{name}.json")


@cache
def job_of(name: str, paper: Paper) -> SheetJob:
    return sheet_job(opened(name), paper=paper)


@cache
def painted(name: str, paper: Paper) -> tuple[bytes, list[str], list[list[TextBox]]]:
    """Return the PDF of a sample, its titles, and where its texts stand."""
    job = job_of(name, paper)
    pages = set_pages(job)
    notes: list[list[TextBox]] = []
    head = head_of(job.file, job.tables)
    content = pages_pdf(pages, paper=paper, head=head, progress=Silent(), notes=notes)
    return content, [page.title for page in pages], notes


def dark(page: pdfium.PdfPage) -> np.ndarray:
    """Return where a page is dark, as pixels."""
    picture = page.render(scale=DPI / 72, grayscale=True).to_numpy()
    return np.asarray(picture.reshape(picture.shape[:2]) < 128)


def longest(row: np.ndarray) -> tuple[int, int]:
    """Return start and length of the longest dark stretch of a row of pixels."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], row.view(np.int8), [0]))))
    starts, ends = edges[::2], edges[1::2]
    if not starts.size:
        return 0, 0
    best = int((ends - starts).argmax())
    return int(starts[best]), int(ends[best] - starts[best])


@pytest.mark.parametrize(
    ("name", "wanted"),
    # hand-worked: 2 in = 50.8 mm on a sheet in feet, 50 mm on a metric one
    [("plain", 50.8), ("nursery", 50.0)],
)
@pytest.mark.parametrize("paper", [Paper.A4, Paper.TABLOID])
def test_the_calibration_bar_measures_true(
    name: str, wanted: float, paper: Paper
) -> None:
    document = pdfium.PdfDocument(painted(name, paper)[0])
    for number in (0, 2, len(document) - 1):
        picture = dark(document[number])
        height = paper.size[1]
        low, high = (round((height - EDGE - mm) / PIXEL) for mm in (7.5, 4.5))
        left, right = (round((BIND + mm) / PIXEL) for mm in (1.0, 80.0))
        lengths = [longest(row)[1] for row in picture[low:high, left:right]]
        assert max(lengths) * PIXEL == pytest.approx(wanted, abs=0.2)


@pytest.mark.parametrize("name", ["plain", "nursery"])
def test_the_width_of_the_room_measures_true_on_its_section(name: str) -> None:
    content, titles, _ = painted(name, Paper.A4)
    number = next(k for k, title in enumerate(titles) if title.startswith("Section"))
    page = pdfium.PdfDocument(content)[number]
    text = page.get_textpage().get_text_range()
    scale = float(text.split("1:")[1].split(")")[0].split()[0])
    room = job_of(name, Paper.A4).analysis.report.barn.room
    wanted = room.width * 25.4 / scale
    picture = dark(page)
    # the running dimension from wall to wall is the lowest long line over the block:
    # of two sections on a page that of the lower one
    height = Paper.A4.size[1]
    last = round((height - EDGE - 21.0) / PIXEL)
    left, right = round((BIND + 2.0) / PIXEL), round((297.0 - EDGE - 2.0) / PIXEL)
    rows = picture[:last, left:right]
    line = max(
        k for k in range(len(rows)) if longest(rows[k])[1] * PIXEL > 0.9 * wanted
    )
    ticks = rows[line + round(0.8 / PIXEL)]
    columns = np.flatnonzero(ticks)
    # each tick is 0.35 mm wide: from the left edge of the first to that of the last
    starts = columns[np.diff(columns, prepend=-2) > 1]
    assert (starts[-1] - starts[0]) * PIXEL == pytest.approx(wanted, abs=0.2)


def test_the_pages_are_the_size_of_the_paper() -> None:
    # published: ISO 216 A4, ANSI/ASME Y14.1 size B (11 x 17 in)
    for paper, wide, high in ((Paper.A4, 297.0, 210.0), (Paper.TABLOID, 431.8, 279.4)):
        document = pdfium.PdfDocument(painted("plain", paper)[0])
        for page in document:
            size = [side * 25.4 / 72 for side in page.get_size()]
            assert size == pytest.approx([wide, high], abs=0.2)


@pytest.mark.slow
def test_the_text_of_every_sheet_can_be_searched() -> None:
    content, titles, _ = painted("tunnel", Paper.A4)
    job = job_of("tunnel", Paper.A4)
    document = pdfium.PdfDocument(content)
    texts = [page.get_textpage().get_text_range() for page in document]
    for number, (title, text) in enumerate(zip(titles, texts, strict=True), 1):
        assert f"{number} / {len(titles)}" in text
        assert digest(job.file) in text
        assert title.split(":")[0][:20] in text
    whole = "\n".join(texts)
    for hole in job.tables.holes:
        assert hole.id in whole
    for words in ("5/32 in", "DANGER", "stopped in time", "Not checked", "Take-off"):
        assert words in whole


def test_cautions_come_first_and_no_page_says_safe_or_complies() -> None:
    content, titles, _ = painted("tunnel", Paper.A4)
    document = pdfium.PdfDocument(content)
    assert titles[0] == "Cautions"
    for page in document:
        words = page.get_textpage().get_text_range().lower()
        assert "complies" not in words
        assert "safe" not in words.split()


def test_the_findings_report_begins_with_what_was_not_checked() -> None:
    content, titles, _ = painted("awkward", Paper.A4)
    first = next(k for k, t in enumerate(titles) if t.startswith("Findings report"))
    text = pdfium.PdfDocument(content)[first].get_textpage().get_text_range()
    assert text.index("Not checked") < text.index("Rule values of this job")
    assert "travel.headroom" in text  # the override of this sample


def overlaps(boxes: list[TextBox], slack: float) -> Iterator[tuple[str, str]]:
    """Yield the pairs of texts that stand on one another by more than a slack [mm]."""
    edges = np.array(
        [(b.box.left(), b.box.top(), b.box.right(), b.box.bottom()) for b in boxes]
    )
    low = np.maximum(edges[:, None, :2], edges[None, :, :2])
    high = np.minimum(edges[:, None, 2:], edges[None, :, 2:])
    for a, b in np.argwhere(np.triu(np.all(high - low > slack, axis=2), 1)):
        yield boxes[a].words, boxes[b].words


@pytest.mark.slow
@pytest.mark.parametrize("paper", [Paper.A4, Paper.TABLOID])
@pytest.mark.parametrize("name", NAMES)
def test_no_text_is_cut_by_the_frame_or_stands_on_another(
    name: str, paper: Paper
) -> None:
    _, titles, notes = painted(name, paper)
    width, height = paper.size
    for title, boxes in zip(titles, notes, strict=True):
        assert boxes
        for text in boxes:
            box = text.box
            inside = box.left() >= BIND and box.right() <= width - EDGE
            inside &= box.top() >= EDGE and box.bottom() <= height - EDGE
            assert inside, f"{title}: {text.words} is cut"
        found = [*overlaps(boxes, 0.2)]
        assert not found, f"{title}: {found[:3]}"


@pytest.mark.slow
@pytest.mark.parametrize("name", ["nursery"])
def test_no_glyph_lies_on_another_in_the_rendered_file(name: str) -> None:
    # second method: the boxes of the glyphs as another library reads them
    document = pdfium.PdfDocument(painted(name, Paper.A4)[0])
    for page in document:
        found = page.get_objects(filter=[pdfium_c.FPDF_PAGEOBJ_TEXT])
        boxes = np.array([each.get_bounds() for each in found])
        boxes = boxes[boxes[:, 2] > boxes[:, 0]]
        size = boxes[:, 2:] - boxes[:, :2]
        area = size[:, 0] * size[:, 1]
        low = np.maximum(boxes[:, None, :2], boxes[None, :, :2])
        high = np.minimum(boxes[:, None, 2:], boxes[None, :, 2:])
        common = np.prod(np.maximum(high - low, 0.0), axis=2)
        share = common / np.minimum(area[:, None], area[None, :])
        np.fill_diagonal(share, 0.0)
        # kerned and slanted neighbours share corners of their boxes, never half
        assert share.max() < 0.75
        wide, tall = page.get_size()
        edge = EDGE * 72 / 25.4
        assert boxes[:, :2].min() >= edge
        assert boxes[:, 2].max() <= wide - edge
        assert boxes[:, 3].max() <= tall - edge


def test_what_is_read_on_a_ladder_is_four_millimetres_high() -> None:
    content, titles, _ = painted("plain", Paper.A4)
    number = next(k for k, t in enumerate(titles) if t.startswith("Drilling"))
    page = pdfium.PdfDocument(content)[number]
    text = page.get_textpage()
    place = text.get_text_range().index("lag screw")
    # a letter l is as high as a capital within a tenth in the font that is used
    low, high = text.get_charbox(place)[1], text.get_charbox(place)[3]
    assert (high - low) * 25.4 / 72 >= 4.0


def test_cancel_stops_between_two_pages() -> None:
    class Impatient:
        said = 0

        @property
        def is_cancelled(self) -> bool:
            return self.said >= 3

        def report(self, _share: float, _words: str) -> None:
            self.said += 1

    job = job_of("plain", Paper.A4)
    impatient = Impatient()
    with pytest.raises(CancelledError):
        pages_pdf(
            set_pages(job),
            paper=Paper.A4,
            head=head_of(job.file, job.tables),
            progress=impatient,
        )
    assert impatient.said == 3


def test_scales_are_those_of_the_trade_and_of_iso_5455() -> None:
    # published: ISO 5455:1979, 5.1 gives 1, 2, 5 and their tens
    assert scales(LengthStyle.MILLIMETRES)[:7] == (1, 2, 5, 10, 20, 50, 100)
    # hand-worked: 1/4 in is a foot at 1:48
    assert scale_words(48.0, LengthStyle.FEET) == "1/4 in = 1 ft (1:48)"


def test_the_same_barn_has_the_same_digest_and_another_another() -> None:
    first, second = opened("plain"), opened("tunnel")
    assert digest(first) == digest(open_barn(SAMPLES / "plain.json"))
    assert digest(first) != digest(second)
