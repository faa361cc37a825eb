"""The files of selling and their columns: customers, jobs, fairs, papers, money, hours, moves; and the keys of the terms."""

from __future__ import annotations

from costing.models import Expense, Payment, Sale, SaleLine, Series, SideHours
from costing.sell.sales.numbering.services import MOST_DIGITS
from costing.sell.sales.terms.services import LAWS, LONGEST_DAYS
from inventory.models import Move
from inventory.places.moves.services import BY_HAND
from workshop.exchange.columns import (
    HELD_DECIMALS,
    MOST_DECIMALS,
    Column,
    choice,
    code,
    day,
    number,
    tags,
    text,
    whole,
    yes_no,
)
from workshop.exchange.table import Table, seq

_note = Column("note", text(200), empty="")


_money = number(decimals=HELD_DECIMALS, zero=True)


_above_nothing = number(decimals=HELD_DECIMALS)


_place = Column("place", text(60), empty="")


_sale = Column("sale", code, empty="")


_article = Column("article", code, empty="")


_job = Column("job", code, empty="")


_skin = Column("skin", code, empty="")


_fair = Column("fair", text(100), empty="")


_taken_back = Column("taken_back", day)


TERMS: dict[str, Column] = {
    column.name: column
    for column in (
        Column("tax_number", text(40)),
        Column("business_number", text(40)),
        Column("law", choice(LAWS)),
        Column("short_limit", _above_nothing),
        Column("prices_with_tax", yes_no),
        Column("untaxed_words", text(120)),
        Column("payment_days", whole(most=LONGEST_DAYS)),
        Column("payment_words", text(200)),
        Column("deposit_percent", number(decimals=HELD_DECIMALS, zero=True)),
        Column("storage_free_days", whole(most=LONGEST_DAYS)),
        Column("storage_per_day", _money),
        Column("turnover_limit", _above_nothing),
        Column("rolling", yes_no),
        *(Column(f"{kind}_prefix", text(8)) for kind in Series.Kind.values),
        *(Column(f"{kind}_digits", whole(least=1, most=MOST_DIGITS)) for kind in Series.Kind.values),
    )
}


_CUSTOMERS = Table(
    "customers.csv",
    "customers",
    (
        Column("name", text(80), needed=True),
        Column("postal_address", text(200), empty=""),
        Column("electronic_address", text(120), empty=""),
        Column("tax_number", text(40), empty=""),
        _note,
    ),
    key=("name",),
)


_JOBS = Table(
    "jobs.csv",
    "jobs",
    (
        Column("job", code, needed=True),
        Column("customer", text(80), needed=True),
        Column("skin", code, needed=True),
        Column("taken_on", day, needed=True),
        Column("work", text(200), needed=True),
        Column("condition", text(500), empty=""),
        Column("price", _money, needed=True),
        Column("deposit", _money, empty=0),
        Column("ready_by", day),
        Column("ready_on", day),
        Column("given_up_on", day),
        Column("given_up_why", text(200), empty=""),
        Column("given_back", yes_no, empty=False),
        _note,
    ),
    key=("job",),
    fields={"number": "job", "on": "ready_on", "reason": "given_up_why"},
)


_FAIRS = Table(
    "fairs.csv",
    "fairs",
    (
        Column("name", text(80), needed=True),
        Column("date", day, needed=True),
        _place,
        Column("stall_minutes", number(decimals=HELD_DECIMALS, zero=True), empty=0),
        Column("pieces", tags, empty=()),
        Column("closed_on", day),
        Column("back", tags, empty=()),
        _note,
    ),
    key=("name", "date"),
    fields={"on": "date"},
    joint=" ",
)


_SALES = Table(
    "sales.csv",
    "sale lines",
    (
        Column("sale", code, needed=True),
        Column("kind", choice(Sale.Kind.values), empty=Sale.Kind.SALE.value),
        Column("date", day),
        Column("issued_on", day),
        Column("customer", text(80), empty=""),
        Column("channel", text(60), empty=""),
        _fair,
        Column("credits", code, empty=""),
        Column("reason", text(200), empty=""),
        Column("back_to", text(60), empty=""),
        _note,
        Column("line", choice(SaleLine.Kind.values), empty=""),
        _article,
        _job,
        _skin,
        Column("words", text(200), empty=""),
        Column("quantity", number(decimals=HELD_DECIMALS), empty=1),
        Column("asked", _money),
        Column("discount", _money, empty=0),
        Column("tax_percent", number(decimals=HELD_DECIMALS, zero=True)),
        Column("relief", text(120), empty=""),
        Column("of_line", whole(least=1)),
        Column("off", _above_nothing),
        Column("book", _money),
        Column("full", _money),
        Column("own_minutes", number(decimals=MOST_DECIMALS, zero=True)),
        seq(),
    ),
    key=("sale",),
    fields={"on": "date", "items": "sale", "box": "sale", "lines": "of_line", "amount": "off"},
)


_PARTIES = (
    Column("seller_name", text(200), empty=""),
    Column("seller_address", text(200), empty=""),
    Column("seller_electronic", text(120), empty=""),
    Column("seller_tax_number", text(40), empty=""),
    Column("seller_business_number", text(40), empty=""),
    Column("seller_untaxed_words", text(120), empty=""),
    Column("seller_payment_words", text(200), empty=""),
    Column("buyer_name", text(80), empty=""),
    Column("buyer_address", text(200), empty=""),
    Column("buyer_electronic", text(120), empty=""),
    Column("buyer_tax_number", text(40), empty=""),
)


_PAPERS = Table(
    "papers.csv",
    "issued papers",
    (
        Column("sale", code, needed=True),
        *_PARTIES,
        Column("taxed", yes_no, empty=False),
        Column("prices_with_tax", yes_no, empty=True),
        Column("due_on", day),
    ),
    key=("sale",),
)


_PAYMENTS = Table(
    "payments.csv",
    "payments",
    (
        Column("receipt", code, needed=True),
        Column("date", day, needed=True),
        Column("amount", number(decimals=HELD_DECIMALS, signed=True), needed=True),
        Column("how", choice(Payment.How.values), empty=Payment.How.CASH.value),
        _sale,
        _job,
        Column("takes_back", code, empty=""),
        _note,
        seq(),
    ),
    key=("receipt",),
    fields={"on": "date"},
)


_RECEIPTS = Table(
    "receipts.csv",
    "issued receipts",
    (Column("receipt", code, needed=True), *_PARTIES, Column("work", text(200), empty=""), Column("agreed", _money)),
    key=("receipt",),
)


_EXPENSES = Table(
    "expenses.csv",
    "expenses",
    (
        Column("date", day, needed=True),
        Column("kind", choice(Expense.Kind.values), needed=True),
        Column("amount", _above_nothing, needed=True),
        Column("words", text(200), empty=""),
        _sale,
        _fair,
        Column("withheld", yes_no, empty=False),
        _taken_back,
        seq(),
    ),
    fields={"on": "date"},
)


_HOURS = Table(
    "hours.csv",
    "side hours",
    (
        Column("date", day, needed=True),
        Column("kind", choice(SideHours.Kind.values), needed=True),
        Column("minutes", number(decimals=HELD_DECIMALS), needed=True),
        Column("words", text(80), empty=""),
        _taken_back,
        seq(),
    ),
    fields={"on": "date"},
)


_MOVES = Table(
    "moves.csv",
    "moves",
    (
        Column("date", day, needed=True),
        _article,
        _skin,
        Column("material", code, empty=""),
        Column("why", choice((Move.Why.MOVED.value, *(why.value for why in BY_HAND))), empty=Move.Why.MOVED.value),
        Column("to", text(60), empty=""),
        _note,
        seq(),
    ),
    fields={"on": "date"},
)


SELLING = ("sales.csv", "payments.csv", "expenses.csv", "hours.csv", "moves.csv")


SELLING_TABLES = (_CUSTOMERS, _JOBS, _FAIRS, _SALES, _PAPERS, _PAYMENTS, _RECEIPTS, _EXPENSES, _HOURS, _MOVES)
