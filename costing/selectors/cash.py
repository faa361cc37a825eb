"""How all money stood at the end of a day: what had come, what is owed, what is held for others. Tax is left out.

Worked out paper by paper and rounded once a paper, so that what came and what is owed always make up what was sold.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.models import Sale
from costing.selectors import money
from inventory.money import half_up
from inventory.selectors import workshop

NOTHING = Decimal(0)


@dataclass(frozen=True)
class Cash:
    """Up to the end of a day. `received` counts deposits in full and the rest without tax, with what payers withheld.

    `owed` is what buyers owe, less what is owed back to them, without tax. `held` is a debt: deposits on work not handed
    over, and money paid for a sale before its day.
    """

    received: Decimal
    owed: Decimal
    held: Decimal


def at(*days: date) -> list[Cash]:
    """How it stood at the end of each of the days."""
    papers = list(money.settled().exclude(kind=Sale.Kind.CREDIT))
    return [_at(papers, day, workshop.places()) for day in days]


def _at(papers: Iterable[Sale], day: date, places: int) -> Cash:
    deposits = money.deposits_held(day)
    received, owed, early = deposits, NOTHING, NOTHING
    for paper in papers:
        paid = sum((row.amount for row in money.settlements(paper) if row.on <= day), NOTHING)
        if paper.on > day:
            early += paid
            continue
        net, gross = _stands(paper, day)
        mine = half_up(Fraction(paid) * _own_part(paper, net, gross), places)
        received += mine
        owed += net - mine
    return Cash(received + early, owed, deposits + early)


def _stands(paper: Sale, day: date) -> tuple[Decimal, Decimal]:
    """Without and with tax: what a paper comes to with its credits up to the day."""
    rows = [paper, *(credit for credit in paper.credited_by.all() if credit.on <= day)]
    return sum((row.net for row in rows), NOTHING), sum((row.gross for row in rows), NOTHING)


def _own_part(paper: Sale, net: Decimal, gross: Decimal) -> Fraction:
    """The part of what is paid for a paper that is no tax; of one credited in full, the part it had."""
    if gross:
        return Fraction(net) / Fraction(gross)
    return Fraction(paper.net) / Fraction(paper.gross) if paper.gross else Fraction(1)
