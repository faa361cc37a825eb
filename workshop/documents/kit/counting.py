"""Owns how many pages a story takes, told without drawing any of it: a paper that tries several sizes asks it of each."""

from __future__ import annotations

from typing import Any

from reportlab.platypus import Flowable

from workshop.documents.kit import flow
from workshop.documents.kit.page import Paper


def pages(story: flow.Story, paper: Paper, **named: Any) -> int:
    """As `flow.build` would tell it. Not for parts that stay `together`."""
    return flow.build([_Unseen(part) for part in story], paper, **named)[1]


class _Unseen(Flowable):
    """Takes the room of a part of a story and draws nothing."""

    def __init__(self, part: Any) -> None:
        super().__init__()
        self._part = part

    def getSpaceBefore(self) -> float:  # noqa: N802 - the library's own name
        return float(self._part.getSpaceBefore())

    def getSpaceAfter(self) -> float:  # noqa: N802 - the library's own name
        return float(self._part.getSpaceAfter())

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        taken: tuple[float, float] = self._part.wrapOn(self.canv, width, height)
        return taken

    def split(self, width: float, height: float) -> list[_Unseen]:
        return [_Unseen(part) for part in self._part.splitOn(self.canv, width, height)]

    def draw(self) -> None:
        pass
