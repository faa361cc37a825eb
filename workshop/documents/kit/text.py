"""Owns fitting a text into a box: shrink a little, then wrap, then break long words, and never run outside.

What may not be cut is refused when it does not fit; the rest ends in an ellipsis. Must not touch a canvas.
"""

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from reportlab.lib.units import mm

from inventory.errors import Refused
from workshop.documents.kit import fonts

ASCENT = 0.98  # of the size: room for a capital with its ring or dots
DESCENT = 0.27
LEADING = ASCENT + DESCENT
STEP = 0.25
SLACK = 0.01  # points: what a height that was added up may fall short of itself
ONE_LINE_DOWN_TO = 0.75
SOFT_HYPHEN = "\u00ad"
_AFTER = "-/@._·"
_SHORTEST_PART = 3


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
    text = tidy(text)
    for lines, at in _attempts(text, room, size, smallest, one_line):
        if room.holds(lines, at):
            return Block(tuple(lines), font, at)
    if whole:
        raise TextTooLong(whole, text, width / mm, height / mm)
    return Block(tuple(_cut(text, room, smallest, one_line)), font, smallest)


def tidy(text: str) -> str:
    """Composed letters, single spaces, no control characters: what the font can show. Line breaks stay."""
    composed = unicodedata.normalize("NFC", text)
    lines = (" ".join(_printable(line).split()) for line in composed.splitlines())
    return "\n".join(line for line in lines if line)


def wrap(text: str, font: str, size: float, width: float, *, breaking: bool = True) -> list[str]:
    """Lines of `text` no wider than `width` points; with `breaking` off, a long word stays whole and sticks out."""
    lines: list[str] = []
    for paragraph in text.splitlines():
        line = ""
        for word in paragraph.split():
            longer = f"{line} {word}" if line else word
            if fonts.width(plain(longer), font, size) <= width:
                line = longer
                continue
            if line:
                lines.append(plain(line))
            *full, line = break_word(word, font, size, width) if breaking else [word]
            lines.extend(full)
        lines.append(plain(line))
    return lines


def break_word(word: str, font: str, size: float, width: float) -> list[str]:
    """The parts of a word, each no wider than `width`; a hyphen is added only where the word has no break of its own.

    The last part may be followed by other words, so its soft hyphens are kept for the caller to drop.
    """
    parts = []
    while fonts.width(plain(word), font, size) > width:
        at = _break_at(word, font, size, width)
        head, word = word[:at], word[at:]
        parts.append(plain(head) + ("" if head[-1] in _AFTER else "-"))
        if not word:
            break
    return [*parts, word] if word else parts


def plain(text: str) -> str:
    """Without the marks that only say where a word may break."""
    return text.replace(SOFT_HYPHEN, "")


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
    own, free = 0, 1
    for at in range(1, len(word)):
        head = plain(word[:at])
        if fonts.width(head, font, size) > width:
            break
        if word[at - 1] in _AFTER:
            own = at
        elif fonts.width(head, font, size) + hyphen <= width and not unicodedata.combining(word[at]):
            own = at if word[at - 1] == SOFT_HYPHEN else own
            free = at
    if own and fonts.width(plain(word[:own]), font, size) >= width / 2:
        return own
    left = len(word) - free
    return free - (_SHORTEST_PART - left) if left < _SHORTEST_PART < free - _SHORTEST_PART else free


def _cut(text: str, room: Room, size: float, one_line: bool) -> list[str]:
    """As many lines as there is room for, the last one ending in an ellipsis."""
    lines = [plain(text)] if one_line else wrap(text, room.font, size, room.width)
    keep = max(1, int((room.height + SLACK) / (size * LEADING)))
    last = lines[keep - 1] if keep <= len(lines) else lines[-1]
    while last and fonts.width(last + "…", room.font, size) > room.width:
        last = last[:-1]
    return [*lines[: keep - 1], last.rstrip(" -,") + "…"]
