"""Where the labels of a sheet are: paper, columns, rows, size, margins, gaps, and the printer's own offset. In millimetres."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from inventory.base.labels.lengths import MM, Ruler
from inventory.errors import Refused

# Width and height. A roll has a page a label.
PAPERS = {"a4": (Decimal(210), Decimal(297)), "letter": (Decimal("215.9"), Decimal("279.4"))}
ROLL = "roll"
LEAST, MOST = Decimal(10), Decimal(420)
MOST_ACROSS = 50
FARTHEST = Decimal(10)  # a printer that misses by more has the wrong paper in it
_SLACK = Decimal("0.5")  # what the sums of a maker's own measuring may be over
_ROLL = re.compile(r"(\d{1,4}(?:\.\d{1,3})?)[x×](\d{1,4}(?:\.\d{1,3})?)(mm|in)", re.IGNORECASE)
_MM = {"mm": Decimal(1), "in": Decimal("25.4")}
_GRID = re.compile(r"(\d{1,4})[x×](\d{1,4})", re.IGNORECASE)


@dataclass(frozen=True)
class Sheet:
    """`left`, `top`: from the paper's edge to the first label; `offset_x` right and `offset_y` down: what the printer needs."""

    paper: str
    columns: int
    rows: int
    width: Decimal
    height: Decimal
    left: Decimal = Decimal(0)
    top: Decimal = Decimal(0)
    gap_x: Decimal = Decimal(0)
    gap_y: Decimal = Decimal(0)
    offset_x: Decimal = Decimal(0)
    offset_y: Decimal = Decimal(0)

    @property
    def count(self) -> int:
        return self.columns * self.rows

    @property
    def size(self) -> tuple[Decimal, Decimal]:
        """Width and height of the page."""
        return PAPERS.get(self.paper, (self.width, self.height))

    def places(self) -> Iterator[tuple[Decimal, Decimal]]:
        """Each label's left and top edge as it is printed, in reading order.

        >>> list(Sheet("a4", 2, 1, Decimal(99), Decimal(38), left=Decimal(5), gap_x=Decimal(2)).places())
        [(Decimal('5'), Decimal('0')), (Decimal('106'), Decimal('0'))]
        """
        for row in range(self.rows):
            for column in range(self.columns):
                yield (
                    self.left + column * (self.width + self.gap_x) + self.offset_x,
                    self.top + row * (self.height + self.gap_y) + self.offset_y,
                )


# Equal parts of a paper, which is what most sheets without margins are; the others from memory. A maker measures his own.
COMMON = {
    "3 × 7 on A4": Sheet("a4", 3, 7, Decimal(70), Decimal("42.4")),
    "3 × 8 on A4": Sheet("a4", 3, 8, Decimal(70), Decimal("37.1")),
    "2 × 4 on A4": Sheet("a4", 2, 4, Decimal(105), Decimal("74.2")),
    "2 × 7 on A4, with margins": Sheet(
        "a4", 2, 7, Decimal("99.1"), Decimal("38.1"), Decimal("4.65"), Decimal("15.15"), Decimal("2.5")
    ),
    "3 × 10 on Letter": Sheet(
        "letter", 3, 10, Decimal("66.675"), Decimal("25.4"), Decimal("4.763"), Decimal("12.7"), Decimal("3.175")
    ),
    "2 × 5 on Letter": Sheet(
        "letter", 2, 5, Decimal("101.6"), Decimal("50.8"), Decimal("3.969"), Decimal("12.7"), Decimal("4.763")
    ),
}


def equal(columns: int, rows: int, paper: str, ruler: Ruler = MM) -> Sheet:
    """A paper in so many equal parts, cut down to a tenth of a millimetre.

    >>> equal(3, 7, "a4").height
    Decimal('42.4')
    """
    if not (1 <= columns <= MOST_ACROSS and 1 <= rows <= MOST_ACROSS):
        raise Refused(f"A sheet has 1 to {MOST_ACROSS} columns and rows, not {columns} × {rows}.", field="sheet")
    wide, tall = PAPERS[paper]
    return checked(Sheet(paper, columns, rows, _tenth(wide / columns), _tenth(tall / rows)), ruler)


def asked(text: str, paper: str, ruler: Ruler = MM) -> Sheet | None:
    """A sheet written by its numbers: 3x7 (equal parts of `paper`) or 57x32mm or 2.25x1.25in (a label a page). None where it
    is a name.

    >>> asked("57x32mm", "a4").size
    (Decimal('57'), Decimal('32'))
    >>> asked("2.25 x 1.25 in", "letter").size
    (Decimal('57.150'), Decimal('31.750'))
    """
    if found := _ROLL.fullmatch(text.replace(" ", "")):
        unit = _MM[found[3].lower()]
        return checked(Sheet(ROLL, 1, 1, Decimal(found[1]) * unit, Decimal(found[2]) * unit), ruler)
    if found := _GRID.fullmatch(text.replace(" ", "")):
        return equal(int(found[1]), int(found[2]), paper, ruler)
    return None


def checked(sheet: Sheet, ruler: Ruler = MM) -> Sheet:
    """The sheet, refused where it is none: too small to print on, or not on its paper. `ruler`: what a refusal tells lengths by."""
    if sheet.paper not in (*PAPERS, ROLL):
        raise Refused(f"There is no paper {sheet.paper!r}; choose one of {', '.join((*PAPERS, ROLL))}.", field="paper")
    for field, most in (("columns", sheet.columns), ("rows", sheet.rows)):
        if not 1 <= most <= MOST_ACROSS:
            raise Refused(f"A sheet has 1 to {MOST_ACROSS} {field}, not {most}.", field=field)
    for field in ("width", "height"):
        side = getattr(sheet, field)
        if not LEAST <= side <= MOST:
            raise Refused(
                f"A label is {ruler.least(LEAST)} to {ruler.most(MOST)} {ruler.sign} each way, and its {field} is "
                f"{ruler.told(side)}.",
                field=field,
            )
    for field in ("left", "top", "gap_x", "gap_y"):
        if getattr(sheet, field) < 0:
            raise Refused("Margins and gaps are nothing or more.", field=field)
    for field in ("offset_x", "offset_y"):
        if abs(getattr(sheet, field)) > FARTHEST:
            raise Refused(f"A printer is off by {farthest(ruler)} at most. Look which paper is in it.", field=field)
    if sheet.paper == ROLL and (sheet.count > 1 or sheet.left or sheet.top):
        raise Refused("A roll has one label a page, and no margins.", field="paper")
    _on_paper(sheet, ruler)
    return sheet


def farthest(ruler: Ruler = MM) -> str:
    """What a printer may be off by at most, in words."""
    return f"{ruler.most(FARTHEST)} {ruler.sign}"


def calibrated(sheet: Sheet, right: Decimal, low: Decimal, ruler: Ruler = MM) -> Sheet:
    """The sheet once it was printed and its outlines lay so many mm too far right and too low; too far left and too high are less
    than nothing. The offset is the other way round, and adds to the one it was printed with:

        offset = offset kept - miss measured

    Refused where the miss or the offset is more than FARTHEST.

    >>> printed = Sheet("a4", 3, 7, Decimal(60), Decimal(40), offset_x=Decimal("0.5"))
    >>> found = calibrated(printed, right=Decimal("1.5"), low=Decimal("-2"))
    >>> found.offset_x, found.offset_y
    (Decimal('-1.0'), Decimal('2'))
    """
    for field, miss in (("right", right), ("low", low)):
        if abs(miss) > FARTHEST:
            raise Refused(f"A printer is off by {farthest(ruler)} at most. Look which paper is in it.", field=field)
    x, y = sheet.offset_x - right, sheet.offset_y - low
    for field, kept, offset in (("right", sheet.offset_x, x), ("low", sheet.offset_y, y)):
        if abs(offset) > FARTHEST:
            raise Refused(
                f"With the {ruler.told(kept)} that are kept this makes {ruler.told(offset)}, and a printer is off by "
                f"{farthest(ruler)} at most. Measure again, or look which paper is in it.",
                field=field,
            )
    return replace(sheet, offset_x=x, offset_y=y)


def _on_paper(sheet: Sheet, ruler: Ruler) -> None:
    wide, tall = sheet.size
    across = sheet.left + sheet.columns * sheet.width + (sheet.columns - 1) * sheet.gap_x
    down = sheet.top + sheet.rows * sheet.height + (sheet.rows - 1) * sheet.gap_y
    for field, taken, there in (("columns", across, wide), ("rows", down, tall)):
        if taken > there + _SLACK:
            raise Refused(
                f"{getattr(sheet, field)} {field} with their margin and gaps take {ruler.told(taken)}, and the paper has "
                f"{ruler.told(there)}.",
                field=field,
            )


def _tenth(side: Decimal) -> Decimal:
    return side // Decimal("0.1") / 10
