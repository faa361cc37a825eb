"""What everything is worth at book cost on a day: consumables, raw skins, work begun, finished pieces.

Told from what is kept of ended skins and finished pieces where that holds by the day, so that it takes no longer after ten years;
`costing.report.audit.stock` tells the same from all entries.

Own hours are never in it. A customer's skin counts nothing; materials put into it count as work begun until it is handed over.
What left by then (sold, handed over, gone home undone, given away) is no stock; it stands apart so that everything can be added up.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Q, Sum

from costing.make.batches.models import Batch, BatchSkin, StruckStay, Use
from costing.make.cost import rules as cost, selectors as cost_read
from costing.make.cost.models import ArticleCost
from costing.make.cost.reallocation import selectors as reallocation
from costing.make.cost.rules import Share
from costing.make.frames import selectors as frames
from costing.make.labour.models import LabourLine
from costing.report.sums import sums
from costing.report.valuation.away import selectors as away_read
from costing.report.valuation.away.selectors import Left
from inventory import money
from inventory.base import selectors as workshop
from inventory.ledger import selectors as ledger
from inventory.ledger.months.rules import month_of
from inventory.models import Article, ArticleSkin, Kind, Material, Monthly, Move, Movement, Skin
from inventory.money import ZERO
from inventory.places.moves import selectors as moves

LOST = "lost"


@dataclass(frozen=True)
class Held:
    """A material's balance on the day, in its base unit and in money."""

    material: Material
    quantity: Decimal
    value: Decimal


@dataclass(frozen=True)
class StockValue:
    """`lost` is what lost skins had cost; it is no longer stock and stands here so that everything can be added up. A loss
    that is spread counts nothing here: the others bear it, and what its scrap brought is the cost of scrap sold.

    `gone` is what left had cost, by why it left, each thing rounded. `sharing` is what rounding each piece and each loss to the
    cent left over of the exact shares: under half a cent apiece.
    `with_others` is the part of `finished` that stood at galleries that day. `skins` is what raw skins and skins in work had
    cost, exact, by part and tag ("" for what no skin bore yet); `books` what finished pieces cost, by article id, and `works`
    the same of pieces on customers' skins.
    """

    on: date
    materials: tuple[Held, ...]
    raw_skins: Decimal
    in_work: Decimal
    finished: Decimal
    lost: Decimal
    sharing: Decimal
    gone: dict[str, Decimal] = field(default_factory=dict)
    with_others: Decimal = ZERO
    skins: dict[str, dict[str, Fraction]] = field(default_factory=dict)
    books: dict[int, Decimal] = field(default_factory=dict)
    works: dict[int, Decimal] = field(default_factory=dict)

    @property
    def consumables(self) -> Decimal:
        return sum((held.value for held in self.materials), ZERO)

    @property
    def total(self) -> Decimal:
        return self.consumables + self.raw_skins + self.in_work + self.finished


def at(on: date) -> StockValue:
    """The stock sheet of the end of `on`: what was there is looked at thing by thing, what is gone only as sums."""
    places = workshop.places()
    skins = _skins(on)
    away = away_read.on(on)
    own, works = _pieces(on, away)
    gone = _gone(on, away)
    lost = gone.pop(LOST, ZERO)
    raw = money.half_up(sum(skins["raw"].values(), Fraction(0)), places)
    in_work = money.half_up(sum(skins["in_work"].values(), Fraction(0)), places) + sum(works.values(), ZERO)
    finished = sum(own.values(), ZERO)
    sharing = everything(on) - raw - in_work - finished - lost - sum(gone.values(), ZERO)
    others = sum((own[pk] for pk in moves.with_others(on) & own.keys()), ZERO)
    return StockValue(
        on,
        materials(on),
        raw,
        in_work,
        finished,
        lost,
        sharing,
        gone=gone,
        with_others=others,
        skins=skins,
        books=own,
        works=works,
    )


def everything(on: date) -> Decimal:
    """All that was put into skins by the end of a day: their prices, materials put in work less those in frames, paid help.

    Whole coins, so that the database adds them up."""
    month, moved = month_of(on), Movement.objects.filter(on__lte=on)
    found = sums(
        bought=(Skin.objects.filter(date_in__lte=on), "price"),
        paid=(LabourLine.objects.filter(on__lte=on).exclude(paid=0), "paid"),
        used=(Monthly.objects.filter(month__lt=month), "used_value"),
        used_within=(moved.filter(month=month, kind=Kind.USE), "value"),
        framed=(frames.moved_into(moved), "value"),
    )
    return found["bought"] + found["paid"] - found["used"] - found["used_within"] + found["framed"]


def materials(on: date) -> tuple[Held, ...]:
    """Materials with anything on the shelf that day, by name."""
    held = ledger.balances(on)
    found = [Held(row, *held[pk]) for pk, row in _records().items() if held.get(pk, (ZERO, ZERO))[0]]
    return tuple(sorted(found, key=lambda each: (each.material.name, each.material.code)))


@workshop.read_once
def _records() -> dict[int, Material]:
    return Material.objects.in_bulk()


def _skins(on: date) -> dict[str, dict[str, Fraction]]:
    """What raw skins and skins in work had cost, exactly, by part and tag, as far as pieces had not taken it."""
    later = Q(lost_on__gt=on) | Q(pk__in=ArticleSkin.objects.filter(article__finished_on__gt=on).values("skin"))
    here = Q(stage__in=(Skin.Stage.RAW, Skin.Stage.IN_WORK)) | later
    skins = list(Skin.objects.filter(here, date_in__lte=on).exclude(lost_on__lte=on).order_by("pk"))
    shares, begun, used = cost_read.skin_shares(skins, on), _in_work(on, skins), _used(on, skins)
    unshared = _unshared(on)
    found: dict[str, dict[str, Fraction]] = {"raw": {}, "in_work": {"": unshared} if unshared else {}}
    for skin in skins:
        if used[skin.pk] < 1:
            part = "in_work" if skin.pk in begun or used[skin.pk] else "raw"
            found[part][skin.tag] = shares[skin.tag].book() * (1 - used[skin.pk])
    return found


def _used(on: date, skins: Iterable[Skin]) -> dict[int, Fraction]:
    """By skin id: the part of it that pieces had taken by then."""
    used: dict[int, Fraction] = defaultdict(Fraction)
    parts = ArticleSkin.objects.filter(skin__in=list(skins), article__finished_on__lte=on)
    for skin, of, of_all in parts.values_list("skin", "share_of", "share_in"):
        used[skin] += Fraction(of, of_all)
    return used


def _pieces(on: date, away: Left) -> tuple[dict[int, Decimal], dict[int, Decimal]]:
    """By article id: book cost of the maker's pieces that were here at the end of a day, and of pieces on customers' skins."""
    made = Article.objects.filter(away_read.still_here(on), finished_on__lte=on).order_by("pk")
    rows = list(made.values_list("pk", "customers", "book_cost", "cost__settled_on"))
    told = books_by(on, [pk for pk, _, _, settled in rows if pk not in away and not _holds(settled, on)])
    found: tuple[dict[int, Decimal], dict[int, Decimal]] = ({}, {})
    for pk, theirs, book, _ in rows:
        if pk not in away:
            found[theirs][pk] = told.get(pk, book)
    return found


def _holds(settled: date | None, on: date) -> bool:
    return settled is not None and settled <= on


def books_by(on: date, articles: Iterable[int]) -> dict[int, Decimal]:
    """By article id: book cost as it was at the end of a day. Pieces that were finished together are rounded together, so that
    these may be more than were asked for."""
    wanted = list(articles)
    if not wanted:
        return {}
    splits: dict[str, list[int]] = defaultdict(list)
    together = ArticleCost.objects.filter(split__in=ArticleCost.objects.filter(article__in=wanted).values("split"))
    for split, article in together.order_by("article").values_list("split", "article"):
        splits[split].append(article)
    books = _exact_books(on, (pk for members in splits.values() for pk in members))
    found: dict[int, Decimal] = {}
    for members in splits.values():
        found |= zip(members, cost.split_exact([books[pk] for pk in members], workshop.places()), strict=True)
    return found


def _exact_books(on: date, articles: Iterable[int]) -> dict[int, Fraction]:
    """By article id: book cost that it had borne by the end of a day, before rounding."""
    parts = _parts(articles)
    return _exact(parts, cost_read.skin_shares({part.skin for part in parts}, on))


def _parts(articles: Iterable[int]) -> list[ArticleSkin]:
    return list(ArticleSkin.objects.filter(article__in=list(articles)).select_related("skin"))


def _exact(parts: Iterable[ArticleSkin], shares: Mapping[str, Share]) -> dict[int, Fraction]:
    """By article id: the book cost that its parts of skins bear, by the share of each skin."""
    found: dict[int, Fraction] = defaultdict(Fraction)
    for part in parts:
        found[part.article_id] += shares[part.skin.tag].book() * Fraction(part.share_of, part.share_in)
    return found


def _gone(on: date, away: Left) -> dict[str, Decimal]:
    """By why it left, and `LOST`: what had left by the end of a day had cost, each piece and each whole skin rounded."""
    settled = Article.objects.filter(gone_on__lte=on, cost__settled_on__lte=on).order_by().values_list("gone_why")
    found: dict[str, Decimal] = defaultdict(Decimal, settled.annotate(total=Sum("book_cost")))
    told = books_by(on, away)
    for pk, (why, _) in away.items():
        found[why] += told[pk]
    whole = _whole(on)
    costs = cost_read.skin_shares([skin for skin in whole if not _holds(_settled(skin), on)], on)
    for skin, why in whole.items():
        cost_of = money.half_up(costs[skin.tag].book(), workshop.places()) if skin.tag in costs else skin.cost.book
        if cost_of:
            found[why] += cost_of
    return found


@workshop.read_once
def _whole(on: date) -> dict[Skin, str]:
    """Skins that were lost by the end of a day, with why each is no skin any more. Of a cost that is reallocated to the others, the
    rest is that of the scrap that was sold. The work on a skin that went home went with it, billed or not."""
    skins = list(Skin.objects.filter(lost_on__lte=on).select_related("cost", "job").order_by("pk"))
    borne = {each.skin.pk for each in reallocation.standing(on)} if any(skin.loss_spread for skin in skins) else set()
    return {skin: Move.Why.SOLD.value if skin.pk in borne else _why_lost(skin, on) for skin in skins}


def _why_lost(skin: Skin, on: date) -> str:
    job = getattr(skin, "job", None)
    home = job is not None and job.given_back and job.given_up_on is not None and job.given_up_on <= on
    return Move.Why.DELIVERED.value if home else LOST


def _settled(skin: Skin) -> date | None:
    return skin.cost.settled_on if hasattr(skin, "cost") else None


def left_between(eve: date, last: date) -> dict[str, Fraction]:
    """By why it left, and `LOST`: exact cost of what was gone at the end of `last`, less that of what was gone on the `eve`.

    Only what left or came back in the time, or cost something else on the eve, is added up: all else cancels."""
    moved = moves.standing().filter(article__isnull=False, on__gt=eve, on__lte=last).values_list("article", flat=True)
    late = Article.objects.filter(finished_on__lte=last).exclude(cost__settled_on__lte=eve)
    articles = {*moved, *late.values_list("pk", flat=True)}
    found: dict[str, Fraction] = defaultdict(Fraction)
    for sign, day, away in zip((1, -1), (last, eve), away_read.on_days((last, eve), articles), strict=True):
        whole = {
            skin: why
            for skin, why in _whole(day).items()
            if skin.lost_on is None or skin.lost_on > eve or not _holds(_settled(skin), eve)
        }
        parts = _parts(away)
        # Asked of both at once, because each asking is several queries.
        shares = cost_read.skin_shares({*whole, *(part.skin for part in parts)}, day)
        books = _exact(parts, shares)
        for pk, (why, _) in away.items():
            found[why] += sign * books[pk]
        for skin, why in whole.items():
            found[why] += sign * shares[skin.tag].book()
    return found


def _in_work(on: date, skins: Iterable[Skin]) -> set[int]:
    """Of these skins those that were put into a batch by then in which something was written for a day up to then."""
    wanted = {"skin__in": list(skins), "joined_on__lte": on, "batch__in": Batch.objects.filter(_begun(on)).values("pk")}
    there = BatchSkin.objects.filter(**wanted).order_by().values_list("skin", flat=True)
    struck = StruckStay.objects.filter(**wanted, on__gt=on).order_by().values_list("skin", flat=True)
    return set(there.union(struck)) if wanted["skin__in"] else set()


def _begun(on: date) -> Q:
    """Batches in which something was written for a day up to then."""
    used = Use.objects.filter(batch__isnull=False, posting__on__lte=on).values("batch")
    return Q(pk__in=used) | Q(pk__in=LabourLine.objects.filter(batch__isnull=False, on__lte=on).values("batch"))


def _unshared(on: date) -> Fraction:
    """Materials and help in batches that no skin could bear by then: only one that nobody was in can have any."""
    there = BatchSkin.objects.filter(joined_on__lte=on).values("batch")
    struck = StruckStay.objects.filter(joined_on__lte=on, on__gt=on).values("batch")
    nobody = Batch.objects.filter(_begun(on)).exclude(pk__in=there).exclude(pk__in=struck)
    return sum((rest.book() for _, rest in cost_read.batch_shares(nobody, on).values()), Fraction(0))
