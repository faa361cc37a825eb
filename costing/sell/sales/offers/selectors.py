"""What is about to be sold: each thing with what stands in the way of selling it, and what an hour earns at a price.

Reads only. What may be sold is judged by `offers.services`; the ways out named here are for the page beside its refusal.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from django.db.models import Prefetch, QuerySet

from costing.make.cost.rates import selectors as rates
from costing.sell.customers.models import Customer
from costing.sell.jobs import selectors as jobs_read
from costing.sell.jobs.models import Job
from costing.sell.jobs.quotes import rules as quotes
from costing.sell.pricing import rules as pricing, selectors as pricing_read
from costing.sell.pricing.channels.models import Channel
from costing.sell.sales.models import SaleLine
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article, ArticleSkin, Place, Skin
from inventory.money import ZERO, half_up
from inventory.places.moves import selectors as moves

ARTICLE, JOB, SKIN = "article", "job", "skin"
LADDER = (0, 5, 10, 15, 20, 25)  # percent off the price in the box
WHOLE = Decimal(100)


@dataclass(frozen=True)
class Thing:
    """Something to sell, named by `key`: article:H07, job:J-01 or skin:H05. `piece` is what carries its cost, if any.

    `storage` is what a job comes to for waiting until today; None where nothing may be asked for it.
    """

    kind: str
    name: str
    words: str
    asked: Decimal | None
    article: Article | None = None
    job: Job | None = None
    skin: Skin | None = None
    piece: Article | None = None
    sold: SaleLine | None = None
    held_by: Channel | None = None
    storage: quotes.Storage | None = None

    @property
    def key(self) -> str:
        return f"{self.kind}:{self.name}"


@dataclass(frozen=True)
class Haggling:
    """At `taken` an hour earns `earned` (None without hours), and `sums` says who pays and keeps what. `ladder` are lower prices
    with what they come to and leave an hour."""

    taken: Decimal | None
    earned: Decimal | None
    sums: pricing.Meaning | None
    channel: pricing.Channel
    footing: pricing.Footing
    floors: pricing.Floors
    least: list[tuple[str, pricing.Meaning]]
    ladder: tuple[tuple[pricing.Meaning, Decimal | None], ...]

    @property
    def below(self) -> str:
        """The floor that the price lies under, in words; empty when everything is paid."""
        if self.taken is None or self.taken >= self.floors.full:
            return ""
        if self.taken >= self.floors.wage:
            return "not all overheads are paid"
        return "my hours are not paid in full" if self.taken >= self.floors.cash else "cash is lost"


def made_of() -> QuerySet[ArticleSkin]:
    return ArticleSkin.objects.select_related("skin").order_by("skin__tag")


def here() -> QuerySet[Article]:
    """The workshop's own pieces that have not left, wherever they are."""
    return (
        Article.objects.filter(gone_on__isnull=True, customers=False)
        .select_related("place", "cost")
        .prefetch_related(Prefetch("parts", queryset=made_of()))
        .order_by("number")
    )


def jobs() -> QuerySet[Job]:
    """Work that is done and not billed yet."""
    done = Job.objects.filter(handed_over_on__isnull=True, skin__stage=Skin.Stage.FINISHED)
    return done.select_related("customer", "skin").order_by("number")


def spoiled() -> QuerySet[Skin]:
    """Lost skins of the workshop's own that were not sold as they were."""
    sold = SaleLine.objects.filter(skin__isnull=False, standing=True).values("skin")
    return Skin.objects.filter(stage=Skin.Stage.LOST, owner=Skin.Owner.MINE).exclude(pk__in=sold).order_by("tag")


def keys_for(words: str) -> list[str]:
    """What a number or tag names: a piece, the pieces of a skin that are here, a job, a spoiled skin."""
    words = words.strip()
    if not words or "\x00" in words:
        return []
    pieces = Article.objects.filter(number__iexact=words).order_by("pk")
    made_of = Article.objects.filter(parts__skin__tag__iexact=words, gone_on__isnull=True, customers=False)
    named = [f"{ARTICLE}:{row.number}" for row in pieces] or [f"{ARTICLE}:{row.number}" for row in made_of]
    if named:
        return named
    job = Job.objects.filter(number__iexact=words).order_by("pk").first()
    if job is not None:
        return [f"{JOB}:{job.number}"]
    skin = Skin.objects.filter(tag__iexact=words).order_by("pk").first()
    return [f"{SKIN}:{skin.tag}"] if skin is not None else []


def things(keys: Sequence[str]) -> list[Thing]:
    """The things of these keys in their order, each once; unknown ones are left out. Queries do not grow with them."""
    named: dict[str, list[str]] = {kind: [] for kind in _READ}
    for key in dict.fromkeys(keys):
        kind, _, name = key.partition(":")
        if kind in named and name and "\x00" not in name:
            named[kind].append(name)
    found = {thing.key: thing for kind, read in _READ.items() if named[kind] for thing in read(named[kind])}
    return [found[key] for key in dict.fromkeys(keys) if key in found]


def _articles(numbers: Iterable[str]) -> list[Thing]:
    made_of = ArticleSkin.objects.select_related("skin__job").order_by("skin__tag")
    rows = list(
        Article.objects.filter(number__in=list(numbers))
        .select_related("place__channel", "cost")
        .prefetch_related(Prefetch("parts", queryset=made_of))
    )
    standing = SaleLine.objects.filter(article__in=rows, standing=True).select_related("sale")
    sold = {line.article_id: line for line in standing}
    return [
        Thing(
            ARTICLE,
            row.number,
            f"{row.number} {row.kind}, {', '.join(dict.fromkeys(part.skin.species for part in row.parts.all()))}",
            row.list_price,
            article=row,
            piece=row,
            sold=sold.get(row.pk),
            held_by=getattr(row.place, "channel", None) if row.place else None,
        )
        for row in rows
    ]


def _jobs(numbers: Iterable[str]) -> list[Thing]:
    rows = Job.objects.filter(number__in=list(numbers)).select_related("customer", "skin")
    made = ArticleSkin.objects.select_related("article__cost").order_by("article__pk")
    found = rows.prefetch_related(Prefetch("skin__parts", queryset=made))
    return [
        Thing(
            JOB,
            row.number,
            f"{row.number} {row.work}, {row.skin.tag} of {row.customer}",
            None if row.given_up_on else row.price,
            job=row,
            skin=row.skin,
            piece=next((part.article for part in row.skin.parts.all()), None),
            storage=_storage(row),
        )
        for row in found
    ]


def _storage(job: Job) -> quotes.Storage | None:
    found = jobs_read.storage(job, workshop.today())
    return found if found is not None and found.charge and job.handed_over_on is None else None


def _skins(tags: Iterable[str]) -> list[Thing]:
    return [
        Thing(SKIN, row.tag, f"{row.tag} {row.species}, spoiled", None, skin=row)
        for row in Skin.objects.filter(tag__in=list(tags))
    ]


_READ = {ARTICLE: _articles, JOB: _jobs, SKIN: _skins}


@dataclass(frozen=True)
class Terms:
    """How something is about to be sold: the channel, the footing of the price, and the step that prices go by."""

    where: pricing.Channel
    footing: pricing.Footing
    step: Decimal


def terms(channel: object, customer: object = None, *, keeps: bool = True) -> Terms:
    """By what boxes hold, whatever was typed into them: ids of a channel and a customer. `keeps`: its fee is written."""
    where, text = channel_of(channel), str(customer or "")
    if not keeps:
        where = replace(where, fee_percent=ZERO, fee_fixed=ZERO)
    row = Customer.objects.filter(pk=text).first() if text.isascii() and text.isdigit() else None
    footing = pricing_read.footing()
    return Terms(where, footing.untaxed() if row and row.relief else footing, rates.current().price_step)


def haggling(piece: Article, on: Terms, taken: Decimal | None) -> Haggling:
    """What a price leaves for an hour, sold so, with the floors of the piece."""
    price = pricing_read.of_article(piece, on.where, on.footing)
    steps = tuple(dict.fromkeys(_lower(taken, off, on.step) for off in LADDER)) if taken else ()
    return Haggling(
        taken,
        None if taken is None else price.earned(taken),
        None if taken is None else price.meaning(taken),
        on.where,
        price.footing,
        price.floors,
        price.least,
        tuple((price.meaning(each), price.earned(each)) for each in steps if each > 0),
    )


def sums(on: Terms, taken: Decimal | None) -> pricing.Meaning | None:
    """What a price comes to, sold so, of what carries no cost."""
    return None if taken is None else pricing_read.meaning(taken, on.where, footed=on.footing)


def _lower(taken: Decimal, off: int, step: Decimal) -> Decimal:
    """A price so many percent lower, on the workshop's price step (or a whole coin of the currency), the first as it is."""
    places = workshop.places()
    if not off:
        return half_up(taken, places)
    price = taken * (WHOLE - off) / WHOLE
    try:
        return min(pricing.round_to_step(price, step or Decimal(1), places), half_up(taken, places))
    except Refused:
        return half_up(price, places)


def channel_of(value: object) -> pricing.Channel:
    """The channel that a box holds, whatever was typed into it; none where it names none."""
    text = str(value or "")
    row = Channel.objects.filter(pk=text).first() if text.isascii() and text.isdigit() else None
    return pricing_read.plain(row) if row else pricing_read.NO_CHANNEL


def ways() -> list[Channel]:
    """Where one sells, the usual way first."""
    return list(Channel.objects.select_related("place").order_by("-usual", "name"))


def places_held() -> QuerySet[Place]:
    """Where pieces can come back to: where things stand that are neither in work nor out for sale."""
    return Place.objects.exclude(kind__in=[Place.Kind.GALLERY, Place.Kind.FAIR, Place.Kind.TUB, Place.Kind.FRAME])


def came_from(lines: Iterable[SaleLine]) -> int | None:
    """Where the first piece of these lines was before it was sold, if pieces can come back to there."""
    piece = next((line.article for line in lines if line.article), None)
    last = moves.of(piece).last() if piece else None
    place = last.origin if last and last.origin and last.origin in places_held() else None
    return place.pk if place else None
