"""Articles: the finished piece as a thing. What it cost is worked out upstairs and handed in."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from inventory.articles.models import Article, ArticleSkin, Hair, Method, Regrade, Use
from inventory.base import checks, selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.base.services import service
from inventory.errors import Refused
from inventory.permits import Act, Person, author
from inventory.places.models import Place
from inventory.skins.models import Skin


@dataclass(frozen=True)
class Naming:
    """What a buyer reads of a piece beside its kind and method; see the fields of `Article`."""

    title: str = ""
    hair: str = ""
    use: str = ""
    textile: bool = False
    fur_origin: bool = False


@dataclass(frozen=True)
class Piece:
    """A piece as it leaves the bench: area in cm2, `share` of the skins' cost that it bears."""

    number: str
    kind: str
    method: str
    area: Decimal | None = None
    grade: str = ""
    list_price: Decimal | None = None
    share: Fraction = Fraction(1)
    place: Place | None = None
    naming: Naming = Naming()


def create(*, piece: Piece, skins: Sequence[Skin], finished_on: date, book_cost: Decimal) -> Article:
    """For `costing.make.finishing.services`, inside its transaction."""
    article = Article.objects.create(
        number=checks.new_code(piece.number, "The article number", Article, field="number"),
        kind=checks.text(piece.kind, "The kind of article", field="kind", longest=60, needed=True),
        method=checks.choice(piece.method, Method.values, "method", field="method"),
        **_named(piece.naming),
        finished_on=finished_on,
        area=checks.measured(piece.area, "The area", field="area"),
        grade=checks.text(piece.grade, "The grade", field="grade", longest=12),
        list_price=_asked(piece.list_price),
        place=piece.place,
        customers=any(skin.owner == Skin.Owner.CUSTOMER for skin in skins),
        book_cost=book_cost,
    )
    ArticleSkin.objects.bulk_create(
        ArticleSkin(article=article, skin=skin, share_of=piece.share.numerator, share_in=piece.share.denominator)
        for skin in skins
    )
    _first_price(article)
    return article


@service(Act.PRICES)
def name(*, article: Article, naming: Naming, by: Person = None) -> Article:
    """Say what a buyer reads of it on its labels."""
    named = _named(naming)
    for field, value in named.items():
        setattr(article, field, value)
    article.save(update_fields=list(named))
    return article


def _named(naming: Naming) -> dict[str, Any]:
    hair = checks.choice(naming.hair, ["", *Hair.values], "hair", field="hair")
    if naming.fur_origin and hair == Hair.OFF:
        raise Refused(
            "A skin without its hair is no fur. Say that the hair is on, or take the fur's words off.",
            field="fur_origin",
        )
    return {
        "title": checks.text(naming.title, "The title", field="title", longest=80),
        "hair": hair,
        "use": checks.choice(naming.use, ["", *Use.values], "use", field="use"),
        "textile": naming.textile,
        "fur_origin": naming.fur_origin,
    }


@service(Act.PRICES)
def set_price(*, article: Article, list_price: Decimal | None, by: Person = None) -> Article:
    """The asked price, tax included where there is one; None takes it off."""
    if article.customers and list_price is not None:
        raise Refused(f"{article.number} is a customer's own skin: its job has the price.", field="list_price")
    article.list_price = _asked(list_price)
    article.save(update_fields=["list_price"])
    _first_price(article)
    return article


def _first_price(article: Article) -> None:
    """A newcomer who has set a price has done the first steps; Today asks nothing about them from then on."""
    if article.list_price is not None and not workshop.current().first_steps_over:
        accounting.end_first_steps()


@service(Act.PRICES, makes=Regrade)
def regrade(
    *,
    article: Article,
    grade: str,
    area: Decimal | None,
    on: date,
    note: str = "",
    by: Person = None,
    request_key: str | None = None,
) -> Regrade:
    """Judge a piece anew; what it was is kept. Area in cm2. What left the workshop stays as it was sold."""
    row = Article.objects.select_for_update(of=("self",)).get(pk=article.pk)
    checks.day(on, posts=False)
    if row.gone_on is not None:
        raise Refused(f"{row.number} left on {row.gone_on}; it stays as it went.", field="on")
    last = row.regrades.last()
    if on < (last.on if last else row.finished_on):
        raise Refused(
            f"{row.number} was {'judged' if last else 'finished'} on {last.on if last else row.finished_on}. "
            "Choose that day or a later one.",
            field="on",
        )
    grade = checks.text(grade, "The grade", field="grade", longest=12)
    checks.measured(area, "The area", field="area")
    if (grade, area) == (row.grade, row.area):
        raise Refused(f"{row.number} has that grade and area already. Change one of them.", field="grade")
    written = Regrade.objects.create(
        article=row,
        on=on,
        was_grade=row.grade,
        was_area=row.area,
        grade=grade,
        area=area,
        note=checks.text(note, "The note", field="note", longest=200),
        written_by=author(by),
    )
    row.grade, row.area = grade, area
    row.save(update_fields=["grade", "area"])
    return written


def _asked(price: Decimal | None) -> Decimal | None:
    if price is None:
        return None
    checks.positive(price, "The list price", field="list_price")
    return checks.coins(price, "The list price", field="list_price")
