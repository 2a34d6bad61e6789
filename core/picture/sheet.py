"""Before and after: working, stowed and the worst clash side by side on one sheet."""

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from core.errors import ValueRangeError
from core.model.job import EyePoint
from core.picture.camera import Camera
from core.picture.caption import captioned, lift_words, strip_for
from core.picture.clashes import Clash, worst_clash
from core.picture.close_up import close_up
from core.picture.marks import marked
from core.picture.render import SAMPLES, Pixels, rendered
from core.picture.subject import Subject
from core.picture.watch import Part, Silent, Watch, step

__all__ = ["SHEETS", "compare", "sheet_bytes", "sheet_kind"]

SHEETS = ("png", "pdf")
_SILENT = Silent()
_PAPER, _INK = (250, 249, 246), (28, 28, 30)
_PAGE_WIDTH = 17.0  # of a PDF page, as ANSI Y14.1 size B is wide [in]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Panel:
    """One of the pictures: its eye, lift, words and what is marked."""

    words: str
    camera: Camera
    lift: float
    clash: Clash | None = None


def compare(
    subject: Subject,
    eye: EyePoint,
    *,
    width: int = 960,
    height: int = 640,
    samples: int = SAMPLES,
    watch: Watch = _SILENT,
    workers: int | None = None,
) -> Pixels:
    """Return working and stowed side by side, and the worst clash where there is one.

    Parameters
    ----------
    subject, eye
        What is seen, and where from; the clash has an eye of its own.
    width, height : int
        Size of each picture [px].
    samples : int
        Rays into the room for each pixel [-].
    watch : Watch
        Hears of the progress and may cancel.
    workers : int, optional
        Processes; by default as many as there are cores [-].

    Returns
    -------
    ndarray
        The sheet `(h, w, 3)`.
    """
    panels = _panels(subject, eye, width, height)
    pictures = []
    for number, panel in enumerate(panels):
        part = Part(watch, number / len(panels), (number + 1) / len(panels))
        pixels = rendered(
            subject,
            panel.camera,
            lift=panel.lift,
            samples=samples,
            watch=part,
            workers=workers,
        )
        if panel.clash is not None:
            stage = subject.stage(panel.lift)
            pixels = marked(pixels, panel.camera, stage, (panel.clash,))
        pictures.append(_labelled(pixels, panel.words))
    step(watch, 1.0, "done")
    return _joined(pictures, subject.barn.name)


def _panels(
    subject: Subject, eye: EyePoint, width: int, height: int
) -> tuple[_Panel, ...]:
    camera = Camera(eye=eye.eye, look=eye.look, width=width, height=height)
    panels = (
        _Panel(words="working", camera=camera, lift=0.0),
        _Panel(words="stowed", camera=camera, lift=1.0),
    )
    clash = worst_clash(subject.report) if subject.report is not None else None
    if clash is None:
        return panels
    found, state = clash.finding, lift_words(clash.lift)
    near = _Panel(
        words=f"clash {clash.number}, {state}: {found.subject} and {found.other}",
        camera=close_up(subject, clash, width=width, height=height),
        lift=clash.lift,
        clash=clash,
    )
    return (*panels, near)


def _labelled(pixels: Pixels, words: str) -> Pixels:
    """Return a picture with words on a strip below it."""
    height, width = pixels.shape[:2]
    size = max(11.0, 0.03 * height)
    sheet = Image.new("RGB", (width, height + round(2 * size)), _PAPER)
    sheet.paste(Image.fromarray(pixels), (0, 0))
    font = ImageFont.load_default(1.1 * size)
    at = (width / 2, height + size)
    ImageDraw.Draw(sheet).text(at, words, _INK, font=font, anchor="mm")
    return np.asarray(sheet).copy()


def _joined(pictures: list[Pixels], title: str) -> Pixels:
    """Return pictures side by side with gaps between, and a caption below all."""
    height, width = pictures[0].shape[:2]
    gap = max(6, round(0.015 * width))
    count = len(pictures)
    shape = (height + gap, count * width + (count + 1) * gap, 3)
    sheet = np.full(shape, _PAPER, np.uint8)
    for number, picture in enumerate(pictures):
        left = gap + number * (width + gap)
        sheet[gap:, left : left + width] = picture
    words = "working, stowed" if count == 2 else "working, stowed, clash"
    strip = strip_for(title, words, width=shape[1], height=shape[0])
    return captioned(sheet, strip)


def sheet_kind(path: str) -> str:
    """Return the kind of sheet that a file's name asks for.

    Raises
    ------
    ValueRangeError
        If the name ends in neither .png nor .pdf.
    """
    kind = path.rpartition(".")[2].lower()
    if kind not in SHEETS:
        message = f'"{path}": a sheet ends in .png or .pdf; choose one of them'
        raise ValueRangeError(message)
    return kind


def sheet_bytes(pixels: Pixels, *, kind: str, title: str) -> bytes:
    """Return a sheet as a PNG file, or as a PDF page 17 in wide."""
    content = io.BytesIO()
    image = Image.fromarray(pixels)
    if kind == "png":
        image.save(content, format="PNG", compress_level=6)
        return content.getvalue()
    image.save(
        content,
        format="PDF",
        resolution=image.width / _PAGE_WIDTH,
        quality=92,
        title=title,
        creationDate=None,
        modDate=None,
    )
    return content.getvalue()
