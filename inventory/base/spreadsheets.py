"""Text on its way into a file that a spreadsheet may open, and back: a cell that it would run as a formula is marked as text.

Owns which cells those are. Marked by an apostrophe before it, which spreadsheets take for “this is text”; a text that begins with
such apostrophes of its own gets one more, so that every text comes back as it was.
"""

import re
import unicodedata

FORMULA_START = ("=", "+", "@", "-", "\t", "\r", "|")
MARK = "'"
_NUMBER = re.compile(r"[-+]?\d+([.,]\d+)?", re.ASCII)


def formula_start(cell: str) -> str:
    """The character that would make a spreadsheet run the cell, or an empty text; a plain signed number has none.

    >>> formula_start("=1+1"), formula_start("-5"), formula_start("alum")
    ('=', '', '')
    """
    for text in (cell, cell.strip()):
        # Some spreadsheets take the wide forms of these signs for the signs themselves.
        if unicodedata.normalize("NFKC", text[:1]).startswith(FORMULA_START) and not _NUMBER.fullmatch(text):
            return text[0]
    return ""


def marked(cell: str) -> str:
    """The cell as it is written.

    >>> marked("+358 40 123"), marked("'=1"), marked("-5"), marked("alum")
    ("'+358 40 123", "''=1", '-5', 'alum')
    """
    return f"{MARK}{cell}" if formula_start(cell.lstrip(MARK)) else cell


def unmarked(cell: str) -> str:
    """The cell as it was before `marked`.

    >>> unmarked("'+358 40 123"), unmarked("''=1"), unmarked("'tis")
    ('+358 40 123', "'=1", "'tis")
    """
    return cell[len(MARK) :] if cell.startswith(MARK) and formula_start(cell.lstrip(MARK)) else cell
