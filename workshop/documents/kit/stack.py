"""Owns stacking paragraphs in a box at the largest size that holds them all. Must not know what they say.

Nothing is cut: what does not fit at the smallest size is refused, so that a caution is never half on a label.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from reportlab.lib.units import mm

from workshop.documents.kit import page
from workshop.documents.kit.page import Box
from workshop.documents.kit.text import LEAST, STEP, Block, TextTooLong, tidy, wrap
from workshop.documents.type import fonts

_GUTTER = 6.0
_MOST_RIGHT = 0.6
_PAD = 4.0  # between a frame and what it holds
_BULLET = 10.0


@dataclass(frozen=True)
class Para:
    """Words set `larger` points above the size of the stack, and never below LEAST, with `before` points above; `right` stands
    at the line's end.

    `ruled` draws a line above, `bullet` a dot before the words; those that are `framed` follow each other in one
    frame. `serif`: in the type of headlines.
    """

    words: str
    bold: bool = False
    larger: float = 0
    before: float = 0
    right: str = ""
    ruled: bool = False
    bullet: bool = False
    framed: bool = False
    serif: bool = False
    centred: bool = False

    @property
    def indent(self) -> float:
        return _BULLET * self.bullet + _PAD * self.framed


@dataclass(frozen=True)
class Stack:
    """Paragraphs set at one size, ready to be drawn."""

    paras: tuple[Para, ...]
    blocks: tuple[Block, ...]
    size: float

    @property
    def height(self) -> float:
        frame = 2 * _PAD if any(para.framed for para in self.paras) else 0.0
        return frame + sum(para.before + block.height for para, block in zip(self.paras, self.blocks, strict=True))


def at(paras: Sequence[Para], width: float, size: float) -> Stack:
    """The paragraphs at exactly this size, however tall they get."""
    fonts.register()
    kept = tuple(para for para in paras if para.words.strip())
    return Stack(kept, tuple(_block(para, width, size) for para in kept), size)


@lru_cache(512)  # of a run most words are the same
def fit(paras: tuple[Para, ...], width: float, height: float, *, size: float, smallest: float, whole: str) -> Stack:
    """The paragraphs at the largest size at which they fit; TextTooLong, naming `whole`, where none does."""
    while True:
        stack = at(paras, width, size)
        if stack.height <= height + 0.01 and _leave_room(stack, width):
            return stack
        if size <= smallest:
            raise TextTooLong(whole, " ".join(para.words for para in stack.paras), width / mm, height / mm)
        size = max(smallest, size - STEP)


def put(on: Any, box: Box, paras: Sequence[Para], *, size: float, smallest: float, whole: str) -> None:
    """Fit the paragraphs into the box and draw them from its top."""
    draw(on, box, fit(tuple(paras), box.width, box.height, size=size, smallest=smallest, whole=whole))


def draw(on: Any, box: Box, stack: Stack) -> None:
    """Draw set paragraphs from the top of the box."""
    y, frame = box.top, 0.0
    for para, block in zip(stack.paras, stack.blocks, strict=True):
        if frame and not para.framed:
            y, frame = _close(on, box, frame, y), 0.0
        y -= para.before
        if para.framed and not frame:
            frame = y
            y -= _PAD
        if para.ruled:
            page.rule(on, Box(box.x, y, box.width, min(para.before, 4) / 2))
        turned = fonts.turned(para.words)
        left = box.x if turned else box.x + para.indent
        place = Box(left, y - block.height, box.width - para.indent, block.height)
        if para.bullet:
            on.circle(place.right + 5 if turned else place.x - 5, place.top - block.size * 0.65, 1.1, stroke=0, fill=1)
        beside = "right" if turned and (para.bullet or para.right) else "left"
        page.put(on, place, block, align="centre" if para.centred else beside)
        if para.right:
            page.put(on, place, Block((para.right,), block.font, block.size), align="here" if turned else "right")
        y -= block.height
    if frame:
        _close(on, box, frame, y)


def _close(on: Any, box: Box, top: float, y: float) -> float:
    """Draw the frame from its top to below what it holds; where what follows begins."""
    on.setLineWidth(1.2)
    on.rect(box.x, y - _PAD, box.width, top - y + _PAD)
    return y - _PAD


def _leave_room(stack: Stack, width: float) -> bool:
    """Whether each figure at a line's end leaves its words a fair part of the line."""
    return all(
        fonts.width(para.right, block.font, block.size) <= width * _MOST_RIGHT
        for para, block in zip(stack.paras, stack.blocks, strict=True)
    )


def _block(para: Para, width: float, size: float) -> Block:
    font = fonts.headline(tidy(para.words)) if para.serif else fonts.BOLD if para.bold else fonts.REGULAR
    tall = max(LEAST, size + para.larger)
    beside = fonts.width(para.right, font, tall) + _GUTTER if para.right else 0.0
    return Block(
        tuple(wrap(tidy(para.words), font, tall, width - beside - para.indent - _PAD * para.framed)), font, tall
    )
