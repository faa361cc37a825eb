"""Owns the hole code of a skin tag: letters and figures as rows of holes that liquor cannot wash off. Must not draw.

The code is this workshop's own. The last four letters or figures of a tag are punched, one row each, top to bottom. A row
has six holes worth 32, 16, 8, 4, 2 and 1, which add up to the sign's value (0 to 9 as they are, A 10 to Z 35), and a check
hole, punched where that makes the holes of the row odd in number. So every row has a hole, zero too; and a hole torn open
or forgotten makes its row even. Before the first row stands one more hole, always punched: with the tie hole to the left it
says which row is the top one, also when the tag is read from its back.

Dashes and other signs are left out, so that tags which differ in those alone share a code; a tag with a letter outside A to
Z has none.
"""

from dataclasses import dataclass

WEIGHTS = (32, 16, 8, 4, 2, 1)
MOST_ROWS = 4
SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class PunchRow:
    """One sign: which of WEIGHTS are punched, and whether the check hole is."""

    sign: str
    holes: tuple[bool, ...]
    check: bool


def rows(tag: str) -> tuple[PunchRow, ...]:
    """The rows to punch for a tag; none for a tag that the code cannot carry.

    >>> [(row.sign, sum(row.holes), row.check) for row in rows("H-03")]
    [('H', 2, True), ('0', 0, True), ('3', 2, True)]
    >>> rows("Ä1")
    ()
    """
    signs = [sign for sign in tag.upper() if sign.isalnum()]
    if any(sign not in SIGNS for sign in signs):
        return ()
    return tuple(_row(sign) for sign in signs[-MOST_ROWS:])


def _row(sign: str) -> PunchRow:
    value = SIGNS.index(sign)
    holes = tuple(bool(value & weight) for weight in WEIGHTS)
    return PunchRow(sign, holes, check=sum(holes) % 2 == 0)
