"""Owns stacking paragraphs in a box at the largest size that holds them all. Must not know what they say.

Nothing is cut: what does not fit at the smallest size is refused, so that a caution is never half on a label.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib.units import mm

from workshop.papers import fonts, kit
from workshop.papers.errors import TextTooLong
from workshop.papers.kit import Box
from workshop.papers.text import STEP, Block, tidy, wrap

_GUTTER = 6.0


_MOST_RIGHT = 0.6


@dataclass(frozen=True)
class Para:
    """Words set `larger` points above the size of the stack, with `before` points above; `right` stands at the line's end.

    `ruled` draws a line above; `tick` puts a square to tick before the words.
    """

    words: str
    bold: bool = False
    larger: float = 0
    before: float = 0
    right: str = ""
    ruled: bool = False
    tick: bool = False


@dataclass(frozen=True)
class Stack:
    """Paragraphs set at one size, ready to be drawn."""

    paras: tuple[Para, ...]
    blocks: tuple[Block, ...]
    size: float

    @property
    def height(self) -> float:
        return sum(para.before + block.height for para, block in zip(self.paras, self.blocks, strict=True))


def at(paras: Sequence[Para], width: float, size: float) -> Stack:
    """The paragraphs at exactly this size, however tall they get."""
    fonts.register()
    told = tuple(para for para in paras if para.words.strip())
    return Stack(told, tuple(_block(para, width, size) for para in told), size)


def fit(paras: Sequence[Para], width: float, height: float, *, size: float, smallest: float, whole: str) -> Stack:
    """The paragraphs at the largest size at which they fit; TextTooLong, naming `whole`, where none does."""
    while True:
        stack = at(paras, width, size)
        if stack.height <= height + 0.01 and _leave_room(stack, width):
            return stack
        if size <= smallest:
            raise TextTooLong(whole, " ".join(para.words for para in stack.paras), width / mm, height / mm)
        size = max(smallest, size - STEP)


def _leave_room(stack: Stack, width: float) -> bool:
    """Whether each figure at a line's end leaves its words a fair part of the line."""
    return all(
        fonts.width(para.right, block.font, block.size) <= width * _MOST_RIGHT
        for para, block in zip(stack.paras, stack.blocks, strict=True)
    )


def draw(on: Any, box: Box, stack: Stack) -> float:
    """Draw the stack from the top of the box; returns the height it took."""
    y = box.top
    for para, block in zip(stack.paras, stack.blocks, strict=True):
        y -= para.before
        if para.ruled:
            on.setLineWidth(0.8)
            on.line(box.x, y + min(para.before, 4) / 2, box.right, y + min(para.before, 4) / 2)
        indent = _indent(para, stack.size)
        place = Box(box.x + indent, y - block.height, box.width - indent, block.height)
        if para.tick:
            side = block.size
            on.setLineWidth(0.8)
            on.rect(box.x + 0.5, y - block.size * 1.12, side, side)
        kit.put(on, place, block)
        if para.right:
            kit.put(on, place, Block((para.right,), block.font, block.size), align="right")
        y -= block.height
    return stack.height


def _indent(para: Para, size: float) -> float:
    return (size + para.larger) * 1.5 if para.tick else 0.0


def _block(para: Para, width: float, size: float) -> Block:
    font = fonts.BOLD if para.bold else fonts.REGULAR
    tall = size + para.larger
    beside = fonts.width(para.right, font, tall) + _GUTTER if para.right else 0.0
    return Block(tuple(wrap(tidy(para.words), font, tall, width - beside - _indent(para, size))), font, tall)
