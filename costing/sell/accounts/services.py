"""What was in an account on a day, and money moved between accounts, put in or taken out by the maker."""

from datetime import date
from decimal import Decimal

from costing.sell.accounts.models import ACCOUNTS, OpeningBalance, Transfer
from inventory.base import checks, selectors as workshop, services as entries
from inventory.base.services import service
from inventory.errors import Refused
from inventory.money import half_up
from inventory.permits import Act, Person, author


@service(Act.BOOKS, makes=OpeningBalance)
def open_account(
    *, account: str, on: date, amount: Decimal, by: Person = None, request_key: str | None = None
) -> OpeningBalance:
    """What was in an account before the first entry of a day; said again, it replaces what was said. Below zero: overdrawn."""
    checks.choice(account, ACCOUNTS, "account", field="account")
    checks.day(on)
    checks.sized(amount, "The balance", field="amount")
    if amount != half_up(amount, workshop.places()):
        raise Refused(f"The balance {amount} is finer than the smallest coin. Enter it to the cent.", field="amount")
    row = OpeningBalance.objects.filter(account=account).first() or OpeningBalance(account=account)
    row.on, row.amount = on, amount
    row.save()
    return row


@service(Act.BOOKS, makes=Transfer)
def move(
    *,
    amount: Decimal,
    on: date,
    source: str = "",
    target: str = "",
    words: str = "",
    by: Person = None,
    request_key: str | None = None,
) -> Transfer:
    """Money from one account to another; an empty one stands for the maker's own purse. It is neither income nor cost."""
    checks.day(on)
    checks.positive(checks.coins(amount, "The amount", field="amount"), "The amount", field="amount")
    for name, account in (("source", source), ("target", target)):
        checks.choice(account, ["", *ACCOUNTS], "account", field=name)
    if source == target:
        raise Refused("Money moves from one place to another. Choose two that differ.", field="target")
    words = checks.text(words, "The words", field="words", longest=200)
    return Transfer.objects.create(
        amount=amount, on=on, source=source, target=target, words=words, written_by=author(by)
    )


@service(Act.BOOKS, makes=Transfer)
def reverse(
    *, transfer: Transfer, on: date | None = None, by: Person = None, request_key: str | None = None
) -> Transfer:
    """Money that never moved."""
    return entries.reverse(transfer, _mirrored, already="This is reversed already.", on=on, writer=author(by))


def _mirrored(row: Transfer, on: date) -> Transfer:
    return Transfer(on=on, amount=-row.amount, source=row.source, target=row.target, words=row.words)
