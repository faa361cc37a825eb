"""Owns the papers of a fair: the pack list with what each piece may go for, and the day sheet of its money and hours.

The least price is written backwards, whole coins only, so that a buyer who reads over the table does not bargain from it.
What is known is printed; the rest is left to a pencil. Must not work out a floor.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory import money
from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table
from workshop.documents.words.rules import Words

FREE_LINES = 6

DAY = (
    ("fair.float_morning", "fair.float_evening"),
    ("fair.cash_taken", "fair.card_taken"),
    ("fair.paid_out", "fair.what_for"),
    ("fair.pitch", "fair.fuel"),
    ("fair.began", "fair.ended"),
)


@dataclass(frozen=True)
class PackedPiece:
    """A piece on the list. `pays` is the list price with the tax that comes on top of it, None where none does; `least` the least
    to take, None where it is not known; `sold` and `how` once it is sold."""

    number: str
    description: str
    list_price: Decimal | None
    least: Decimal | None = None
    sold: Decimal | None = None
    how: str = ""
    back: bool = False
    pays: Decimal | None = None


@dataclass(frozen=True)
class FairDay:
    """The list and the sheet of one fair."""

    workshop: str
    name: str
    on: date
    pieces: tuple[PackedPiece, ...]
    currency: str
    place: str = ""
    digits: int = 2
    words: Words = Words()

    def money(self, value: Decimal | None) -> str:
        return "" if value is None else wording.number(value, self.digits)


def backwards(least: Decimal) -> str:
    """The least price in whole coins, rounded up, its figures from the last to the first.

    >>> backwards(Decimal("92.31")), backwards(Decimal("120.00"))
    ('39', '021')
    """
    whole = int(least) + (1 if least % 1 else 0)
    return str(whole)[::-1]


def render(fair: FairDay, size: Paper = A4) -> bytes:
    """Pack list and day sheet as PDF."""
    prices = [piece.list_price for piece in fair.pieces if piece.list_price is not None]
    words = fair.words
    facts = [
        (words("kit.date"), words.weekday(fair.on)),
        (words("fair.place"), fair.place),
        (words("fair.pieces"), str(len(fair.pieces))),
        (words("fair.list_total"), money.show(sum(prices, Decimal(0)), fair.currency) if prices else ""),
    ]
    title = words("fair.title", name=fair.name)
    story = [letter.head(title, Party(fair.workshop), Party(), facts, words=words), _pieces(fair), *_day_sheet(fair)]
    foot = f"{fair.workshop} · {fair.name} · {words.day(fair.on)}"
    return flow.document(story, size, title=title, author=fair.workshop, foot=foot, day=fair.on, words=words)


def _pieces(fair: FairDay) -> object:
    words, currency = fair.words, fair.currency
    if not fair.pieces:
        return flow.words(words("fair.nothing"), bold=True, before=12)
    on_top = any(piece.pays is not None for piece in fair.pieces)
    with_tax: list[Column[PackedPiece]] = [
        Column(f"{words('fair.with_tax')}, {currency}", 22, lambda piece: fair.money(piece.pays), figure=True)
    ]
    columns: list[Column[PackedPiece]] = [
        Column(words("fair.out"), 7, tick=True),
        Column(words("kit.number"), 20 if on_top else 30, lambda piece: piece.number, code=True),
        Column(words("fair.piece"), 40 if on_top else 46, lambda piece: piece.description),
        Column(f"{words('fair.list_price')}, {currency}", 22, lambda piece: fair.money(piece.list_price), figure=True),
        *(with_tax if on_top else []),
        Column(
            words("fair.code"), 13, lambda piece: "" if piece.least is None else backwards(piece.least), figure=True
        ),
        Column(
            f"{words('fair.sold_for')}, {currency}", 20, lambda piece: fair.money(piece.sold), figure=True, write=True
        ),
        Column(words("fair.paid_by"), 15, lambda piece: piece.how, write=True),
        Column(words("fair.back"), 11, lambda piece: "back" if piece.back else "", tick=True),
    ]
    spare = 0 if any(piece.sold for piece in fair.pieces) else 2
    return Table(columns, [*fair.pieces, *[PackedPiece("", "", None)] * spare])


def _day_sheet(fair: FairDay) -> flow.Story:
    words = fair.words
    columns: list[Column[None]] = [
        Column(words("fair.time"), 14, write=True),
        Column(words("fair.else"), 84, write=True),
        Column(f"{words('fair.amount')}, {fair.currency}", 24, write=True),
        Column(words("fair.paid_by"), 24, write=True),
    ]
    boxes = flow.together(
        flow.heading(words("fair.day_sheet")), *(flow.blanks(*(words(key) for key in pair)) for pair in DAY)
    )
    return [boxes, flow.together(Table(columns, [None] * FREE_LINES))]
