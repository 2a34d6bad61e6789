"""The picture: the same every time, even, well exposed, its materials told apart."""

import numpy as np
import pytest

from core.errors import ValueRangeError
from core.picture.camera import Camera
from core.picture.finishes import Finish
from core.picture.render import rendered, things_seen
from core.picture.watch import CancelledError
from tests.core.picture.scenes import door_camera, subject

SMALL = door_camera(240, 136)


@pytest.fixture(scope="module")
def taken() -> np.ndarray:
    return rendered(subject(), door_camera(), lift=0.0, samples=8, workers=1)


@pytest.fixture(scope="module")
def shown() -> dict[str, np.ndarray]:
    """Where single finishes are seen, by what they are called."""
    pixels, names = things_seen(subject(), door_camera(), lift=0.0)
    wanted = {
        "ceiling": ("ceiling", ""),
        "wall": ("back wall", ""),
        "partition": ("pen-L-1", "partition 2"),
        "run": ("run-1", "tube"),
        "hopper": ("hopper", "body"),
        "feed line": ("feed-line-1", ""),
        "floor": ("floor", ""),
    }
    found = {}
    for word, (owner, part) in wanted.items():
        things = [
            k for k, n in enumerate(names) if n[0] == owner and part in {"", n[1]}
        ]
        found[word] = np.isin(pixels, things)
    return found


@pytest.mark.slow
def test_the_same_bytes_come_out_every_time_on_any_number_of_processes() -> None:
    once = rendered(subject(), SMALL, lift=0.3, samples=2, workers=1)
    again = rendered(subject(), SMALL, lift=0.3, samples=2, workers=1)
    elsewhere = rendered(subject(), SMALL, lift=0.3, samples=2, workers=2)
    assert once.tobytes() == again.tobytes() == elsewhere.tobytes()


def test_exposure_is_that_of_a_lit_room(taken) -> None:
    grey = taken.astype(float).mean(axis=2)
    # judged by eye, no published source: neither dull nor burnt out
    assert 105 < np.median(grey) < 205
    assert (grey > 250).mean() < 0.12
    assert (grey < 12).mean() < 0.03


@pytest.mark.slow
def test_no_speckle_is_left() -> None:
    few = rendered(subject(), SMALL, lift=0.0, samples=16, workers=1).astype(float)
    # second method: eight times the rays, so that a third of the noise is left
    many = rendered(subject(), SMALL, lift=0.0, samples=128, workers=1).astype(float)
    off = np.abs(few - many).max(axis=2)
    # judged by eye, no published source: 1 % of the range on the whole
    assert np.sqrt((off**2).mean()) < 2.5
    assert (off > 12).mean() < 0.004


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("ceiling", "partition"),
        ("ceiling", "run"),
        ("wall", "partition"),
        ("wall", "run"),
        ("partition", "floor"),
        ("hopper", "partition"),
        ("feed line", "run"),
    ],
)
def test_materials_are_told_apart(taken, shown, one, other) -> None:
    means = []
    for word in (one, other):
        assert shown[word].sum() > 25, f"{word} is not seen"
        means.append(np.median(taken[shown[word]].astype(float), axis=0))
    # 12 of 255 in one channel: twice what neighbours need to look different
    assert np.abs(means[0] - means[1]).max() > 12


def test_every_finish_has_its_own_colour() -> None:
    from core.picture.finishes import LOOKS

    assert set(LOOKS) == set(Finish)


@pytest.mark.parametrize("lift", [-0.1, 1.01, float("nan")])
def test_a_lift_out_of_range_is_refused(lift) -> None:
    with pytest.raises(ValueRangeError, match="choose from 0"):
        rendered(subject(), SMALL, lift=lift, samples=1)


@pytest.mark.parametrize("samples", [0, 100_000])
def test_samples_out_of_range_are_refused(samples) -> None:
    with pytest.raises(ValueRangeError, match="samples"):
        rendered(subject(), SMALL, lift=0.0, samples=samples)


class _Impatient:
    """Cancels after some reports."""

    def __init__(self, reports: int) -> None:
        self.left, self.shares = reports, []

    def report(self, share: float, words: str) -> None:
        assert words
        self.shares.append(share)
        self.left -= 1

    @property
    def is_cancelled(self) -> bool:
        return self.left <= 0


@pytest.mark.parametrize("reports", [0, 3])
def test_a_picture_is_given_up_when_asked(reports) -> None:
    watch = _Impatient(reports)
    with pytest.raises(CancelledError, match="nothing was written"):
        rendered(subject(), SMALL, lift=0.0, samples=1, workers=1, watch=watch)
    assert len(watch.shares) == reports


def test_progress_rises_to_the_end() -> None:
    watch = _Impatient(1000)
    rendered(subject(), SMALL, lift=0.0, samples=1, workers=1, watch=watch)
    assert watch.shares == sorted(watch.shares)
    assert watch.shares[0] == 0.0
    assert watch.shares[-1] > 0.75


@pytest.mark.slow
def test_a_top_edge_thinner_than_a_pixel_has_no_gaps() -> None:
    # second method: the same picture four times as large, averaged over its pixels
    fine = rendered(subject(), over_the_pens(960, 540), lift=1.0, samples=3, workers=1)
    even = fine.astype(float).reshape(135, 4, 240, 4, 3).mean(axis=(1, 3))
    camera = over_the_pens(240, 135)
    plain = rendered(subject(), camera, lift=1.0, samples=3, workers=1).astype(float)
    # hand-worked: the partition between pens stands at x = 180, is 36 in high
    edge = [(180.0, y, 36.0) for y in np.linspace(15.0, 100.0, 300)]
    places = {int(c): int(r) for c, r, _ in camera.project(edge) if 0 <= c < 240}
    off = [
        np.abs(plain[r - 1 : r + 2, c] - even[r - 1 : r + 2, c]).mean(axis=1).max()
        for c, r in places.items()
    ]
    assert len(off) > 100
    assert np.mean(off) < 7.0  # 8.9 where gaps are left


def over_the_pens(width: int, height: int) -> Camera:
    """An eye a little above a partition that crosses its view."""
    return Camera(
        eye=(60.0, 60.0, 47.0), look=(180.0, 80.0, 40.0), width=width, height=height
    )
