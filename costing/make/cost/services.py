"""Late costs: what is written on a skin after its article was finished is shown as late, never dropped.

Frozen parts stay as they were; late money, late minutes, the article's book cost and what is kept of ended skins follow. Other
services call this inside theirs.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from django.db import connection, transaction
from django.db.models import Q

from costing.make.batches.models import Batch, BatchSkin, Use
from costing.make.cost import rules as cost, selectors as cost_read
from costing.make.cost.models import ArticleCost, SkinCost
from costing.make.cost.rates import rules as rates_rules
from costing.make.cost.reallocation import selectors as reallocation
from costing.make.cost.settled import selectors as settled
from costing.make.frames.models import Frame, Lacing
from costing.make.steps import selectors as steps
from inventory import money
from inventory.base import selectors as workshop
from inventory.models import Article, ArticleSkin, Skin

ENDED = (Skin.Stage.FINISHED, Skin.Stage.LOST)

# Any number that no other lock of the program has.
_COSTS = 8_833_001

_later: ContextVar[bool] = ContextVar("whether shares are kept at the end", default=False)


@dataclass
class _Waiting:
    """What is to be brought up to date, by key."""

    batches: set[int] = field(default_factory=set)
    frames: set[int] = field(default_factory=set)
    skins: set[int] = field(default_factory=set)


_waiting: ContextVar[_Waiting | None] = ContextVar("late costs that wait for the last entry", default=None)


def alone() -> None:
    """Until the transaction ends nobody else freezes a cost or brings a late one up to date: called when one's own lines are
    written and before those of others are read, so that of two at once the later sees the other's lines and pieces.

    The last of all locks that an entry takes: whoever has it waits for nobody, if the skins and the batch of its lines were locked
    before (else the database asks for them when the transaction ends). On SQLite whoever writes is alone anyway.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_COSTS])


@contextmanager
def at_once() -> Iterator[None]:
    """For many entries in one transaction, such as a folder that is loaded: late costs are worked out once, when the outermost
    block ends. Nothing within it may read them."""
    if _waiting.get() is not None:
        yield
        return
    waiting = _Waiting()
    token = _waiting.set(waiting)
    try:
        yield
    finally:
        _waiting.reset(token)
    stayed = BatchSkin.objects.filter(batch__in=waiting.batches).values_list("skin", flat=True)
    laced = Lacing.objects.filter(frame__in=waiting.frames).values_list("skin", flat=True)
    refresh_skins({*waiting.skins, *stayed, *laced})


def refresh(batch: Batch | None, skins: Sequence[Skin]) -> None:
    """After an entry on a batch or on named skins: bring the late costs of their finished articles up to date."""
    if batch is not None:
        refresh_batch(batch)
    else:
        refresh_skins(skin.pk for skin in skins)


def refresh_frame(frame: Frame) -> None:
    """What goes into a frame, or one lacing of it, moves the wear of its other lacings."""
    if waiting := _waiting.get():
        waiting.frames.add(frame.pk)
        return
    refresh_skins(Lacing.objects.filter(frame=frame).values_list("skin", flat=True))


def rates_changed(**_signal: object) -> None:
    """Hours in frames may cost something else, and so what lacings wore off them."""
    refresh_skins(Lacing.objects.values_list("skin", flat=True))


def refresh_batch(batch: Batch) -> None:
    if waiting := _waiting.get():
        waiting.batches.add(batch.pk)
        return
    refresh_skins(batch.stays.values_list("skin", flat=True))


def refresh_skins(skins: Iterable[int]) -> None:
    """Of these skins (ids), and of those that bear a loss of them."""
    if waiting := _waiting.get():
        waiting.skins.update(skins)
        return
    alone()
    found = reallocation.reached(skins)
    keep(found)
    _refresh(Article.objects.filter(parts__skin__in=found).distinct())


def steps_logged(batch: Batch) -> None:
    """After a step of a batch was logged or taken back: of skins that ended in it, which steps they went through is kept anew."""
    keep(batch.stays.values_list("skin", flat=True))


def fill_late() -> None:
    """Work out what older rows have not: late minutes, and what ended skins have borne."""
    with transaction.atomic():
        _refresh(Article.objects.filter(cost__late_minutes__isnull=True))
        keep_all()


def skin_described(skin: Skin, **_signal: object) -> None:
    """Its weight or area may have been put right: what it bears of baths shared by them moves with it."""
    own = Q(uses__share_by__in=(Batch.ShareBy.WEIGHT, Batch.ShareBy.AREA))
    for batch in Batch.objects.filter(~Q(share_by=Batch.ShareBy.HEAD) | own, stays__skin=skin).distinct():
        refresh_batch(batch)
    direct = Use.objects.filter(skins=skin, batch__isnull=True).exclude(share_by="")
    refresh_skins(Skin.objects.filter(uses__in=direct).values_list("pk", flat=True))


def _late(minutes: Fraction, frozen: Decimal) -> Decimal:
    return money.half_up(minutes, cost.EXACT_PLACES) - frozen


def _refresh(articles: Iterable[Article]) -> None:
    splits = set(ArticleCost.objects.filter(article__in=list(articles)).values_list("split", flat=True))
    if not splits:
        return
    # Locked before the lines are read: of two entries at once, the later one to get here sees the other's line.
    locked = ArticleCost.objects.select_for_update(of=("self",)).filter(split__in=splits)
    rows = list(locked.select_related("article").order_by("article__pk"))
    parts = list(ArticleSkin.objects.filter(article__in=[row.article_id for row in rows]).select_related("skin"))
    pieces = cost_read.piece_shares(parts, cost_read.skin_shares({part.skin for part in parts}))
    places = workshop.places()
    for split in sorted(splits):
        group = [row for row in rows if row.split == split]
        books = cost.split_books([pieces[row.article_id] for row in group], places)
        for row, book in zip(group, books, strict=True):
            rates = rates_rules.Rates(row.wage_per_hour, row.overhead_per_hour, row.frame_wear)
            row.late_book = book - row.book
            whole = pieces[row.article_id]
            row.late_full = money.half_up(whole.full(rates), places) - row.full
            row.late_minutes = _late(whole.minutes, row.minutes)
            row.late_own_minutes = _late(whole.own_minutes, row.own_minutes)
            row.save(update_fields=["late_book", "late_full", "late_minutes", "late_own_minutes"])
            if row.article.book_cost != book:
                row.article.book_cost = book
                row.article.save(update_fields=["book_cost"])


@contextmanager
def kept_at_the_end() -> Iterator[None]:
    """Within this block nothing is kept, so that every share is worked out; at its end all is, at once. For a folder that is
    loaded: keeping at each of its entries what the next one changes would only cost time."""
    held = _later.set(True)
    try:
        yield
    finally:
        _later.reset(held)
    keep_all()


def keep_all() -> None:
    """Keep what every ended skin has borne of which nothing is kept yet."""
    keep(Skin.objects.filter(stage__in=ENDED, cost__isnull=True).values_list("pk", flat=True))


def keep(skins: Iterable[int]) -> None:
    """Keep anew what these skins (ids) have borne where they are finished or lost, and nothing where they are in work again."""
    if _later.get():
        return
    alone()
    wanted = set(skins)
    if not wanted:
        return
    ended = list(Skin.objects.filter(pk__in=wanted, stage__in=ENDED).order_by("pk"))
    with transaction.atomic():
        SkinCost.objects.filter(skin__in=wanted - {skin.pk for skin in ended}).delete()
        if ended:
            _keep(ended)
        _settle(wanted)


def _keep(ended: list[Skin]) -> None:
    # Locked before the lines are read: of two entries at once, the later one to get here sees the other's line.
    list(SkinCost.objects.select_for_update().filter(skin__in=ended).order_by("pk"))
    losses = reallocation.behind((skin.pk for skin in ended), reallocation.standing())
    everybody = list({skin.pk: skin for skin in [*ended, *(each.skin for each in losses)]}.values())
    own = cost_read.own_shares(everybody, kept=False)
    borne, days, entered = (cost_read.with_losses(own, losses), settled.days(everybody, losses), steps.entered(ended))
    places = workshop.places()
    SkinCost.objects.bulk_create(
        [
            SkinCost(
                skin=skin,
                exact=own[skin.tag].text(),
                book=money.half_up(borne[skin.tag].book(), places),
                own_minutes=money.half_up(borne[skin.tag].own_minutes, cost.EXACT_PLACES),
                settled_on=days[skin.pk],
                entered="\n".join(entered[skin.pk]),
            )
            for skin in ended
        ],
        update_conflicts=True,
        unique_fields=["skin"],
        update_fields=["exact", "book", "own_minutes", "settled_on", "entered"],
    )


def _settle(skins: set[int]) -> None:
    """The day from which pieces of these skins are settled: when all of their skins are, and none while one is in work."""
    parts = ArticleSkin.objects.filter(article__parts__skin__in=skins).distinct()
    found = settled.pieces(parts.values_list("article", "skin__cost__settled_on"))
    rows = list(ArticleCost.objects.filter(article__in=found))
    for row in rows:
        row.settled_on = found[row.article_id]
    ArticleCost.objects.bulk_update(rows, ["settled_on"], batch_size=200)
