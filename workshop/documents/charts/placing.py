"""Owns where words go on a drawing: names above their days, and words beside lines, none over another.

Must not draw. Boxes are left, bottom, right, top in the drawing's own points.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from workshop.documents.charts import ink

ROWS = 7
GAP = 6.0
NEAR = 1.0
ASCENT, DESCENT = 9.0, 3.0
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Flag:
    """Words in a row (0 is the highest) above a day: they begin at `left`, and a line leads down from under them."""

    row: int
    left: float
    text: str

    @property
    def right(self) -> float:
        return self.left + ink.width_of(self.text, bold=True)


def flags(spots: Sequence[tuple[float, tuple[str, ...]]], width: float) -> dict[int, Flag]:
    """A place for the words of each spot (how far right it is, and its words from the fullest to the shortest), by its number.

    No words stand over others or in the way of a line that leads down. What finds no room is left out: from either end the
    spots are tried one after the other, and the end that leaves out less is taken.
    """
    order = sorted(range(len(spots)), key=lambda number: spots[number][0])
    tries = [_placed(spots, width, numbers, shares) for numbers, shares in ((order, (0, 1)), (order[::-1], (1, 0)))]
    return min(tries, key=lambda found: _cost(spots, found))


def _cost(spots: Sequence[tuple[float, tuple[str, ...]]], found: dict[int, Flag]) -> int:
    lost = [10 if number not in found else spot[1].index(found[number].text) for number, spot in enumerate(spots)]
    return sum(lost)


def _placed(
    spots: Sequence[tuple[float, tuple[str, ...]]], width: float, order: Iterable[int], shares: Sequence[float]
) -> dict[int, Flag]:
    found: dict[int, Flag] = {}
    for number in order:
        x, texts = spots[number]
        others = [(spots[other][0], flag) for other, flag in found.items()]
        for flag in (_flag(x, text, row, share, width) for text in texts for row in range(ROWS) for share in shares):
            if flag.right <= width and all(_apart(x, flag, spot, other) for spot, other in others):
                found[number] = flag
                break
    return found


def _flag(x: float, text: str, row: int, share: float, width: float) -> Flag:
    """Words over `x`, so much of them left of it; moved in where they would run out of the drawing."""
    wide = ink.width_of(text, bold=True)
    return Flag(row, max(0.0, min(x - NEAR + share * (2 * NEAR - wide), width - wide)), text)


def _apart(x: float, flag: Flag, spot: float, other: Flag) -> bool:
    if flag.row == other.row:
        return flag.right + GAP <= other.left or other.right + GAP <= flag.left
    # The line of the higher one runs down past the lower one.
    high, low = (x, other) if flag.row < other.row else (spot, flag)
    return not low.left - NEAR < high < low.right + NEAR


def spot_for(
    text: str, spots: Iterable[tuple[float, float]], within: Box, taken: Sequence[Box]
) -> tuple[float, float] | None:
    """The first of the spots (left and baseline) at which words lie within a box and touch nothing that is taken."""
    for left, base in spots:
        box = box_of(text, left, base)
        inside = box[0] >= within[0] and box[1] >= within[1] and box[2] <= within[2] and box[3] <= within[3]
        if inside and not any(meets(box, other) for other in taken):
            return left, base
    return None


def box_of(text: str, left: float, base: float, *, bold: bool = True) -> Box:
    return left, base - DESCENT, left + ink.width_of(text, bold=bold), base + ASCENT


def meets(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
