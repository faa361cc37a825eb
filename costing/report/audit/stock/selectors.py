"""The stock of a day told from all entries ever: what everybody has borne is shared out anew, and nothing that is kept is read.

Slow, and therefore only for the check of the books, which holds `costing.report.valuation` to it.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.make.batches.models import Batch, BatchSkin, StruckStay
from costing.make.cost import rules as cost, selectors as cost_read
from costing.make.cost.reallocation import selectors as reallocation
from costing.make.cost.rules import Share
from costing.make.losses import selectors as losses
from inventory import money
from inventory.base import selectors as workshop
from inventory.models import OUT, ArticleSkin, Move, Skin
from inventory.money import ZERO
from inventory.places.moves import selectors as moves


@dataclass(frozen=True)
class Told:
    """As in `valuation.StockValue`. `exact` is each place before rounding, and what left, by why; `shares` is what each skin, by
    tag, had borne, and `own` what it took itself; `pieces` what each piece had borne, by article id."""

    raw_skins: Decimal
    in_work: Decimal
    finished: Decimal
    lost: Decimal
    sharing: Decimal
    gone: dict[str, Decimal]
    exact: dict[str, Fraction]
    skins: dict[str, dict[str, Fraction]]
    books: dict[int, Decimal]
    works: dict[int, Decimal]
    shares: dict[str, Share]
    own: dict[str, Share]
    pieces: dict[int, Share]


def at(on: date) -> Told:
    """Skins and pieces at the end of `on`."""
    places = workshop.places()
    # Every skin that came in by the day is in exactly one place: its cost borne by others, gone home, lost, raw or in work, and
    # as far as it was cut up, in pieces. `exact` adds up each place unrounded; `everything` adds up the same skins without
    # asking where they are, so that `sharing`, the difference, shows what rounding (or a skin counted twice) comes to.
    skins = list(Skin.objects.filter(date_in__lte=on).order_by("pk"))
    own, spread = cost_read.own_shares(skins, on, kept=False), reallocation.standing(on)
    shares = cost_read.with_losses(own, spread)
    parts = list(ArticleSkin.objects.filter(article__finished_on__lte=on).select_related("article__cost", "skin"))
    begun = _in_work(on)
    # The part of each skin that pieces have taken: the rest of it is still a skin.
    used: dict[int, Fraction] = defaultdict(Fraction)
    for part in parts:
        used[part.skin_id] += Fraction(part.share_of, part.share_in)
    exact: dict[str, Fraction] = defaultdict(Fraction, in_work=_unshared(on))
    by_tag: dict[str, dict[str, Fraction]] = {"raw": {}, "in_work": {"": exact["in_work"]} if exact["in_work"] else {}}
    gone: dict[str, Decimal] = defaultdict(Decimal)
    everything = exact["in_work"]
    home = losses.went(on)
    reallocated = {each.skin.pk for each in spread}
    for skin in skins:
        book = shares[skin.tag].book()
        everything += book
        # Of a cost that is reallocated to the others, the rest is that of the scrap that was sold. The work on a skin that
        # went home went with it, billed or not.
        if skin.pk in reallocated:
            why = Move.Why.SOLD.value
        elif skin.pk in home:
            why = Move.Why.DELIVERED.value
        elif skin.lost_on and skin.lost_on <= on:
            why = "lost"
        else:
            why = ""
        if why:
            gone[why] += money.half_up(book, places)
            exact[why] += book
            continue
        part_of = "in_work" if skin.pk in begun or used[skin.pk] else "raw"
        exact[part_of] += book * (1 - used[skin.pk])
        if used[skin.pk] < 1:
            by_tag[part_of][skin.tag] = book * (1 - used[skin.pk])
    lost = gone.pop("lost", ZERO)
    # What left as a whole skin joins the pieces that left for the same reason.
    borne = cost_read.piece_shares(parts, shares)
    pieces, books, works = _pieces(parts, borne, places, on, exact)
    for why, cost_of in gone.items():
        if cost_of:
            pieces[why] = pieces.get(why, ZERO) + cost_of
    finished = pieces.pop("finished", ZERO)
    raw = money.half_up(exact["raw"], places)
    in_work = money.half_up(exact["in_work"], places) + pieces.pop("customers", ZERO)
    sharing = money.half_up(everything, places) - raw - in_work - finished - lost - sum(pieces.values(), ZERO)
    return Told(
        raw,
        in_work,
        finished,
        lost,
        sharing,
        dict(pieces),
        dict(exact),
        by_tag,
        books,
        works,
        shares=shares,
        own=own,
        pieces=borne,
    )


def _pieces(
    parts: list[ArticleSkin], pieces: dict[int, Share], places: int, on: date, exact: dict[str, Fraction]
) -> tuple[dict[str, Decimal], dict[int, Decimal], dict[int, Decimal]]:
    """Book cost of pieces by where they are: `finished`, `customers` (work on their skins), or why they left.

    With it the book cost of each finished piece by its id, and of each piece on a customer's skin. Each split of pieces is
    rounded once, so that its pieces add up; `exact` takes the same before rounding.
    """
    gone = _left(on)
    splits: dict[str, set[int]] = defaultdict(set)
    where: dict[int, str] = {}
    for part in parts:
        splits[part.article.cost.split].add(part.article_id)
        here = "customers" if part.article.customers else "finished"
        where[part.article_id] = gone.get(part.article_id, here)
    found: dict[str, Decimal] = defaultdict(Decimal)
    each: dict[str, dict[int, Decimal]] = {"finished": {}, "customers": {}}
    for articles in splits.values():
        members = sorted(articles)
        for pk, book in zip(members, cost.split_books([pieces[pk] for pk in members], places), strict=True):
            found[where[pk]] += book
            exact[where[pk]] += pieces[pk].book()
            if where[pk] in each:
                each[where[pk]][pk] = book
    return found, each["finished"], each["customers"]


def _left(on: date) -> dict[int, str]:
    """By article id: why it had left for good by the end of a day, whatever came back later."""
    rows = moves.standing().filter(article__isnull=False, on__lte=on).values_list("article", "why")
    return {article: why for article, why in dict(rows).items() if why in OUT}


def _in_work(on: date) -> set[int]:
    """Skins that were put into a batch by then in which something was written for a day up to then."""
    found: set[int] = set()
    for rows in (BatchSkin.objects.all(), StruckStay.objects.filter(on__gt=on)):
        there = rows.filter(joined_on__lte=on)
        found |= {*there.filter(batch__uses__posting__on__lte=on).values_list("skin", flat=True)}
        found |= {*there.filter(batch__labour__on__lte=on).values_list("skin", flat=True)}
    return found


def _unshared(on: date) -> Fraction:
    """Materials in batches that no skin could bear yet."""
    found = cost_read.batch_shares(Batch.objects.all(), on)
    return sum((rest.book() for _, rest in found.values()), Fraction(0))
