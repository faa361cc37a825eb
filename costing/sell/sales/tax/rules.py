"""Tax on a paper: what each rate comes to, rounded once, and nothing at all while the seller is not registered.

Owns line amounts, the summary by rate, its mirror image for a credit, and what is left of a paper to credit. Must not
know which rate applies, when a seller has to register, or how a paper looks. Rates are percent and the maker's own entry.

Rounding is the maker's setting (`rounding`). Usually tax is worked out on the total of each rate and rounded half up once,
as EN 16931 has it: category tax = category taxable amount × rate ÷ 100, to two decimals (BR-CO-17); total tax = their sum
(BR-CO-14); total with tax = net + tax (BR-CO-15). Where prices include tax, the total that the buyer pays is kept and the
net is taken out of it; such a net × rate may miss the tax by the smallest coin.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Self

from costing.make.errors import NotAbove
from costing.sell.rounding.rules import USUAL, Level, Rounding, refuse_rate
from inventory import formats
from inventory.errors import Refused, each_row
from inventory.money import ZERO, allocate, half_up


class Mode(StrEnum):
    """Whether the seller is registered for the tax."""

    NOT_REGISTERED = "not_registered"
    REGISTERED = "registered"


def mode(taxed: bool) -> Mode:
    return Mode.REGISTERED if taxed else Mode.NOT_REGISTERED


@dataclass(frozen=True)
class PaperLine:
    """One line of a paper. `rate` in percent, None while not registered; `relief` says why a rate of zero applies.

    `discount` is money off the whole line, on the same footing as the price. A credit's line has a negative quantity and
    a negative discount.
    """

    what: str
    quantity: Decimal
    unit_price: Decimal
    rate: Decimal | None = None
    includes_tax: bool = True
    discount: Decimal = ZERO
    relief: str = ""


@dataclass(frozen=True)
class RateTotal:
    """All that one rate comes to on a paper; taxable + tax == gross, always."""

    rate: Decimal
    taxable: Decimal
    tax: Decimal
    gross: Decimal
    relief: str = ""

    @property
    def key(self) -> tuple[Decimal, str]:
        """Totals of one key may be added: the rate and, at zero, its reason."""
        return self.rate, self.relief

    def __add__(self, other: Self) -> Self:
        taxable, tax, gross = self.taxable + other.taxable, self.tax + other.tax, self.gross + other.gross
        return replace(self, taxable=taxable, tax=tax, gross=gross)

    def __neg__(self) -> Self:
        return replace(self, taxable=_turned(self.taxable), tax=_turned(self.tax), gross=_turned(self.gross))


@dataclass(frozen=True)
class Summary:
    """Totals of a paper. `amounts` are the lines as priced. Not registered: no rates, `tax` None and net == gross."""

    mode: Mode
    amounts: tuple[Decimal, ...]
    rates: tuple[RateTotal, ...]
    net: Decimal
    tax: Decimal | None
    gross: Decimal
    rounding: Rounding = USUAL


def line_amount(line: PaperLine, places: int) -> Decimal:
    """What a line comes to as it is priced: quantity × unit price - discount, half up. Money out.

    Raises NotAbove for a quantity of zero or a price below it; refuses a discount that is not between zero and the
    amount. Source: EN 16931-1, net amount of a line, from memory; its rounding to two decimals is BR-DEC-23.

    >>> line_amount(PaperLine("pouch", Decimal(2), Decimal("38.00"), discount=Decimal("1.00")), 2)
    Decimal('75.00')
    """
    if not line.quantity:
        raise NotAbove(f"The quantity of “{line.what}”", line.quantity, "enter how many", field="quantity")
    if line.unit_price < 0:
        raise NotAbove(
            f"The price of “{line.what}”", line.unit_price, "enter its price", field="unit_price", zero_too=True
        )
    whole = Fraction(line.quantity) * Fraction(line.unit_price)
    if not min(whole, Fraction(0)) <= Fraction(line.discount) <= max(whole, Fraction(0)):
        raise Refused(
            f"A discount of {line.discount} on “{line.what}” cannot be; enter 0 up to its amount of "
            f"{formats.figure(half_up(whole, places))}.",
            field="discount",
        )
    return half_up(whole - Fraction(line.discount), places)


def summary(lines: Sequence[PaperLine], mode: Mode, places: int = 2, rounding: Rounding = USUAL) -> Summary:
    """The totals of a paper by rate, each rounded once or the sum of rounded lines; the module says by which rule.

    Prices without tax: tax = taxable × rate ÷ 100. Prices with tax: net = gross ÷ (1 + rate ÷ 100), tax the rest.
    Refuses a rate while not registered (whoever writes tax on a paper owes it), none while registered, one below 0 %,
    prices with and without tax on one paper (a reader could not add its column up), and what `line_amount` refuses.

    >>> paper = [PaperLine("rug", Decimal(1), Decimal("100.00"), Decimal("25.5"), includes_tax=False)]
    >>> summary(paper, Mode.REGISTERED).rates
    (RateTotal(rate=Decimal('25.5'), taxable=Decimal('100.00'), tax=Decimal('25.50'), gross=Decimal('125.50'), relief=''),)
    >>> total = summary([PaperLine("rug", Decimal(1), Decimal("170.00"))], Mode.NOT_REGISTERED)
    >>> total.rates, total.tax, total.gross
    ((), None, Decimal('170.00'))
    """
    amounts = tuple(each_row(lines, lambda line: line_amount(line, places)))
    if mode is Mode.NOT_REGISTERED:
        each_row(lines, _refuse_taxed)
        total = half_up(sum(amounts, ZERO), places)
        return Summary(mode, amounts, (), total, None, total)
    _refuse_mixed(lines)
    parts: dict[tuple[Decimal, str], list[Decimal]] = defaultdict(list)
    for key, amount in zip(each_row(lines, key_of), amounts, strict=True):
        parts[key].append(amount)
    with_tax = any(line.includes_tax for line in lines)
    rates = []
    for (rate, relief), each in sorted(parts.items(), reverse=True):
        rounds = each if rounding.level is Level.LINE else [sum(each, ZERO)]
        found = [rounding.taxed(part, rate, places, includes_tax=with_tax) for part in rounds]
        net, vat = sum((part.net for part in found), ZERO), sum((part.vat for part in found), ZERO)
        rates.append(RateTotal(rate, net, vat, net + vat, relief))
    return of_rates(mode, amounts, rates, places, rounding)


def _refuse_taxed(line: PaperLine) -> None:
    if line.rate is not None:
        raise not_registered(line.what, line.rate)


def not_registered(what: str, rate: Decimal) -> Refused:
    return Refused(
        f"“{what}” carries {rate} % tax, but the workshop is not registered; take the rate off the line, or set the"
        " registration in Setup first.",
        field="rate",
    )


def key_of(line: PaperLine) -> tuple[Decimal, str]:
    if line.rate is None:
        raise Refused(
            f"“{line.what}” has no tax rate; enter the rate that applies, 0 with the reason if none is due.",
            field="rate",
        )
    refuse_rate(line.rate)
    return line.rate, line.relief


def _refuse_mixed(lines: Sequence[PaperLine]) -> None:
    first = {line.includes_tax: line.what for line in reversed(lines)}
    if len(first) > 1:
        raise Refused(
            f"“{first[True]}” is priced with tax and “{first[False]}” without; price all lines of one paper the same way.",
            field="includes_tax",
        )


def of_rates(
    mode: Mode, amounts: tuple[Decimal, ...], rates: Iterable[RateTotal], places: int = 2, rounding: Rounding = USUAL
) -> Summary:
    """The totals of a paper whose rates are known: their sums."""
    rates = tuple(rates)
    net = half_up(sum((rate.taxable for rate in rates), ZERO), places)
    tax = half_up(sum((rate.tax for rate in rates), ZERO), places)
    return Summary(mode, amounts, rates, net, tax, net + tax, rounding)


def mirrored(paper: Summary) -> Summary:
    """The summary of a full credit: every figure with its sign turned, so that paper and credit come to zero.

    >>> paper = summary([PaperLine("rug", Decimal(1), Decimal("39.90"))], Mode.NOT_REGISTERED)
    >>> mirrored(paper).gross
    Decimal('-39.90')
    """
    return Summary(
        paper.mode,
        tuple(_turned(amount) for amount in paper.amounts),
        tuple(-rate for rate in paper.rates),
        _turned(paper.net),
        None if paper.tax is None else _turned(paper.tax),
        _turned(paper.gross),
        paper.rounding,
    )


def _turned(amount: Decimal) -> Decimal:
    """The amount with its sign turned, and no negative zero."""
    return -amount if amount else amount


def added(rates: Iterable[RateTotal]) -> tuple[RateTotal, ...]:
    """Totals of lines or papers by rate, credits with their own sign, the highest rate first. No rounding left to do.

    >>> [sold] = summary([PaperLine("rug", Decimal(1), Decimal("62.75"), Decimal("25.5"))], Mode.REGISTERED).rates
    >>> added([sold, sold, -sold])[0].tax
    Decimal('12.75')
    """
    found: dict[tuple[Decimal, str], RateTotal] = {}
    for rate in rates:
        found[rate.key] = found[rate.key] + rate if rate.key in found else rate
    return tuple(sorted(found.values(), key=lambda rate: rate.key, reverse=True))


def rest(invoice: Summary, credits: Sequence[Summary]) -> Summary:
    """What is left of an invoice once its credits (their own sign, so negative) are taken off. `amounts` is empty.

    Credits of single lines are each rounded, so their tax may miss the invoice's by a coin; the last credit is
    `mirrored(rest(...))` and takes exactly what is left.

    >>> invoice = summary([PaperLine("rug", Decimal(1), Decimal("39.90"))], Mode.NOT_REGISTERED)
    >>> rest(invoice, [mirrored(invoice)]).gross
    Decimal('0.00')
    """
    papers = [invoice, *credits]
    if len({paper.mode for paper in papers}) > 1:
        raise ValueError("an invoice and its credits are written under one tax mode")
    taxes = [paper.tax for paper in papers if paper.tax is not None]
    return Summary(
        invoice.mode,
        (),
        added(rate for paper in papers for rate in paper.rates),
        sum((paper.net for paper in papers), ZERO),
        sum(taxes, ZERO) if taxes else None,
        sum((paper.gross for paper in papers), ZERO),
        invoice.rounding,
    )


def line_nets(lines: Sequence[PaperLine], paper: Summary, places: int = 2) -> list[Decimal]:
    """Each line's amount without tax, so that lines of a rate rounded once add up to it: what a paper prints.

    Prices without tax: the amounts themselves. Prices with tax: the taxable amount of the rate shared over its lines by
    their amounts, largest remainder; lines credited share apart from lines sold. Needed by UK VAT Regulations 1995
    reg. 14(1)(h).

    >>> paper = [PaperLine("a", Decimal(1), Decimal("1.00"), Decimal(24)), PaperLine("b", Decimal(1), Decimal("1.00"), Decimal(24))]
    >>> line_nets(paper, summary(paper, Mode.REGISTERED))
    [Decimal('0.80'), Decimal('0.81')]
    """
    if paper.mode is Mode.NOT_REGISTERED or not any(line.includes_tax for line in lines):
        return list(paper.amounts)
    nets = [half_up(ZERO, places)] * len(lines)
    for rate in paper.rates:
        for side, total in _sides(lines, paper, rate, places):
            parts = allocate(total, [abs(paper.amounts[place]) for place in side], places)
            for place, part in zip(side, parts, strict=True):
                nets[place] = part
    return nets


def _sides(lines: Sequence[PaperLine], paper: Summary, rate: RateTotal, places: int) -> list[tuple[list[int], Decimal]]:
    """Lines of a rate that are sold and those credited, each with its part of the taxable amount.

    The larger side is rounded and the smaller takes the rest, so that a credit mirrors its invoice line by line.
    """
    mine = [place for place, line in enumerate(lines) if key_of(line) == rate.key]
    sold = [place for place in mine if paper.amounts[place] > 0]
    back = [place for place in mine if paper.amounts[place] < 0]
    more, less = (sold, back) if rate.gross >= 0 else (back, sold)
    if not less:
        return [(more, rate.taxable)] if more else []
    amount = sum((paper.amounts[place] for place in more), ZERO)
    total = paper.rounding.taxed(amount, rate.rate, places, includes_tax=True).net
    return [(more, total), (less, rate.taxable - total)]


def net_unit_price(line: PaperLine, places: int = 4) -> Decimal:
    """The price of one without tax, which art. 226(8) of Directive 2006/112/EC wants on an invoice; half up.

    More places than money has, because EN 16931 lets a unit price carry them (no BR-DEC rule binds it).

    >>> net_unit_price(PaperLine("rug", Decimal(1), Decimal("185.00"), Decimal("25.5")))
    Decimal('147.4104')
    """
    if line.rate is None or not line.includes_tax:
        return half_up(line.unit_price, places)
    return half_up(Fraction(line.unit_price) / (1 + Fraction(line.rate) / 100), places)
