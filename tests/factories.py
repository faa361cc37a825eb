"""Small makers of records for the tests. Everything goes through the services, so a test starts from what could really be.

Each call makes its own records; give only what the test speaks of.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import count
from typing import Any

from django.contrib.auth.models import Group, User

from costing.make.batches import services as batches
from costing.make.batches.issues import services as issues_services
from costing.make.finishing import services as finishing
from costing.make.labour import services as labour
from costing.make.recipes import services as recipes
from costing.make.recipes.models import TaskKind
from costing.models import Batch, Channel, Customer, Job, LabourLine, RecipeVersion, Sale, Use
from costing.sell.customers import services as customers
from costing.sell.jobs import services as jobs
from costing.sell.pricing.channels import services as channels
from costing.sell.sales import services as selling
from costing.sell.sales.offers.services import Item
from costing.sell.sales.terms import services as terms
from inventory.articles.services import Piece
from inventory.base import selectors as workshops
from inventory.base.accounting import services as workshop
from inventory.deliveries import services as deliveries
from inventory.ledger import services as ledger
from inventory.materials import services as materials
from inventory.models import Article, Delivery, Kind, Material, Place, Posting, Skin, Supplier
from inventory.places import services as places
from inventory.skins import services as skins
from inventory.suppliers import services as suppliers

DAY = date(2025, 3, 4)
_next = count(1)


def days_from(start: date) -> Callable[[int], date]:
    """The days of a test, counted from its first: `day = days_from(START)`, then `day(3)`."""
    return lambda nth: start + timedelta(days=nth)


def owner(name: str = "owner") -> User:
    """A superuser; made once per name."""
    return User.objects.filter(username=name).first() or User.objects.create_superuser(name)


def person(role: str) -> User:
    """Somebody with one role: owner, helper or bookkeeper."""
    user = User.objects.create_user(f"{role}{next(_next)}")
    user.groups.add(Group.objects.get_or_create(name=role)[0])
    return user


def material(
    code: str = "ALUMK",
    unit: str = "kg",
    *,
    on_hand: str | int = 0,
    value: str | int = 0,
    on: date = DAY,
    **details: Any,
) -> Material:
    """A material; `on_hand` (in `unit`) and `value` are entered as opening stock on `on`."""
    made = materials.create(
        code=code, details=materials.Details(**{"name": f"Material {code}", "unit": unit, **details})
    )
    if Decimal(on_hand):
        materials.open_stock(material=made, on=on, quantity=Decimal(on_hand), unit=unit, value=Decimal(value))
        made.refresh_from_db()
    return made


def supplier(name: str = "Utuharju Chemicals") -> Supplier:
    return suppliers.named(name=name)


def place(name: str = "Shed shelf", kind: str = Place.Kind.SHELF, **sizes: Any) -> Place:
    return Place.objects.filter(name=name).first() or places.create(name=name, kind=kind, **sizes)


def delivery(*lines: deliveries.Line, carriage: str | int = 0, on: date = DAY, ref: str = "", **paid: Any) -> Delivery:
    return deliveries.record(supplier=supplier(), on=on, lines=lines, ref=ref, carriage=Decimal(carriage), **paid)


def line(of: Material, packs: str | int = 1, pack: str | int = 2, price: str = "11.60") -> deliveries.Line:
    return deliveries.Line(of, Decimal(packs), Decimal(pack), Decimal(price), of.unit)


def skin(tag: str = "H01", *, date_in: date = DAY, price: str | int = 12, **details: Any) -> Skin:
    given = {"species": "Sheep", "date_in": date_in, "price": Decimal(price), **details}
    return skins.take_in(tag=tag, details=skins.Details(**given))


def recipe(code: str = "R1", *lines: recipes.Line, **options: Any) -> RecipeVersion:
    """80 g of a material of its own per litre, unless lines or steps are given."""
    wanted = list(lines)
    if not lines and not options.get("steps"):
        wanted = [recipes.Line(material(f"M{next(_next)}"), Decimal(80), "g", "per_litre")]
    return recipes.write(code=code, **{"method": "alum_tawed", "lines": wanted, **options})


def batch(number: str = "B1", *, version: RecipeVersion | None = None, start: date = DAY, **options: Any) -> Batch:
    return batches.plan(number=number, version=version or recipe(f"RE-{next(_next)}"), start=start, **options)


def take(of: Material, quantity: str | int, on: date = DAY, kind: Kind = Kind.USE) -> Posting:
    """`quantity` in the material's own unit leaves the shelf, outside any batch."""
    amount = materials.to_base(of, Decimal(quantity), of.unit)
    return ledger.issue(kind=kind, on=on, draws=[ledger.Draw(of, amount)])


def receive(of: Material, quantity: str | int, value: str | int, on: date = DAY) -> Posting:
    """`quantity` in the material's own unit comes in at `value`, as one lot."""
    amount = materials.to_base(of, Decimal(quantity), of.unit)
    return ledger.receive(kind=Kind.RECEIPT, on=on, arrivals=[ledger.Arrival(of, amount, Decimal(value))])


def put(
    into: Batch | None, of: Material, quantity: str | int, on: date = DAY, tags: Sequence[str] = (), **options: Any
) -> Use:
    """`quantity` in the material's own unit is put in work."""
    amount = issues_services.Amount(of, Decimal(quantity), of.unit)
    return issues_services.issue(batch=into, on=on, amounts=[amount], tags=tags, **options)


def work(
    on: date = DAY, minutes: str | int = 60, *, task: str = "soften", batch: Batch | None = None, **options: Any
) -> LabourLine:
    """A task that goes by the name of a kind is of that kind."""
    options.setdefault("kind", task if task in TaskKind.values else TaskKind.OTHER)
    return labour.log(on=on, task=task, minutes=Decimal(minutes), batch=batch, **options)


def piece(number: str, share: str | int = 1, **details: Any) -> Piece:
    return Piece(**{"number": number, "kind": "rug", "method": "alum_tawed", "share": Fraction(share), **details})


def finish(*tags: str, on: date = DAY, pieces: Sequence[Piece] = ()) -> list[Article]:
    """One article of the first tag's name, unless pieces are given."""
    return finishing.finish(on=on, tags=tags, pieces=pieces or [piece(f"A-{tags[0]}")])


def article(number: str = "A1", *, on: date = DAY, price: str | int = 12, **details: Any) -> Article:
    """A piece made of one whole skin that cost `price`."""
    skin(f"H-{number}", date_in=on, price=price)
    return finish(f"H-{number}", on=on, pieces=[piece(number, **details)])[0]


def sells_through(channel: Channel, place: Place | None) -> Channel:
    """The channel as it is, for the pieces that a gallery holds."""
    channel.refresh_from_db()
    kept = ("name", "fee_percent", "fee_fixed", "fixed_cost", "usual", "resells", "relief")
    same = {name: getattr(channel, name) for name in kept}
    return channels.save(channel=channel, place=place, **same)


def customer(name: str = "Ann Hill", **details: str) -> Customer:
    return Customer.objects.filter(name=name).first() or customers.write(
        name=name, **{"postal_address": "Hill Road 1", **details}
    )


def job(number: str = "J-01", *, price: str | int = 100, on: date = DAY, finished: bool = True, **details: Any) -> Job:
    """Work agreed on a customer's skin; the skin is finished the same day unless told otherwise."""
    their = skin(f"H-{number}", date_in=on, owner="customer", price=0)
    given: dict[str, Any] = {"customer": customer(), "work": "taw it", "taken_on": on, **details}
    made = jobs.take(number=number, skin=their, price=Decimal(price), **given)
    if finished:
        finish(f"H-{number}", on=on, pieces=[piece(f"A-{number}")])
    return made


def item(thing: Article | Job | Skin | None, asked: str | int = 100, **details: Any) -> Item:
    """A line of a sale for a thing; for none, postage."""
    kinds = {Article: ("article", "article"), Job: ("work", "job"), Skin: ("scrap", "skin")}
    if thing is None:
        return Item(**{"kind": "postage", "asked": Decimal(asked), **details})
    kind, name = kinds[type(thing)]
    return Item(**{"kind": kind, "asked": Decimal(asked), name: thing, **details})


def sale(*things: Article | Job | Skin | Item | None, asked: str | int = 100, on: date = DAY, **options: Any) -> Sale:
    """A sale of these things at `asked` each, by an invoice where it has a customer. The seller has an address."""
    if not workshops.current().postal_address:
        workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="Lane 1, Utuharju")
    items = [thing if isinstance(thing, Item) else item(thing, asked) for thing in things]
    kind = "invoice" if options.get("customer") else "sale"
    return selling.sell(**{"on": on, "items": items, "kind": kind, **options})


def registered(**details: Any) -> None:
    """The seller is registered for tax; short papers up to 400."""
    terms.set_terms(**{"tax_number": "XX123", "short_limit": Decimal(400), **details})
