"""Skins: taken in, described, moved. Their cost and their stay in batches are written upstairs."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory import units
from inventory.base import bought, checks, signals
from inventory.base.models import How
from inventory.base.services import service
from inventory.errors import Refused
from inventory.permits import Act, Person
from inventory.places import services as places
from inventory.places.models import Place
from inventory.skins.models import Skin
from inventory.suppliers.models import Supplier


@dataclass(frozen=True)
class Details:
    """What is known of a skin. Weight in grams, areas in cm2, and the units in which they were told; price 0 for a customer's
    skin.

    `with_tax`: the price has the tax at `tax_percent` in it, which is deducted. `tax`: that tax as it is known, beside it. Both,
    like the original sum, are said when it comes in and stay. `opening`: it was there when the books began. Its price is then all
    that it had cost in money, and `minutes_before` the maker's own work in it; neither belongs to the year in which it is entered.
    """

    species: str
    date_in: date
    owner: str = Skin.Owner.MINE
    price: Decimal = Decimal(0)
    green_weight: Decimal | None = None
    sex_age: str = ""
    customer: str = ""
    supplier: Supplier | None = None
    source: str = ""
    origin: str = ""
    place: Place | None = None
    defects: str = ""
    wet_area: Decimal | None = None
    dry_area: Decimal | None = None
    dry_weight: Decimal | None = None
    weight_unit: str = "kg"
    area_unit: str = "dm2"
    how: str = ""
    tax_percent: Decimal | None = None
    with_tax: bool = False
    tax: Decimal | None = None
    original_sum: Decimal | None = None
    original_currency: str = ""
    opening: bool = False
    minutes_before: Decimal = Decimal(0)


@service(Act.SHED, makes=Skin)
def take_in(*, tag: str, details: Details, by: Person = None, request_key: str | None = None) -> Skin:
    """Register a skin under a tag that nobody has."""
    skin = Skin(tag=checks.new_code(tag, "The tag", Skin, field="tag"))
    checks.day(details.date_in, field="date_in")
    _describe(skin, details)
    skin.tax_percent = details.tax_percent
    skin.price = bought.taken_out(skin, _price(details), details.tax, with_tax=details.with_tax)
    bought.say_foreign(skin, skin.price + skin.tax, details.original_sum, details.original_currency)
    skin.how = checks.choice(details.how, ["", *How.values], "way to pay", field="how")
    skin.opening, skin.minutes_before = details.opening, _before(details)
    skin.date_in, skin.place = details.date_in, details.place
    skin.save()
    return skin


@service(Act.SHED)
def describe(*, skin: Skin, details: Details, by: Person = None) -> Skin:
    """Say it better. Price, owner and day of arrival are fixed: they are in the books from the day it came.

    Where it is changes by `services.moves` alone, so that its places are known day by day.
    """
    row = Skin.objects.select_for_update().get(pk=skin.pk)
    if (details.price, details.owner, details.date_in) != (row.price, row.owner, row.date_in):
        raise Refused(
            "Price, owner and day of arrival of a skin are in the books and stay as they were written.", field="price"
        )
    places.stays_put(row, details.place)
    _describe(row, details)
    row.save()
    signals.described.send(sender=Skin, skin=row)
    return row


def set_stage(
    skin: Skin, stage: str, *, lost_on: date | None = None, lost_reason: str = "", lost_at_step: str = ""
) -> None:
    """For the services upstairs, inside their own transaction: where the skin stands now. A loss begins written off."""
    skin.stage, skin.lost_on, skin.lost_reason = stage, lost_on, lost_reason
    skin.lost_at_step, skin.loss_spread = lost_at_step, False
    skin.save(update_fields=["stage", "lost_on", "lost_reason", "lost_at_step", "loss_spread"])


def set_spread(skin: Skin, spread: bool) -> None:
    """For the services upstairs: whether the others bear the loss of this skin."""
    skin.loss_spread = spread
    skin.save(update_fields=["loss_spread"])


def set_area(skin: Skin, area: Decimal | None, *, wet: bool) -> None:
    """For the services upstairs, inside their own transaction, on a locked row: its area in cm2 as it was measured; None: none."""
    name = "wet_area" if wet else "dry_area"
    setattr(skin, name, checks.measured(area, f"The {name.replace('_', ' ')}", field=name))
    skin.save(update_fields=[name])
    signals.described.send(sender=Skin, skin=skin)


def lock(tags: list[str]) -> list[Skin]:
    """Skins by tag, locked in id order, answered in the order asked; a tag that does not exist is refused by name."""
    found = {
        skin.tag: skin for skin in Skin.objects.select_for_update(of=("self",)).filter(tag__in=tags).order_by("pk")
    }
    missing = [tag for tag in tags if tag not in found]
    if missing:
        raise Refused(f"No skin has the tag {', '.join(missing)}. Add it first, or check the tag.", field="skins")
    return [found[tag] for tag in tags]


def _price(details: Details) -> Decimal:
    price = checks.coins(details.price, "The price", field="price")
    if details.owner == Skin.Owner.CUSTOMER and price:
        raise Refused(
            "A customer's skin is not stock, so it has no price here. Leave the price empty, or make the skin your own.",
            field="price",
        )
    return price


def _before(details: Details) -> Decimal:
    minutes = checks.not_negative(details.minutes_before, "The minutes", field="minutes_before")
    checks.held(minutes, field="minutes_before")
    if minutes and not details.opening:
        raise Refused(
            "Minutes from before the books began are of a skin that was there then. Log other work where it was done.",
            field="minutes_before",
        )
    return minutes


def _describe(skin: Skin, details: Details) -> None:
    skin.owner = checks.choice(details.owner, Skin.Owner.values, "owner", field="owner")
    skin.species = checks.text(details.species, "The species", field="species", longest=60, needed=True)
    skin.sex_age = checks.text(details.sex_age, "Sex and age", field="sex_age", longest=40)
    skin.customer = checks.text(details.customer, "The customer", field="customer", longest=80)
    skin.source = checks.text(details.source, "The source", field="source", longest=200)
    skin.origin = checks.text(details.origin, "The origin", field="origin", longest=60)
    skin.defects = checks.text(details.defects, "The defects", field="defects", longest=300)
    skin.supplier = details.supplier
    for name in ("green_weight", "dry_weight", "wet_area", "dry_area"):
        setattr(skin, name, checks.measured(getattr(details, name), f"The {name.replace('_', ' ')}", field=name))
    for name, what, base in (("weight_unit", "weight", "g"), ("area_unit", "area", "cm2")):
        unit = units.canonical(getattr(details, name))
        if units.metric_of(unit) != base:
            raise Refused(f"{units.label(unit)} does not measure {what}; choose a unit that does.", field=name)
        setattr(skin, name, unit)
