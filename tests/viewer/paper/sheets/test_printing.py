"""Printing by a printer's own grid: the bar on the paper is still true."""

import re
from pathlib import Path

import pypdfium2 as pdfium
import pytest
from PySide6.QtPrintSupport import QPrinter

from core.barnfile.files import BarnFile
from core.errors import NotWrittenError
from core.outputs.folder import Silent
from tests.specimens import plain_barn
from tests.viewer.paper.sheets.test_set import PIXEL, dark, longest
from viewer.paper.sheets.installers_set import pages_pdf, set_pages
from viewer.paper.sheets.job import head_of
from viewer.paper.sheets.job_files import sheet_job
from viewer.paper.sheets.page import BIND, EDGE, Paper
from viewer.paper.sheets.printing import (
    PrintPages,
    print_pages,
    recorded_set,
)

pytestmark = [pytest.mark.gui, pytest.mark.usefixtures("qapp")]


@pytest.mark.parametrize("resolution", [300, 720])
def test_the_bar_is_true_at_a_printer_s_resolution(
    tmp_path: Path, resolution: int
) -> None:
    printer = QPrinter()
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "set.pdf"))
    printer.setResolution(resolution)
    job = sheet_job(BarnFile(barn=plain_barn()), paper=Paper.LETTER)
    print_pages(printer, recorded_set(job))
    page = pdfium.PdfDocument(tmp_path / "set.pdf")[0]
    width, height = (side * 25.4 / 72 for side in page.get_size())
    assert (width, height) == pytest.approx((279.4, 215.9), abs=0.2)
    picture = dark(page)
    low, high = (round((height - EDGE - mm) / PIXEL) for mm in (7.5, 4.5))
    left, right = (round((BIND + mm) / PIXEL) for mm in (1.0, 60.0))
    longest_bar = max(longest(row)[1] for row in picture[low:high, left:right])
    # hand-worked: 2 in
    assert longest_bar * PIXEL == pytest.approx(50.8, abs=0.2)


def file_printer(place: Path) -> QPrinter:
    printer = QPrinter()
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(place))
    return printer


@pytest.fixture(scope="module")
def recorded(qapp: object) -> PrintPages:
    assert qapp is not None
    return recorded_set(sheet_job(BarnFile(barn=plain_barn()), paper=Paper.A4))


def numbers(place: Path) -> list[str]:
    """Return the page numbers in the title blocks of a file."""
    texts = [p.get_textpage().get_text_bounded() for p in pdfium.PdfDocument(place)]
    return [re.findall(r"(\d+) / \d+", text)[-1] for text in texts]


@pytest.mark.parametrize(
    ("first", "last", "expected"), [(2, 4, ["2", "3", "4"]), (1, 1, ["1"])]
)
def test_only_the_asked_pages_are_printed(
    tmp_path: Path, recorded: PrintPages, first: int, last: int, expected: list[str]
) -> None:
    printer = file_printer(tmp_path / "some.pdf")
    printer.setPrintRange(QPrinter.PrintRange.PageRange)
    printer.setFromTo(first, last)
    print_pages(printer, recorded)
    assert numbers(tmp_path / "some.pdf") == expected


def test_a_recorded_page_says_what_the_pdf_says(
    tmp_path: Path, recorded: PrintPages
) -> None:
    print_pages(file_printer(tmp_path / "a.pdf"), recorded)
    job = sheet_job(BarnFile(barn=plain_barn()), paper=Paper.A4)
    # second method: the same pages painted straight into a PDF file
    head = head_of(job.file, job.tables)
    straight = pages_pdf(set_pages(job), paper=Paper.A4, head=head, progress=Silent())
    (tmp_path / "b.pdf").write_bytes(straight)
    a, b = (pdfium.PdfDocument(tmp_path / name) for name in ("a.pdf", "b.pdf"))
    assert len(a) == len(b)
    for one, other in zip(a, b, strict=True):
        words, others = (
            sorted(page.get_textpage().get_text_bounded().split())
            for page in (one, other)
        )
        assert words == others


def test_a_printer_that_cannot_be_used_is_told(
    tmp_path: Path, recorded: PrintPages, request: pytest.FixtureRequest
) -> None:
    printer = file_printer(tmp_path / "no" / "such.pdf")
    qtlog = request.getfixturevalue("qtlog")
    with qtlog.disabled(), pytest.raises(NotWrittenError, match="another printer"):
        print_pages(printer, recorded)
