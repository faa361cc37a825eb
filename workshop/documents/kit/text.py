"""Owns fitting a text into a box: shrink a little, then wrap, then break long words, and never run outside.

What may not be cut is refused when it does not fit; the rest ends in an ellipsis. Must not touch a canvas.
"""

import re
import unicodedata
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from reportlab.lib.units import mm

from inventory.errors import Refused
from workshop.documents.type import fonts, order, runs
from workshop.documents.type.cuts import ASCENT, DESCENT

LEADING = ASCENT + DESCENT
STEP = 0.25
LEAST = 4.75  # points: an x-height of 0.9 mm, the least that a label may have; common practice, no source
SLACK = 0.01  # points: what a height that was added up may fall short of itself
ONE_LINE_DOWN_TO = 0.75
SOFT_HYPHEN = "\u00ad"
_HARD = "\u00a0\u202f"  # the spaces within a figure, or before a French colon: a line ends there only where it must
_GAP = re.compile(rf"[^\S{_HARD}]+")
_AFTER = "-/@._·" + _HARD
_SHORTEST_PART = 3
_VIRAMA = 9  # the combining class of the sign that binds two consonants of India into one
# Signs of China and Japan that end or begin what they stand with, by common practice, no source.
_NEVER_FIRST = frozenset("、。，．・：；？！」』）］｝〉》】〕ーぁぃぅぇぉっゃゅょァィゥェォッャュョ々")
_NEVER_LAST = frozenset("「『（［｛〈《【〔")


class TextTooLong(Refused):
    """A text that must not be cut (a price, a number, an address) has no room, even at the smallest size."""

    def __init__(self, what: str, text: str, width_mm: float, height_mm: float) -> None:
        self.what, self.text, self.width_mm, self.height_mm = what, text, width_mm, height_mm
        named = f"The {what} “{text}” ({len(text)} characters)" if text else f"A part of the {what}"
        super().__init__(
            f"{named} does not fit in {width_mm:.0f} × {height_mm:.0f} mm,"
            " and cutting it would say something else. Shorten it, or print it on a larger paper.",
            field=what.replace(" ", "_"),
        )


@dataclass(frozen=True)
class Block:
    """Lines set at one size, with the height they take in points."""

    lines: tuple[str, ...]
    font: str
    size: float

    @property
    def height(self) -> float:
        return len(self.lines) * self.size * LEADING


@dataclass(frozen=True)
class Room:
    """A width and height in points to be filled in one font."""

    width: float
    height: float
    font: str

    def holds(self, lines: list[str], size: float) -> bool:
        return len(lines) * size * LEADING <= self.height + SLACK and all(
            fonts.width(line, self.font, size) <= self.width for line in lines
        )


@lru_cache(4096)  # of a run most words are the same
def fit(
    text: str,
    *,
    width: float,
    height: float,
    font: str = fonts.REGULAR,
    size: float,
    smallest: float,
    whole: str = "",
    one_line: bool = False,
) -> Block:
    """Set `text` in `width` × `height` points, at most `size` and at least `smallest`.

    `whole` names a text that must not be cut: without room it raises TextTooLong. Another text is cut with "…".
    """
    fonts.register()
    room = Room(width, height, font)
    text = tidy(text, whole)
    for lines, at in _attempts(text, room, size, smallest, one_line):
        if room.holds(lines, at):
            return Block(tuple(lines), font, at)
    if whole:
        raise TextTooLong(whole, text, width / mm, height / mm)
    return Block(tuple(_cut(text, room, smallest, one_line)), font, smallest)


def tidy(text: str, what: str = "") -> str:
    """Composed letters, single spaces, no control characters. Line breaks stay.

    Refused, naming the text and `what` it is, where no installed type has one of its letters.
    """
    composed = unicodedata.normalize("NFC", text)
    lines = (" ".join(_split(_printable(line))) for line in composed.splitlines())
    made = "\n".join(line for line in lines if line)
    fonts.check(made, what)
    return made


def wrap(text: str, font: str, size: float, width: float, *, breaking: bool = True) -> list[str]:
    """Lines of `text` no wider than `width` points; with `breaking` off, a long word stays whole and sticks out."""
    lines: list[str] = []
    for paragraph in text.splitlines():
        line, begun = "", len(lines)
        for gap, word in _words(paragraph):
            longer = f"{line}{gap}{word}" if line else word
            if fonts.width(plain(longer), font, size) <= width:
                line = longer
                continue
            if line:
                lines.append(plain(line))
            *full, line = break_word(word, font, size, width) if breaking else [word]
            lines.extend(full)
        lines.append(plain(line))
        if not paragraph.isascii():
            lines[begun:] = _facing(paragraph, lines[begun:])
    return lines


def break_word(word: str, font: str, size: float, width: float) -> list[str]:
    """The parts of a word, each no wider than `width`; a hyphen is added only where the word has no break of its own.

    The last part may be followed by other words, so its soft hyphens are kept for the caller to drop.
    """
    parts = []
    while fonts.width(plain(word), font, size) > width:
        at = _break_at(word, font, size, width)
        head, word = word[:at], word[at:]
        # Only the alphabets of Europe have the hyphen.
        own = head[-1] in _AFTER or not fonts.plain(head[-1] + word[:1])
        parts.append(plain(head) + ("" if own else "-"))
        if not word:
            break
    return [*parts, word] if word else parts


def plain(text: str) -> str:
    """Without the marks that only say where a word may break."""
    return text.replace(SOFT_HYPHEN, "")


def _split(text: str) -> list[str]:
    return [word for word in _GAP.split(text) if word.strip()]


def _words(paragraph: str) -> Iterator[tuple[str, str]]:
    """What stands together on a line, and what parts it from what is before: a space, or nothing between East Asian signs."""
    if fonts.plain(paragraph):
        yield from ((" ", word) for word in _split(paragraph))
        return
    for word in _split(paragraph):
        gap, start = " ", 0
        for at in range(1, len(word) + 1):
            if at == len(word) or _between(word[at - 1], word[at]):
                yield gap, word[start:at]
                gap, start = "", at


def _between(before: str, after: str) -> bool:
    """Whether a line may end between two signs because one of them is a word by itself, as in Chinese and Japanese."""
    wide = any(
        "\u2e80" <= each <= "\uab00" or "\uf900" <= each <= "\ufb00" or each >= "\uff00" for each in (before, after)
    )
    return wide and before not in _NEVER_LAST and after not in _NEVER_FIRST


def _apart(text: str, at: int) -> bool:
    """Whether what stands before and after this place is printed as two: no mark from its letter, nothing that is joined."""
    if at >= len(text):
        return True
    before, after = text[at - 1], text[at]
    marked = unicodedata.category(after).startswith("M") or after in runs.JOINERS
    return not (marked or before == "\u200d" or unicodedata.combining(before) == _VIRAMA)


def _facing(paragraph: str, lines: list[str]) -> list[str]:
    """The lines of a paragraph all starting on its own side: one that begins with a word of the other is marked."""
    turned = fonts.turned(paragraph)
    mark = order.RIGHT_TO_LEFT if turned else order.LEFT_TO_RIGHT
    return [line if fonts.turned(line) == turned else mark + line for line in lines]


def _printable(line: str) -> str:
    return "".join(" " if unicodedata.category(c) in ("Cc", "Zl", "Zp") else c for c in line)


def _attempts(text: str, room: Room, size: float, smallest: float, one_line: bool) -> Iterator[tuple[list[str], float]]:
    single = "\n" not in text
    floor = smallest if one_line else max(smallest, size * ONE_LINE_DOWN_TO)
    if single or one_line:
        yield from (([plain(text).replace("\n", " ")], at) for at in _sizes(size, floor))
    if one_line:
        return
    for breaking in (False, True):
        for at in _sizes(size, smallest):
            yield wrap(text, room.font, at, room.width, breaking=breaking), at


def _sizes(size: float, smallest: float) -> Iterator[float]:
    at = size
    while at > smallest:
        yield at
        at -= STEP
    yield smallest


def _break_at(word: str, font: str, size: float, width: float) -> int:
    """Index after the longest head that fits: at a mark of its own if that fills half the line."""
    hyphen = fonts.width("-", font, size)
    own, free = 0, next((at for at in range(1, len(word)) if _apart(word, at)), len(word))
    for at in range(1, len(word)):
        head = plain(word[:at])
        if fonts.width(head, font, size) > width:
            break
        if word[at - 1] in _AFTER:
            own = at
        elif fonts.width(head, font, size) + hyphen <= width and _apart(word, at):
            own = at if word[at - 1] == SOFT_HYPHEN else own
            free = at
    if own and fonts.width(plain(word[:own]), font, size) >= width / 2:
        return own
    left = len(word) - free
    if not fonts.plain(word):
        return free
    return free - (_SHORTEST_PART - left) if left < _SHORTEST_PART < free - _SHORTEST_PART else free


def _cut(text: str, room: Room, size: float, one_line: bool) -> list[str]:
    """As many lines as there is room for, the last one ending in an ellipsis."""
    lines = [plain(text)] if one_line else wrap(text, room.font, size, room.width)
    keep = min(len(lines), max(1, int((room.height + SLACK) / (size * LEADING))))
    last = lines[keep - 1]
    ends = range(len(last) + 1)
    end = bisect_right(ends, room.width, key=lambda at: fonts.width(last[:at] + "…", room.font, size)) - 1
    while end > 0 and (fonts.width(last[:end] + "…", room.font, size) > room.width or not _apart(last, end)):
        end -= 1
    last = last[: max(end, 0)]
    return [*lines[: keep - 1], last.rstrip(" -,") + "…"]
