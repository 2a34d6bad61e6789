"""Sheets of barns that nobody draws on purpose: empty, huge, long-winded, crosswise."""

from dataclasses import replace

import pytest

from core.barnfile.files import BarnFile
from core.model.barn import Barn
from core.model.job import Job
from core.model.room import FlatCeiling, Room, Trusses
from core.model.runs import Run, Support
from core.outputs.folder import Silent
from tests.specimens import plain_barn
from tests.viewer.paper.sheets.test_set import overlaps
from viewer.paper.sheets.installers_set import pages_pdf, set_pages
from viewer.paper.sheets.job import head_of
from viewer.paper.sheets.job_files import sheet_job
from viewer.paper.sheets.page import BIND, EDGE, Paper, TextBox

pytestmark = [pytest.mark.gui, pytest.mark.usefixtures("qapp"), pytest.mark.slow]

ROOM = Room(length=480.0, width=240.0, ceiling=FlatCeiling(height=96.0))


def run(name: str, start: tuple[float, float], end: tuple[float, float]) -> Run:
    supports = tuple(
        Support(id=f"{name}-{number}", station=station)
        for number, station in enumerate((30.0, 150.0), 1)
    )
    return Run(id=name, start=start, end=end, supports=supports)


def long_winded() -> Barn:
    words = 'Ωmega <&> "quoted" and on and on ' * 6
    job = Job(title=words, number="N" * 60, drawn_by=words, revision=words, date=words)
    barn = plain_barn()
    runs = tuple(replace(each, name=words) for each in barn.runs)
    return replace(barn, name="Å" * 120, job=job, runs=runs)


ODD = {
    "empty": Barn(name="empty", room=ROOM),
    "without supports": Barn(
        name="bare",
        room=ROOM,
        runs=(Run(id="r", start=(60.0, 60.0), end=(300.0, 60.0)),),
    ),
    "crosswise": Barn(
        name="crosswise",
        room=ROOM,
        runs=(
            run("across", (100.0, 20.0), (100.0, 220.0)),
            run("slanted", (100.0, 20.0), (300.0, 220.0)),
            run("backwards", (400.0, 60.0), (100.0, 60.0)),
        ),
    ),
    "huge": Barn(
        name="huge",
        room=Room(length=12_000.0, width=3_000.0, ceiling=FlatCeiling(height=240.0)),
        runs=(run("long", (60.0, 60.0), (11_900.0, 60.0)),),
    ),
    "tiny": Barn(
        name="tiny",
        room=Room(length=60.0, width=50.0, ceiling=FlatCeiling(height=70.0)),
    ),
    "without trusses": replace(
        plain_barn(),
        room=replace(plain_barn().room, trusses=Trusses(spacing=4e3, first=3e3)),
    ),
    "long-winded": long_winded(),
}


@pytest.mark.parametrize("name", ODD)
def test_every_text_has_its_place(name: str) -> None:
    paper = Paper.A4
    job = sheet_job(BarnFile(barn=ODD[name]), paper=paper)
    notes: list[list[TextBox]] = []
    pages = set_pages(job)
    head = head_of(job.file, job.tables)
    pages_pdf(pages, paper=paper, head=head, progress=Silent(), notes=notes)
    width, height = paper.size
    for page, boxes in zip(pages, notes, strict=True):
        for text in boxes:
            box = text.box
            inside = box.left() >= BIND and box.right() <= width - EDGE
            inside &= box.top() >= EDGE and box.bottom() <= height - EDGE
            assert inside, f"{page.title}: {text.words}"
        found = [*overlaps(boxes, 0.2)]
        assert not found, f"{page.title}: {found[:3]}"
