"""Fairs: planned, packed, sold at, closed with the count-back. What a fair cost and sold is booked by the other services."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.contrib.auth.models import User

from costing.sell.fairs import rules as fairs
from costing.sell.fairs.models import Fair, FairPiece
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Article, Move, Place
from inventory.permits import Act, Person, author
from inventory.places.moves import services as moves

DAY_MINUTES = 24 * 60
LONGEST_DAYS = 14


@service(Act.PRICES, makes=Fair)
def plan(
    *,
    name: str,
    on: date,
    place: Place | None = None,
    stall_minutes: Decimal = Decimal(0),
    note: str = "",
    by: Person = None,
    request_key: str | None = None,
) -> Fair:
    """A fair on a day. `place` is where its pieces are meanwhile: the fair box, the van."""
    name = checks.text(name, "The name", field="name", longest=80, needed=True)
    checks.day(on, plan=True, posts=False)
    if Fair.objects.filter(name__iexact=name, on=on).exists():
        raise Refused(f"{name} on {on} is entered already. Open it in the list.", field="name")
    fair = Fair(name=name, on=on, place=place, note=checks.text(note, "The note", field="note", longest=200))
    fair.stall_minutes = _minutes(stall_minutes)
    fair.save()
    return fair


@service(Act.PRICES, makes=Fair)
def pack(
    *, fair: Fair, articles: Sequence[Article], on: date, by: Person = None, request_key: str | None = None
) -> Fair:
    """Put pieces on the pack list and into the fair's place. What is gone, a customer's or at a gallery stays out, by name."""
    writer = author(by)
    _hold(fair)
    checks.day(on, posts=False)
    if not articles:
        raise Refused("No piece was chosen. Tick at least one.", field="articles")
    for article in sorted(articles, key=lambda each: each.pk):
        _pack(fair, article, on, writer)
    return fair


@service(Act.PRICES, makes=Fair)
def close(
    *,
    fair: Fair,
    on: date,
    back: Sequence[Article],
    to: Place | None,
    stall_minutes: Decimal | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Fair:
    """Count what came back. Every packed piece was sold or is back; what is neither is named, and nothing is written."""
    writer = author(by)
    _hold(fair)
    checks.day(on, posts=False)
    if on < fair.on:
        raise Refused(f"{fair.name} is on {fair.on}; nothing can be back from it on {on}.", field="on")
    packed = list(fair.pieces.select_related("article").order_by("article__number"))
    sold = [piece.article.number for piece in packed if piece.article.gone_on is not None]
    if amiss := fairs.amiss([piece.article.number for piece in packed], sold, [article.number for article in back]):
        raise Refused(amiss, field="back")
    for article in sorted(back, key=lambda each: each.pk):
        moves.shift(thing=article, to=to, on=on, note=fair.name, writer=writer)
    fair.pieces.filter(article__in=back).update(back=True)
    fair.closed_on = on
    if stall_minutes is not None:
        fair.stall_minutes = _minutes(stall_minutes)
    fair.save(update_fields=["closed_on", "stall_minutes"])
    return fair


@service(Act.PRICES)
def take_over(
    *,
    fair: Fair,
    packed: Sequence[Article],
    back: Sequence[Article] = (),
    closed_on: date | None = None,
    by: Person = None,
) -> Fair:
    """The pack list and the count of a fair that were kept before they came here. Nothing moves: moves have their own record."""
    _hold(fair)
    if theirs := [article.number for article in packed if article.customers]:
        raise Refused(f"{', '.join(theirs)} is a customer's own and was not yours to sell.", field="pieces")
    if twice := sorted({article.number for article in packed if packed.count(article) > 1}):
        raise Refused(f"{', '.join(twice)} is on the list twice. Name it once.", field="pieces")
    if strangers := [article.number for article in back if article not in packed]:
        raise Refused(f"{', '.join(strangers)} came back but was not packed.", field="back")
    if back and closed_on is None:
        raise Refused("Say on which day the pieces were counted back.", field="closed_on")
    FairPiece.objects.bulk_create(FairPiece(fair=fair, article=article, back=article in back) for article in packed)
    if closed_on is not None:
        fair.closed_on = checks.day(closed_on, field="closed_on", posts=False)
        fair.save(update_fields=["closed_on"])
    return fair


def _hold(fair: Fair) -> None:
    fair.refresh_from_db(from_queryset=Fair.objects.select_for_update())
    if fair.closed_on is not None:
        raise Refused(f"{fair.name} was counted back on {fair.closed_on} and is closed.")


def _pack(fair: Fair, article: Article, on: date, writer: User | None) -> None:
    row = moves.lock(article)
    if row.customers:
        raise Refused(f"{row.number} is a customer's own and is not yours to sell.", field="articles")
    if row.gone_on is not None:
        how = Move.Why(row.gone_why).label.lower()
        raise Refused(f"{row.number} left on {row.gone_on} ({how}).", field="articles")
    if row.place is not None and row.place.kind == Place.Kind.GALLERY:
        raise Refused(f"{row.number} is at {row.place} on sale or return. Move it back first.", field="articles")
    if on < row.finished_on:
        raise Refused(f"{row.number} was finished on {row.finished_on}, after {on}. Check the day.", field="on")
    if other := Fair.objects.filter(pieces__article=row, pieces__back=False, closed_on__isnull=True).first():
        which = "already" if other == fair else f"of {other}, which is not counted back yet. Count it back first"
        raise Refused(f"{row.number} is on the list {which}.", field="articles")
    FairPiece.objects.create(fair=fair, article=row)
    if fair.place is not None:
        moves.shift(thing=row, to=fair.place, on=on, note=fair.name, writer=writer)


def _minutes(minutes: Decimal) -> Decimal:
    checks.held(checks.not_negative(minutes, "The stall time", field="stall_minutes"), field="stall_minutes")
    if minutes > LONGEST_DAYS * DAY_MINUTES:
        raise Refused(f"{minutes} minutes are more than {LONGEST_DAYS} days at a stall.", field="stall_minutes")
    return minutes
