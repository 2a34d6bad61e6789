"""A sentence beside the pointer: wrapped, framed, on the screen, off the object."""

import numpy as np
import pytest

from core.drawing.records import Bounds, Polygon, Role, Text
from core.drawing.refusals import refusal

WORDS = "support-1-3 hangs at truss 8; drag it away first, or hold Shift"
SEEN = Bounds(low=(0.0, 0.0), high=(400.0, 300.0))


def _made(at, thing, seen=SEEN, words=WORDS):
    records = list(refusal(words, at, thing=thing, reach=2.0, seen=seen))
    (frame,) = (r for r in records if isinstance(r, Polygon))
    texts = [r for r in records if isinstance(r, Text)]
    return frame.outline.min(axis=0), frame.outline.max(axis=0), texts


def test_the_words_are_all_there_line_under_line():
    low, high, texts = _made((100, 100), (100, 100))
    assert " ".join(text.parts[0] for text in texts) == WORDS
    heights = [text.at[1] for text in texts]
    assert heights == sorted(heights, reverse=True)
    places = np.array([text.at for text in texts])
    assert (places > low).all()
    assert (places < high).all()
    assert all(text.role is Role.REFUSAL for text in texts)


@pytest.mark.parametrize("at", [(0, 0), (400, 0), (0, 300), (400, 300), (200, 150)])
def test_the_frame_is_inside_what_is_seen(at):
    low, high, _ = _made(at, at)
    assert (low >= SEEN.low).all()
    assert (high <= SEEN.high).all()


def test_it_is_above_the_pointer_and_below_where_the_object_is_above():
    # hand-worked: 3 reaches of 2 in from the pointer
    low, _, _ = _made((100, 100), (60, 100))
    assert low[1] == 106
    _, high, _ = _made((100, 100), (100, 160))
    assert high[1] == 94
