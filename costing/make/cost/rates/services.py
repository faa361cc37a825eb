"""Rates: what an hour, an overhead hour and a lacing cost from a day on. What is finished keeps the rates it was frozen with."""

from datetime import date
from decimal import Decimal

from costing.make.cost.models import ArticleCost
from costing.make.cost.rates import rules as rates, selectors as rates_read
from costing.make.cost.rates.models import EVER, Rates
from costing.make.cost.rates.signals import changed
from inventory.base import checks, selectors as workshop_read
from inventory.base.checks import coins
from inventory.base.services import service
from inventory.errors import Refused
from inventory.permits import Act, Person

MONEY = {
    "wage_per_hour": "The wage",
    "overhead_per_hour": "The overhead",
    "frame_wear": "The frame wear",
    "price_step": "The price step",
}

FIGURES = (*MONEY, "vat_percent")


@service(Act.SETUP, makes=Rates)
def set_rates(
    *,
    since: date = EVER,
    by: Person = None,
    vat_percent: Decimal | None = None,
    request_key: str | None = None,
    **amounts: Decimal,
) -> Rates:
    """From a day on (`EVER`: for all days before others begin) change what is given; the rest stays as it was that day.

    wage_per_hour, overhead_per_hour, frame_wear, price_step are money. The first rates of a workshop hold for all days
    before too. Those of the same day are replaced; where a piece was finished with them, they stay beside the new ones.
    Raises Refused for a day of the closed period: what was told of it stands.
    """
    figures = {name: coins(value, MONEY[name], field=name) for name, value in amounts.items()}
    if vat_percent is not None:
        figures["vat_percent"] = _tax(vat_percent)
    begins = _begins(since)
    row = _to_write(begins)
    for name, value in figures.items():
        setattr(row, name, value)
    row.save()
    changed.send(sender=Rates)
    return row


@service(Act.SETUP)
def clear(*, by: Person = None) -> None:
    """Take all away, before anything is reckoned with them: for a folder that brings its own into an empty workshop."""
    if ArticleCost.objects.exists():
        raise Refused("Pieces were finished at these rates. Let others hold from a day instead.", field="since")
    Rates.objects.all().delete()


def told(on: date, **amounts: Decimal | None) -> rates.Rates:
    """The rates of a day, but for those that are told otherwise: wage_per_hour, overhead_per_hour, frame_wear."""
    row = rates_read.at(on)
    given = {name: coins(value, MONEY[name], field=name) for name, value in amounts.items() if value is not None}
    return rates.Rates(
        *(given.get(name, getattr(row, name)) for name in ("wage_per_hour", "overhead_per_hour", "frame_wear"))
    )


def _tax(percent: Decimal) -> Decimal:
    checks.held(checks.not_negative(percent, "The tax rate", field="vat_percent"), field="vat_percent")
    if percent > 100:
        raise Refused(f"A tax rate of {percent} % is not believable.", field="vat_percent")
    return percent


def _begins(since: date) -> date:
    """The day, once it may be written. Nothing was reckoned with no rates at all, so the first ones hold for ever before."""
    closed_to = workshop_read.current().closed_to
    if closed_to is not None and since <= closed_to:
        raise Refused(
            f"The books are closed to {closed_to}, and what they tell of overheads stands. Let the rates hold from a later "
            "day, or open the books.",
            field="since",
        )
    if since != EVER:
        checks.day(since, field="since", plan=True)
    return since if closed_to is not None or Rates.objects.exists() else EVER


def _to_write(begins: date) -> Rates:
    """The row of that day itself while nothing is frozen with it, else a new one that begins as what held that day."""
    rows = Rates.objects.select_for_update().order_by("since", "pk")
    there = rates_read.History(tuple(rows)).at(begins)
    if there.pk is not None and there.since == begins and not _frozen(there):
        return there
    return Rates(since=begins, **{name: getattr(there, name) for name in FIGURES})


def _frozen(row: Rates) -> bool:
    """Whether a piece was finished with these very rates while they held."""
    until = next((held.until for held in rates_read.history().held() if held.row.pk == row.pk), None)
    made = ArticleCost.objects.filter(
        article__finished_on__gte=row.since,
        wage_per_hour=row.wage_per_hour,
        overhead_per_hour=row.overhead_per_hour,
        frame_wear=row.frame_wear,
    )
    return (made if until is None else made.filter(article__finished_on__lte=until)).exists()
