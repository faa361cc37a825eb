"""Which tax form the maker fills in, its headings, and the kinds of cost that come under them."""

from decimal import Decimal

from costing.sell.headings import selectors as headings
from costing.sell.headings.models import CostHeading, CostKind
from costing.sell.headings.shipped import FORMS, KINDS
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused, Taken
from inventory.permits import Act, Person


@service(Act.SETUP)
def choose_form(*, form: str, by: Person = None) -> list[CostHeading]:
    """Take the headings of a form in place of those there are. The maker's own kinds then come under none until told."""
    shipped = FORMS[checks.choice(form, list(FORMS), "form", field="form")]
    kept = _kept_kinds()
    for row in kept.values():
        row.heading = None
        row.save()
    CostHeading.objects.all().delete()
    made = headings.of_form(shipped)
    for each in made:
        each.save()
    by_words = {each.words: each for each in made}
    for code, row in kept.items():
        row.heading = by_words.get(shipped.of(code))
        row.save()
    return made


@service(Act.SETUP, makes=CostHeading)
def save_heading(
    *,
    words: str,
    line: str = "",
    stock: bool = False,
    form: str = "",
    heading: CostHeading | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> CostHeading:
    """A new heading at the end, or a changed one. The stock used comes under one at most: saying it here takes it there."""
    words = checks.text(words, "The heading", field="words", longest=80, needed=True)
    line = checks.text(line, "The line", field="line", longest=10)
    form = checks.text(form, "The form", field="form", longest=60)
    own = heading.pk if heading else 0
    if CostHeading.objects.filter(words__iexact=words).exclude(pk=own).exists():
        raise Taken("The heading", words, field="words")
    last = CostHeading.objects.order_by("position").last()
    row = heading or CostHeading(position=last.position + 1 if last else 1, form=form or (last.form if last else ""))
    if stock:
        CostHeading.objects.filter(stock=True).exclude(pk=own).update(stock=False)
    row.words, row.line, row.stock = words, line, stock
    row.save()
    return row


@service(Act.SETUP)
def drop_heading(*, heading: CostHeading, by: Person = None) -> None:
    """A heading goes; kinds under it stand under none until told, and the results say so."""
    for row in CostKind.objects.filter(heading=heading):
        row.heading = None
        row.save()
    CostHeading.objects.get(pk=heading.pk).delete()


@service(Act.SETUP)
def begin(*, by: Person = None) -> None:
    """Before the first change of a heading: the list that holds becomes the maker's own."""
    if CostHeading.objects.exists():
        return
    form = headings.headings()[0].form
    choose_form(form=form)


@service(Act.SETUP, makes=CostKind)
def save_kind(
    *,
    code: str,
    name: str,
    place: str = CostKind.Place.YEAR,
    asks: str = "",
    heading: CostHeading | None = None,
    unit: str = "",
    rate: Decimal | None = None,
    closed: bool = False,
    by: Person = None,
    request_key: str | None = None,
) -> CostKind:
    """A new kind of cost, or the one with that code changed. A kind that comes with the program keeps its name and nature."""
    code = checks.code(code, "The code", field="code")
    name = checks.text(name, "The name", field="name", longest=60, needed=True)
    checks.choice(place, CostKind.Place.values, "place", field="place")
    checks.choice(asks, CostKind.Asks.values, "way to enter a cost", field="asks")
    checks.choice(unit, ["", *CostKind.Unit.values], "unit of distance", field="unit")
    if rate is not None:
        checks.held(checks.positive(rate, "The rate", field="rate"), field="rate")
    if (rate is not None or unit) and asks != CostKind.Asks.DISTANCE:
        raise Refused("A rate belongs to a kind that is entered by distance. Leave it empty.", field="rate")
    if rate is not None and not unit:
        raise Refused("Say whether the rate is for a kilometre or a mile.", field="unit")
    shipped = KINDS.get(code)
    if shipped and (shipped.name, shipped.place, shipped.asks) != (name, place, asks):
        raise Refused(f"{shipped.name} keeps its name and its place. Make a kind of your own instead.", field="name")
    rest = [row for row in headings.kinds().values() if row.code != code]
    if any(row.name.casefold() == name.casefold() for row in rest):
        raise Taken("The kind of cost", name, field="name")
    row = CostKind.objects.filter(code=code).first() or CostKind(code=code)
    row.name, row.place, row.asks, row.heading = name, place, asks, heading
    row.unit, row.rate, row.closed = unit, rate, closed
    row.save()
    return row


def _kept_kinds() -> dict[str, CostKind]:
    """Every kind, each with a row of its own from now on."""
    found = headings.kinds()
    for row in found.values():
        if row.pk is None:
            row.heading = None
            row.save()
    return found
