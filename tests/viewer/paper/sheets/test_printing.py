"""Printing by a printer's own grid: the bar on the paper is still true."""

from pathlib import Path

import pypdfium2 as pdfium
import pytest
from PySide6.QtPrintSupport import QPrinter

from core.barnfile.files import BarnFile
from tests.specimens import plain_barn
from tests.viewer.paper.sheets.test_set import PIXEL, dark, longest
from viewer.paper.sheets.job_files import sheet_job
from viewer.paper.sheets.page import BIND, EDGE, Paper
from viewer.paper.sheets.printing import print_set, set_up_printer

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
    set_up_printer(printer, job)
    print_set(printer, job)
    page = pdfium.PdfDocument(tmp_path / "set.pdf")[0]
    width, height = (side * 25.4 / 72 for side in page.get_size())
    assert (width, height) == pytest.approx((279.4, 215.9), abs=0.2)
    picture = dark(page)
    low, high = (round((height - EDGE - mm) / PIXEL) for mm in (7.5, 4.5))
    left, right = (round((BIND + mm) / PIXEL) for mm in (1.0, 60.0))
    longest_bar = max(longest(row)[1] for row in picture[low:high, left:right])
    # hand-worked: 2 in
    assert longest_bar * PIXEL == pytest.approx(50.8, abs=0.2)
