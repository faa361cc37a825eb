"""The workshop's own row: set up, choose the cost flow, close the books and open them again."""

from datetime import date, datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from inventory import money
from inventory.base import checks, locales, selectors as workshop, signals
from inventory.base.accounting.models import Closing, CostFlowChange
from inventory.base.identifiers import rules as identifiers
from inventory.base.languages import LANGUAGES
from inventory.base.models import BathUnit, CostFlow, Degrees, Measures, Reference, Sheet, Workshop
from inventory.base.services import service
from inventory.errors import Refused
from inventory.ledger import selectors as ledger
from inventory.ledger.models import Lot, Posting
from inventory.materials.models import Material
from inventory.permits import Act, Person, author

TEXTS = {
    **{"name": 80, "maker": 80, "postal_address": 200, "electronic_address": 120, "stand_in": 120, "tax_name": 20},
    "payment_name": 70,
}
CHOICES = {
    "bath_unit": (BathUnit.values, "measure of baths"),
    "degrees": (Degrees.values, "temperature scale"),
    "units": (Measures.values, "system of units"),
    "paper": (Sheet.values, "paper"),
    "paper_language": (tuple(LANGUAGES), "language of papers"),
    "reference": (Reference.values, "kind of payment reference"),
}


@service(Act.SETUP)
def set_up(
    *,
    by: Person = None,
    currency: str | None = None,
    cost_flow: str | None = None,
    time_zone: str | None = None,
    country: str | None = None,
    locale: str | None = None,
    deducts_tax: bool | None = None,
    iban: str | None = None,
    bic: str | None = None,
    **texts: str,
) -> Workshop:
    """Change what is given, keep the rest. The currency is fixed by the first entry of money; another `cost_flow` holds from
    today on.

    `bath_unit` and `degrees`: what baths and temperatures are entered and shown in; what is kept stays as it is. So are figures and
    days by the `locale`, whose name is refused when it is none; `units`, `paper` and `paper_language` are what forms and
    papers begin with.

    Texts: name, maker, postal_address, electronic_address, `tax_name`, `payment_name`: whose the account is, and `stand_in`: whom
    to call when the maker is ill. `iban` and `bic` are judged by their form; a BIC goes with an account.
    """
    row = _row()
    for name, value in texts.items():
        if name in CHOICES:
            known, what = CHOICES[name]
            setattr(row, name, checks.choice(value, known, what, field=name))
            continue
        what = name.replace("_", " ")
        setattr(row, name, checks.text(value, what, field=name, longest=TEXTS[name], needed=name == "name"))
    if time_zone is not None:
        row.time_zone = checks.zone(time_zone, field="time_zone")
    if country is not None:
        row.country = locales.country(country)
    if currency is not None and currency != row.currency:
        money.digits(currency)
        if ledger.has_any() or any(found for _, found in signals.money_sought.send(sender=Workshop)):
            raise Refused(
                f"The books are kept in {row.currency} and entries exist, so the currency stays. "
                "Start a new, empty workshop for another currency.",
                field="currency",
            )
        row.currency = currency
    if locale is not None:
        row.locale = locales.known(locale) if locale.strip() else ""
    if iban is not None:
        row.iban = identifiers.iban(iban)
    if bic is not None:
        row.bic = identifiers.bic(bic)
    if row.bic and not row.iban:
        raise Refused(f"The BIC {row.bic} says which bank, but no account: enter the IBAN, too.", field="iban")
    if deducts_tax is not None:
        row.deducts_tax = deducts_tax
    _keep(row)
    if cost_flow is not None and cost_flow != row.cost_flow:
        _change_cost_flow(row, cost_flow, workshop.today(), by)
    return row


@service(Act.SETUP)
def change_cost_flow(*, cost_flow: str, since: date, by: Person = None) -> Workshop:
    """Value stock by another method from a day on; what was posted before keeps its value.

    Raises Refused for a day of the closed period, one before the last change, and a method that holds already.
    """
    row = _row()
    if cost_flow == row.cost_flow:
        raise Refused(f"Stock is valued by {row.get_cost_flow_display().lower()} already.", field="cost_flow")
    _change_cost_flow(row, cost_flow, since, by)
    return row


@service(Act.SETUP)
def guess_time_zone(*, zone: str, by: Person = None) -> Workshop:
    """Take what the owner's device says its time zone is, unless one was chosen; a name that is none is passed over."""
    row = _row()
    if not row.time_zone and zone in checks.zones():
        row.time_zone = zone
        _keep(row)
    return row


def _row() -> Workshop:
    """The row as the database holds it now, to be written; what a request remembers of it is forgotten.

    Locked: it is saved whole, and two who change it at once would undo each other's change (books closed, then open again).
    """
    workshop.forget()
    return Workshop.objects.select_for_update().first() or Workshop(pk=1)


def _keep(row: Workshop) -> None:
    """Save it whole. A check between reading and writing may have read what was there before: that is forgotten, too."""
    row.save()
    workshop.forget()


def _change_cost_flow(row: Workshop, cost_flow: str, since: date, by: Person) -> None:
    """From average to first in, first out, what is on the shelf is spread over its lots by quantity; the total stays.

    Before the first posting there is nothing that another method was used for, and so no change to be kept.
    """
    checks.choice(cost_flow, CostFlow.values, "cost flow", field="cost_flow")
    # Locked before it is asked what was posted last: a posting that waits for its shelf is written under the new method.
    materials = list(Material.objects.select_for_update().order_by("pk"))
    last = Posting.objects.order_by("-pk").first()
    if last is not None:
        checks.day(since, field="cost_flow")
        before = CostFlowChange.objects.order_by("pk").last()
        if before is not None and since < before.since:
            raise Refused(
                f"The method was changed on {before.since} already, so the next change is of that day or later.",
                field="since",
            )
        CostFlowChange.objects.create(
            since=since, was=row.cost_flow, cost_flow=cost_flow, after=last, written_by=author(by)
        )
    for material in materials:
        lots = list(ledger.open_lots(material).select_for_update())
        values: list[Decimal] = [Decimal(0)] * len(lots)
        if cost_flow == CostFlow.FIFO and lots:
            values = money.allocate(material.value, [lot.quantity for lot in lots], money.digits(row.currency))
        for lot, value in zip(lots, values, strict=True):
            lot.value = value
        Lot.objects.bulk_update(lots, ["value"])
    row.cost_flow = cost_flow
    _keep(row)


@service(Act.SETUP)
def end_first_steps(*, by: Person = None) -> Workshop:
    """Today shows a newcomer's list no more: a first price is set, the maker put it away, or a folder was loaded."""
    row = _row()
    row.first_steps_over = True
    _keep(row)
    return row


@service(Act.BOOKS)
def close_books(*, to: date | None, reason: str = "", by: Person = None) -> Workshop:
    """Nothing is posted on or before `to` from now on; an earlier day, or None, opens the books again, for a reason.

    Each change is kept with who made it and when.
    """
    if to is not None:
        checks.day(to, field="to", posts=False)
    row = _row()
    last = Closing.objects.order_by("pk").last()
    if to != (last.to if last else None):
        person = author(by)
        _log(timezone.now(), person.get_username() if person else "", last.to if last else row.closed_to, to, reason)
    row.closed_to = to
    _keep(row)
    return row


@service(Act.BOOKS)
def bring_closing(
    *, at: datetime, who: str, was: date | None, to: date | None, reason: str, by: Person = None
) -> Closing:
    """Keep a closing of books that were kept elsewhere, in its order. It closes nothing: `close_books` does that."""
    last = Closing.objects.order_by("pk").last()
    if last is not None and (at < last.at or was != last.to):
        raise Refused(
            f"The closing before it is of {last.at:%Y-%m-%d %H:%M} and leaves {last}. Closings are in their order, and each "
            "begins as the one before it left the books.",
            field="at" if at < last.at else "was",
        )
    return _log(at, checks.text(who, "The name", field="who", longest=150), was, to, reason)


def _log(at: datetime, who: str, was: date | None, to: date | None, reason: str) -> Closing:
    closing = Closing(at=at, who=who, was=was, to=to)
    closing.reason = checks.text(reason, "The reason", field="reason", longest=200)
    if closing.opened and not closing.reason:
        raise Refused(
            f"This opens days again that are closed to {was}. Say why: the reason is kept beside the day and the name.",
            field="reason",
        )
    closing.save()
    return closing


@service(Act.SETUP)
def pin_today(*, on: date | None, by: Person = None) -> Workshop:
    """Stand the calendar still on a day (a demonstration), or let it run again with None."""
    if on is not None:
        # A calendar set to its own end would leave no day to look ahead to, and no page to set it right on.
        latest = timezone.localdate() + timedelta(days=checks.PLAN_DAYS)
        if not checks.OLDEST <= on <= latest:
            raise Refused(f"The date can be fixed between {checks.OLDEST} and {latest}, not on {on}.", field="on")
    row = _row()
    row.today = on
    _keep(row)
    return row
