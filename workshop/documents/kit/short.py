"""Owns the short form of a label: a head, its code in the corner, its words below, in any box. Must not know what they say.

A label takes it where its own form has no room. All its words are there; what hangs, is punched or stuck on has its own size.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import accumulate
from typing import Any

from reportlab.lib.units import mm

from workshop.documents.kit import codes, page, stack
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.stack import Para, Stack
from workshop.documents.kit.text import LEADING, STEP, Block, TextTooLong, fit
from workshop.documents.type import fonts

_EDGE = 2 * mm
_HEAD = (13.0, 7.0)
_WORDS = (10.0, 5.0)
_SLACK = 0.01


def roomy(box: Box, own: Paper) -> bool:
    """Whether a label's own form, drawn for `own`, has room in the box."""
    width, height = own.size
    return box.width >= width - _SLACK and box.height >= height - _SLACK


def put(on: Any, box: Box, *, head: str, code: str, paras: Sequence[Para], whole: str) -> None:
    """Draw the short form; TextTooLong where even the smallest letters have no room.

    What has room beside the code stands there, all else below both over the whole width.
    """
    place = box.inset(_EDGE)
    beside = codes.corner(on, place, code) if code else place
    size = min(_HEAD[0], place.height / 4)
    if size < _HEAD[1]:
        raise TextTooLong(whole, "", box.width / mm, box.height / mm)
    set_head = _headed(head, beside, size, whole)
    page.put(on, beside, set_head)
    _, beside = beside.cut_top(set_head.height)
    shown = tuple(replace(para, framed=False, before=min(para.before, 1)) for para in paras if para.words.strip())
    tall = max(codes.side(code) + codes.GAP - set_head.height, 0.0) if code else 0.0
    above, below = _parted(shown, (beside.width, place.width), beside.height, tall, whole)
    stack.draw(on, beside, above)
    stack.draw(on, place.cut_top(place.top - beside.top + max(tall, above.height) * bool(below.paras))[1], below)


def _headed(head: str, box: Box, size: float, whole: str) -> Block:
    """The head in one line, as large as it goes; else in as many as it takes."""
    how: dict[str, Any] = {"width": box.width, "font": fonts.BOLD, "smallest": _HEAD[1], "whole": whole}
    try:
        return fit(head, height=size * LEADING, size=size, one_line=True, **how)
    except TextTooLong:
        return fit(head, height=box.height, size=_HEAD[1], **how)


@lru_cache(512)
def _parted(
    paras: tuple[Para, ...], widths: tuple[float, float], height: float, tall: float, whole: str
) -> tuple[Stack, Stack]:
    """What stands beside a code of `tall` points and what below it, at the largest size that holds all."""
    size = _WORDS[0]
    while True:
        full = stack.at(paras, widths[0], size)
        many = len(paras) if full.height <= height else _many(full, tall)
        above, below = stack.at(paras[:many], widths[0], size), stack.at(paras[many:], widths[1], size)
        if (max(above.height, tall) if below.paras else above.height) + below.height <= height + _SLACK:
            return above, below
        if size <= _WORDS[1]:
            raise TextTooLong(whole, " ".join(para.words for para in paras), widths[1] / mm, height / mm)
        size = max(_WORDS[1], size - STEP)


def _many(full: Stack, tall: float) -> int:
    """How many of the paragraphs end beside the code."""
    ends = accumulate(para.before + block.height for para, block in zip(full.paras, full.blocks, strict=True))
    return sum(end <= tall + _SLACK for end in ends)
