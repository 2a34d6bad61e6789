"""Questions that many runs ask at once, answered together.

A run is worked through by a generator that yields a question whenever it needs
triangles solved exactly. The questions of all runs are then answered in one
sweep over arrays. Every answer depends on its own triangles alone, to the last
bit, so that it does not matter which runs are worked through together.
"""

from collections.abc import Generator, Sequence
from dataclasses import dataclass, fields
from typing import TypeVar, cast

import numpy as np

from core.geometry.shapes import FloatArray
from core.geometry.triangle_bands import Pieces, touching_band
from core.geometry.triangle_distance import Nearest, Prisms, nearest_to_each

__all__ = [
    "Approach",
    "Intervals",
    "Steps",
    "Touch",
    "answer_together",
    "ask_nearest",
    "ask_touching",
]

Intervals = tuple[FloatArray, FloatArray]
_Result = TypeVar("_Result")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Touch:
    """The question at which heights pieces come within reach of triangles."""

    triangles: FloatArray
    pieces: Pieces


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Approach:
    """The question how near triangles come to prisms."""

    triangles: FloatArray
    prisms: Prisms


_Question = Touch | Approach
_Answer = Intervals | Nearest
Steps = Generator[_Question, _Answer, _Result]


def ask_touching(question: Touch) -> Steps[Intervals]:
    """Ask for a band of heights for each triangle [in]."""
    if not question.triangles.shape[2]:
        return np.zeros(0), np.zeros(0)
    return cast("Intervals", (yield question))


def ask_nearest(question: Approach) -> Steps[Nearest]:
    """Ask for the nearest points of all the triangles and prisms [in]."""
    return cast("Nearest", (yield question))


def answer_together(works: Sequence[Steps[_Result]]) -> tuple[_Result, ...]:
    """Work all generators through and return their results in order."""
    results: dict[int, _Result] = {}
    questions: dict[int, _Question] = {}

    def advance(index: int, answer: _Answer | None) -> None:
        """Hand an answer on; a generator that has not started takes None."""
        try:
            questions[index] = works[index].send(cast("_Answer", answer))
        except StopIteration as done:
            results[index] = done.value

    for index in range(len(works)):
        advance(index, None)
    while questions:
        answers = _answers(questions)
        questions.clear()
        for index, answer in answers:
            advance(index, answer)
    return tuple(results[index] for index in range(len(works)))


def _answers(questions: dict[int, _Question]) -> list[tuple[int, _Answer]]:
    """Answer the questions of each kind in one go."""
    touches: dict[int, Touch] = {}
    flat: dict[int, Approach] = {}
    broad: dict[int, Approach] = {}
    for index, question in questions.items():
        if isinstance(question, Touch):
            touches[index] = question
        elif question.prisms.side.any():
            broad[index] = question
        else:
            flat[index] = question
    answers: list[tuple[int, _Answer]] = []
    if touches:
        answers += zip(touches, _touching(list(touches.values())), strict=True)
    for some in (flat, broad):
        if some:
            answers += zip(some, _nearest(list(some.values())), strict=True)
    return answers


def _touching(questions: list[Touch]) -> list[Intervals]:
    """Answer how high pieces touch."""
    triangles = np.concatenate([q.triangles for q in questions], axis=2)
    pieces = Pieces(**_columns([q.pieces for q in questions]))
    lo, hi = touching_band(triangles, pieces)
    cuts = np.cumsum([q.triangles.shape[2] for q in questions])[:-1]
    return list(zip(np.split(lo, cuts), np.split(hi, cuts), strict=True))


def _nearest(questions: list[Approach]) -> list[Nearest]:
    """Answer how near prisms come."""
    triangles = np.concatenate([q.triangles for q in questions], axis=2)
    prisms = Prisms(**_columns([q.prisms for q in questions]))
    counts = [q.triangles.shape[2] for q in questions]
    return nearest_to_each(triangles, prisms, counts)


def _columns(parts: Sequence[Pieces] | Sequence[Prisms]) -> dict[str, FloatArray]:
    """Put the fields of several records one behind the other."""
    return {
        field.name: np.concatenate([getattr(part, field.name) for part in parts])
        for field in fields(parts[0])
    }
