"""What a view keeps of what it drew: the same while its inputs are, and no more."""

from weakref import WeakSet

import pytest

from core.drawing import memo as memo_module
from core.drawing.memo import Memo


class Thing:
    """Something whose life can be watched."""


def test_a_value_is_made_once_for_the_same_inputs() -> None:
    memo, made = Memo(), []
    for room in ("a", "a", "b"):
        memo.value("solids", "light-1", (room,), lambda: made.append(1))
    assert len(made) == 2


def test_things_of_owners_that_are_gone_are_let_go(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(memo_module, "TURN", 100)
    memo, alive = Memo(), WeakSet[Thing]()

    def made() -> Thing:
        thing = Thing()
        alive.add(thing)
        return thing

    kept = memo.value("solids", "light-1", (), made)
    for number in range(1_000):
        memo.value("solids", f"copy-{number}", (), made)
        assert memo.value("solids", "light-1", (), made) is kept
    # hand-worked: in two turns of 100 questions half are for copies, one is the light
    assert len(alive) <= 101
