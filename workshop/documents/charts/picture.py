"""A chart as a part of a paper that flows, with what it shows in words. Must not draw one."""

from math import inf
from typing import Any

from reportlab.platypus import Flowable


class Picture(Flowable):
    """One of the library's drawings, with what it shows in words; made smaller where its place is narrower, or it is too tall."""

    def __init__(self, drawing: Any, alt: str, tallest: float = inf) -> None:
        super().__init__()
        self._drawing, self._alt, self._tallest = drawing, alt, tallest

    @property
    def tall(self) -> float:
        """Its height where nothing makes it smaller."""
        return float(self._drawing.height)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self._drawing.renderScale = min(1.0, width / self._drawing.width, self._tallest / self._drawing.height)
        self.width, self.height = self._drawing.wrap(width, height)
        return self.width, self.height

    def draw(self) -> None:
        with self.canv.marked("Figure", alt=self._alt, box=(self.width, self.height)):
            self._drawing.drawOn(self.canv, 0, 0)
