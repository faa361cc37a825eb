"""What a reminder of an overdue invoice says unless the maker has other words, by its tone.

Must not know a database or a page.
"""

from enum import StrEnum

LONGEST = 500


class Tone(StrEnum):
    """How a reminder speaks, in the order in which they follow each other."""

    FRIENDLY = "friendly"
    FIRM = "firm"
    FINAL = "final"


USUAL = {
    Tone.FRIENDLY: (
        "Perhaps it slipped by: what is listed below is not paid yet. If you paid in the last few days, thank you, and"
        " please put this letter aside."
    ),
    Tone.FIRM: (
        "I wrote to you before about what is listed below, and it is still not paid. Please pay the balance due within"
        " seven days, or tell me if something is wrong with it."
    ),
    Tone.FINAL: (
        "This is my last reminder before I take further steps. Please pay the balance due within seven days of the date"
        " of this letter."
    ),
}
