"""Refusals of selling, papers and results; see `costing.errors` for those of making and `inventory.errors` for the base."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from inventory.errors import Refused
from inventory.money import half_up

NAMED = 5  # so many of a long list are named in a sentence


def _some(words: Sequence[str], count: int | None = None) -> str:
    """A long list shortened for a sentence: the first few and how many more. `count` where only some are at hand."""
    more = (len(words) if count is None else count) - NAMED
    return ", ".join(words[:NAMED]) + (f" and {more} more" if more > 0 else "")


def _coin(value: Decimal) -> str:
    """Money for a sentence, whatever places it was kept at: two at least, and no nought beyond them."""
    digits = -int(value.normalize().as_tuple().exponent)
    return f"{value:.{max(2, digits)}f}"


def _number(value: Fraction) -> str:
    """An exact figure for a sentence: at most two places, without needless noughts."""
    return f"{half_up(value, 2).normalize():f}"


def _percent(part: Fraction) -> str:
    """A part in percent to two places, or 'a little over' where rounding would hide the reason of a refusal."""
    shown = _number(part * 100)
    return "a little over 100 %" if part > 1 and shown == "100" else f"{shown} %"


class TaxNotCharged(Refused):
    """A line carries a tax rate although the seller is not registered: whoever writes tax on a paper owes it."""

    def __init__(self, what: str, rate: Decimal) -> None:
        super().__init__(
            f"“{what}” carries {rate} % tax, but the workshop is not registered; take the rate off the line, or set the"
            " registration in Setup first.",
            field="rate",
        )
        self.what = what
        self.rate = rate


class RateNeeded(Refused):
    """A registered seller's line without a rate."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"“{what}” has no tax rate; enter the rate that applies, 0 with the reason if none is due.", field="rate"
        )
        self.what = what


class MixedPrices(Refused):
    """Prices with and without tax on one paper: its column could not be added up by a reader."""

    def __init__(self, with_tax: str, without_tax: str) -> None:
        super().__init__(
            f"“{with_tax}” is priced with tax and “{without_tax}” without; price all lines of one paper the same way.",
            field="includes_tax",
        )
        self.with_tax = with_tax
        self.without_tax = without_tax


class DiscountTooLarge(Refused):
    """A discount below nought, or above the amount it is taken from."""

    def __init__(self, what: str, discount: Decimal, amount: Decimal | Fraction) -> None:
        super().__init__(
            f"A discount of {discount} on “{what}” cannot be; enter 0 up to its amount of {amount}.", field="discount"
        )
        self.what = what
        self.discount = discount
        self.amount = amount


class CreditTooLarge(Refused):
    """A credit of more than is left of its invoice. `left` is the gross amount that may still be credited."""

    def __init__(self, invoice: str, asked: Decimal, left: Decimal, part: str = "") -> None:
        where = f" ({part})" if part else ""
        super().__init__(
            f"A credit of {_coin(asked)} is more than the {_coin(left)} that is left of {invoice}{where}; credit at most that, or"
            " credit the rest of the invoice.",
            field="amount",
        )
        self.invoice = invoice
        self.asked = asked
        self.left = left
        self.part = part


class PaperIncomplete(Refused):
    """A paper that may not be issued yet. `fields` names what is missing, `words` says it."""

    def __init__(self, kind: str, fields: Sequence[str], words: Sequence[str]) -> None:
        super().__init__(
            f"The {kind} cannot be issued yet; it still needs: {_some(words)}.", field=fields[0] if fields else None
        )
        self.kind = kind
        self.fields = tuple(fields)
        self.words = tuple(words)


class NumberStrange(Refused):
    """A number that is not one of its series."""

    def __init__(self, number: str, example: str) -> None:
        super().__init__(
            f"“{number}” is no number of this series, whose first is {example}; look for the paper under another series.",
            field="number",
        )
        self.number = number


class NumberTwice(Refused):
    """One number on two papers."""

    def __init__(self, number: str) -> None:
        super().__init__(
            f"{number} stands on two papers; find out which one was issued and credit the other before a new one.",
            field="number",
        )
        self.number = number


class NumberGap(Refused):
    """Numbers of a series that no paper carries: the first few, and how many in all."""

    def __init__(self, missing: Sequence[str], count: int, last: str) -> None:
        super().__init__(
            f"The series runs to {last}, but no paper carries {_some(missing, count)}; restore what is missing before a"
            " new number is given.",
            field="number",
        )
        self.missing = tuple(missing)
        self.count = count
        self.last = last


class TakesTooMuch(Refused):
    """Pieces take more of a skin than there is. `taken` and `free` are parts of one whole."""

    def __init__(self, what: str, taken: Fraction, free: Fraction) -> None:
        super().__init__(
            f"The pieces take {_percent(taken)} of {what}, but {_percent(free)} of it is free; make them smaller or fewer.",
            field="share",
        )
        self.what = what
        self.taken = taken
        self.free = free


class AreaTooLarge(Refused):
    """Pieces and offcuts that together are larger than the skin they were cut from. Areas in one unit, named if known."""

    def __init__(self, what: str, cut: Fraction, whole: Fraction, unit: str = "") -> None:
        of = f" {unit}" if unit else ""
        super().__init__(
            f"Pieces and offcuts add up to an area of {_number(cut)}{of}, but {what} measures {_number(whole)}{of};"
            " measure again, or leave a piece out.",
            field="area",
        )
        self.what = what
        self.cut = cut
        self.whole = whole


class OffcutsTooDear(Refused):
    """Offcuts kept at as much as the skin they came from has cost, or below nought."""

    def __init__(self, value: Decimal, book: Fraction) -> None:
        super().__init__(
            f"Offcuts kept at {value} cannot be: the skin came to {_number(book)}; enter 0, or less than that.",
            field="offcuts",
        )
        self.value = value
        self.book = book


class PieceTooSmall(Refused):
    """A piece whose share of the skin is too small to be written. `parts` is how many there are to the whole."""

    def __init__(self, piece: str, parts: int) -> None:
        super().__init__(
            f"{piece} takes less than one part in {parts} of the skin; count it among the offcuts.", field="area"
        )
        self.piece = piece
        self.parts = parts


class LossRateOutOfRange(Refused):
    """A chance of loss outside 0 to 1."""

    def __init__(self, rate: Decimal | Fraction | int) -> None:
        super().__init__(
            f"A loss rate of {rate} cannot be; enter the part that is lost, from 0 for none to 1 for all.",
            field="loss_rate",
        )
        self.rate = rate


class NobodyLeft(Refused):
    """A loss that was to be spread over the survivors of a batch that has none."""

    def __init__(self, skin: str) -> None:
        super().__init__(f"Nothing survived beside {skin}, so its loss can only be written off.", field="how")
        self.skin = skin


class NeverBreaksEven(Refused):
    """A fair whose goods and fees take all of each sale, so that no takings pay for the day."""

    def __init__(self, share: Fraction) -> None:
        super().__init__(
            f"Goods and fees take {_percent(share)} of the takings, so no takings can pay the pitch; raise the prices.",
            field="takings",
        )
        self.share = share


class NothingTaken(Refused):
    """A share of the takings that cannot be told because nothing was taken."""

    def __init__(self) -> None:
        super().__init__(
            "Nothing was taken, so no share of the takings can be told; give the share you expect instead.",
            field="takings",
        )


class NoHistory(Refused):
    """A quote from own history before there is any."""

    def __init__(self) -> None:
        super().__init__(
            "No finished skin of this kind is in your log yet, so no hours can be taken from it; enter the hours you expect.",
            field="hours",
        )


class SeriesRefused(Refused):
    """A way of writing one series that cannot be; `kind` says which."""

    def __init__(self, kind: str, message: str, *, field: str = "prefix") -> None:
        super().__init__(message, field=field)
        self.kind = kind
