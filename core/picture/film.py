"""Pictures one after the other as a file: animated WebP, GIF or MP4."""

import io
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from PIL import Image

from core.errors import NotWrittenError, ValueRangeError
from core.picture.render import Pixels

__all__ = ["FILMS", "film_bytes", "film_kind"]

_QUALITY = 82  # of WebP [-]
_CRF = "20"  # of H.264 [-]
_HOLD = 1.5  # a film that repeats holds its last picture so long [s]


def film_kind(path: str) -> str:
    """Return the kind of film that a file's name asks for.

    Raises
    ------
    ValueRangeError
        If the name ends in no kind of film.
    NotWrittenError
        If the kind needs a package that is not installed.
    """
    kind = path.rpartition(".")[2].lower()
    if kind not in FILMS:
        kinds = ", ".join(f".{name}" for name in FILMS)
        message = f'"{path}": a film ends in {kinds}; choose one of them'
        raise ValueRangeError(message)
    if kind == "mp4":
        _encoder()
    return kind


def film_bytes(frames: Sequence[Pixels], *, rate: float, kind: str) -> bytes:
    """Return pictures as a film.

    Parameters
    ----------
    frames : sequence of ndarray
        The pictures `(h, w, 3)`, all of one size.
    rate : float
        Pictures in a second [1/s].
    kind : str
        One of `FILMS`.

    Raises
    ------
    NotWrittenError
        If the kind needs a package that is not installed.
    """
    return FILMS[kind](frames, rate)


def _times(frames: Sequence[Pixels], rate: float) -> list[int]:
    """Return how long each picture is shown [ms]."""
    each = round(1000 / rate)
    return [each] * (len(frames) - 1) + [each + round(1000 * _HOLD)]


def _webp(frames: Sequence[Pixels], rate: float) -> bytes:
    first, *others = (Image.fromarray(frame) for frame in frames)
    content = io.BytesIO()
    first.save(
        content,
        format="WEBP",
        save_all=True,
        append_images=others,
        duration=_times(frames, rate),
        loop=0,
        quality=_QUALITY,
        method=4,
    )
    return content.getvalue()


def _gif(frames: Sequence[Pixels], rate: float) -> bytes:
    first, *others = (
        Image.fromarray(frame).quantize(256, dither=Image.Dither.NONE)
        for frame in frames
    )
    content = io.BytesIO()
    first.save(
        content,
        format="GIF",
        save_all=True,
        append_images=others,
        duration=_times(frames, rate),
        loop=0,
        optimize=False,
    )
    return content.getvalue()


def _mp4(frames: Sequence[Pixels], rate: float) -> bytes:
    av = _encoder()
    height, width = frames[0].shape[:2]
    content = io.BytesIO()
    with av.open(content, mode="w", format="mp4") as film:
        stream = film.add_stream("libx264", rate=Fraction(rate).limit_denominator(1000))
        stream.width, stream.height, stream.pix_fmt = width, height, "yuv420p"
        stream.options = {"crf": _CRF, "preset": "slow", "threads": "1"}
        for frame in frames:
            picture = av.VideoFrame.from_ndarray(frame, format="rgb24")
            for packet in stream.encode(picture):
                film.mux(packet)
        for packet in stream.encode():
            film.mux(packet)
    return content.getvalue()


def _encoder() -> Any:
    """Return the package that makes MP4 files, or say that it is missing."""
    try:
        # an extra of the package: a film is the only thing that needs it
        import av
    except ImportError as error:
        message = (
            "an MP4 film needs the package av; install liftlane[film], "
            "or choose a name that ends in .webp or .gif"
        )
        raise NotWrittenError(message) from error
    return av


FILMS: Mapping[str, Callable[[Sequence[Pixels], float], bytes]] = {
    "webp": _webp,
    "gif": _gif,
    "mp4": _mp4,
}
