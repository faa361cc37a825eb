"""What an invoice, a credit note or a receipt over the counter must carry before it may be issued, by tax mode and by whose law.

Owns the list of required fields with its sources, and says what is missing. Must not know a database, a page or a
printer. It helps a maker not to forget, and is no advice: local law decides, and such lists change.

Sources. EU: Directive 2006/112/EC art. 226 (full), 220a and 226b (simplified), 219 (corrections). UK: VAT Regulations
1995 (SI 1995/2518) reg. 14(1) as amended, 16A (simplified, as it stood on 1 January 2020), 15C (credit notes; its list
for debit notes was read, that the one for credit notes asks for the same is from memory). What nobody fixes is marked
PRACTICE. Up to which amount an invoice may be simplified is the maker's own setting, because
countries differ: at least 100 EUR in the EU (art. 220a(1)(a)), 250 GBP in the UK (reg. 16A).
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from operator import attrgetter

from costing.make.errors import some
from costing.sell.sales.tax.rules import Mode, PaperLine, Summary
from inventory.errors import Refused

PRACTICE = "common practice, no source"
NO_TAX_WORDS = "No tax is charged: the seller is not registered for it."
REVERSE_CHARGE_WORDS = "Reverse charge"


class Kind(StrEnum):
    """What a paper is."""

    INVOICE = "invoice"
    SIMPLIFIED = "simplified invoice"
    CREDIT = "credit note"


class Law(StrEnum):
    """Whose list of fields binds a registered seller."""

    EU = "EU"
    UK = "UK"
    US = "US"


@dataclass(frozen=True)
class Party:
    """Seller or buyer, as printed. `tax_number` only where there is one."""

    name: str = ""
    address: str = ""
    tax_number: str = ""


@dataclass(frozen=True)
class Paper:
    """All that a paper says. `supplied_on` None means the day of issue.

    A credit note names the invoice it `corrects` and that invoice's day.
    """

    kind: Kind
    number: str = ""
    issued_on: date | None = None
    supplied_on: date | None = None
    seller: Party = Party()
    buyer: Party = Party()
    lines: tuple[PaperLine, ...] = ()
    summary: Summary | None = None
    corrects: str = ""
    corrects_on: date | None = None
    reason: str = ""
    note: str = ""
    reverse_charge: bool = False


def _art(point: str) -> str:
    return f"Directive 2006/112/EC art. {point}"


def _reg(point: str) -> str:
    return f"UK VAT Regulations 1995 reg. {point}"


@dataclass(frozen=True)
class Duty:
    """A required field of some kinds of paper, and what to enter in it. `eu` and `uk` name the rule for a registered seller,
    `plain` for another.

    An empty source means that nobody asks for it there.
    """

    kinds: tuple[Kind, ...]
    field: str
    says: str
    eu: str = ""
    uk: str = ""
    plain: str = ""

    def source(self, kind: Kind, mode: Mode, law: Law) -> str:
        """Who asks for this field on such a paper; empty for nobody."""
        if kind not in self.kinds:
            return ""
        if mode is Mode.NOT_REGISTERED:
            return self.plain
        if law is Law.EU:
            return self.eu
        if law is Law.US:
            # No statute lists the fields: what is usual, and no words that no tax is charged.
            return "" if self.field == "note" else self.plain
        # A credit note has a list of its own there; the Union treats it as an invoice (art. 219).
        return _reg("15C") if kind is Kind.CREDIT and self.uk.startswith(_reg("")) else self.uk


# How a field is seen to be filled that needs more than to be there.
_FILLED: dict[str, Callable[[Paper], bool]] = {
    "buyer.tax_number": lambda paper: bool(paper.buyer.tax_number.strip()) or not paper.reverse_charge,
    "lines": lambda paper: bool(paper.lines) and all(line.what.strip() for line in paper.lines),
    "rates": lambda paper: paper.summary is not None and bool(paper.summary.rates),
    "total": lambda paper: paper.summary is not None,
    "relief": lambda paper: paper.reverse_charge or all(line.relief.strip() for line in paper.lines if line.rate == 0),
    "reverse_charge": lambda paper: not paper.reverse_charge or REVERSE_CHARGE_WORDS.lower() in paper.note.lower(),
}


def _filled(paper: Paper, field: str) -> bool:
    if judge := _FILLED.get(field):
        return judge(paper)
    value = attrgetter(field)(paper)
    return bool(value.strip() if isinstance(value, str) else value)


_INVOICE = (Kind.INVOICE,)
_FULL = (Kind.INVOICE, Kind.CREDIT)
_SHORT = (Kind.SIMPLIFIED,)
_SOLD = (*_FULL, *_SHORT)
_CREDIT = (Kind.CREDIT,)

DUTIES = (
    Duty(_FULL, "number", "its number", _art("226(2)"), _reg("14(1)(a)"), PRACTICE),
    Duty(_FULL, "issued_on", "the invoice date", _art("226(1)"), _reg("14(1)(c)"), PRACTICE),
    Duty(_INVOICE, "supplied_on", "the date of supply", "", _reg("14(1)(b)")),
    Duty(_FULL, "seller.name", "your name", _art("226(5)"), _reg("14(1)(d)"), PRACTICE),
    Duty(_FULL, "seller.address", "your address", _art("226(5)"), _reg("14(1)(d)"), PRACTICE),
    Duty(_FULL, "seller.tax_number", "your tax number", _art("226(3)"), _reg("14(1)(d)")),
    Duty(_FULL, "buyer.name", "the buyer's name", _art("226(5)"), _reg("14(1)(e)"), PRACTICE),
    Duty(_FULL, "buyer.address", "the buyer's address", _art("226(5)"), _reg("14(1)(e)")),
    Duty(_FULL, "buyer.tax_number", "the buyer's tax number", _art("226(4)")),
    Duty(_FULL, "lines", "what was sold and how many", _art("226(6)"), _reg("14(1)(g), (h)"), PRACTICE),
    Duty(_FULL, "rates", "the amounts by tax rate", _art("226(8) to (10)"), _reg("14(1)(h), (i), (l)")),
    Duty(_FULL, "relief", "why no tax is due at 0 %", _art("226(11)")),
    Duty(_INVOICE, "reverse_charge", f"the words “{REVERSE_CHARGE_WORDS}”", _art("226(11a)"), _reg("14(1)(o)")),
    Duty(_CREDIT, "reverse_charge", f"the words “{REVERSE_CHARGE_WORDS}”", _art("226(11a)")),
    Duty(_SHORT, "number", "its number", PRACTICE, PRACTICE, PRACTICE),
    Duty(_SHORT, "issued_on", "the invoice date", _art("226b(a)"), PRACTICE, PRACTICE),
    Duty(_SHORT, "supplied_on", "the date of supply", "", _reg("16A")),
    Duty(_SHORT, "seller.name", "your name", _art("226b(b)"), _reg("16A"), PRACTICE),
    Duty(_SHORT, "seller.address", "your address", "", _reg("16A"), PRACTICE),
    Duty(_SHORT, "seller.tax_number", "your tax number", PRACTICE, _reg("16A")),
    Duty(_SHORT, "lines", "what was sold", _art("226b(c)"), _reg("16A"), PRACTICE),
    Duty(_SHORT, "rates", "the total and its tax rates", _art("226b(d)"), _reg("16A")),
    Duty(_SOLD, "total", "the total", plain=PRACTICE),
    Duty(_SOLD, "note", "words that no tax is charged", plain=PRACTICE),
    Duty(_CREDIT, "corrects", "the number of the invoice it changes", _art("219"), _reg("15C"), PRACTICE),
    Duty(_CREDIT, "corrects_on", "the day of the invoice it changes", "", _reg("15C")),
    Duty(_CREDIT, "reason", "why it is credited", PRACTICE, PRACTICE, PRACTICE),
)


def missing(paper: Paper, mode: Mode, law: Law = Law.EU) -> list[Duty]:
    """Each field that the paper still needs, in the order of the list; empty when it may be issued.

    A seller who is not registered needs less, and words that no tax is charged (`NO_TAX_WORDS` serve, if local law has
    no others). `ValueError` when the paper's totals were worked out under another tax mode: that is a fault in the
    program, not in the paper.

    >>> [duty.field for duty in missing(Paper(Kind.SIMPLIFIED, number="S-001", seller=Party("K. Routamo")), Mode.NOT_REGISTERED)]
    ['issued_on', 'seller.address', 'lines', 'total', 'note']
    """
    if paper.summary is not None and paper.summary.mode is not mode:
        raise ValueError(f"the totals of {paper.number or 'the paper'} are of mode {paper.summary.mode}, not {mode}")
    return [duty for duty in DUTIES if duty.source(paper.kind, mode, law) and not _filled(paper, duty.field)]


def refuse_incomplete(paper: Paper, mode: Mode, law: Law = Law.EU) -> None:
    """Unless the paper may be issued, refuse it, naming what is missing; `field` is the first of it."""
    if found := missing(paper, mode, law):
        needs = some([field.says for field in found])
        raise Refused(f"The {paper.kind} cannot be issued yet; it still needs: {needs}.", field=found[0].field)


def may_be_simplified(gross: Decimal, limit: Decimal | None, *, correction: bool = False) -> bool:
    """Whether a short form is allowed: its total with tax does not exceed the maker's limit; None for no short form.

    In the EU a paper that corrects an invoice may be short whatever it comes to (art. 220a(1)(b)): `correction`.
    Sources: Directive 2006/112/EC art. 220a(1), “not higher than”; UK reg. 16A, “does not exceed”.

    >>> may_be_simplified(Decimal("100.00"), Decimal(100)), may_be_simplified(Decimal("100.01"), Decimal(100))
    (True, False)
    """
    return limit is not None and (correction or abs(gross) <= limit)
