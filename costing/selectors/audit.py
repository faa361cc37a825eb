"""The upper floor checked from its lines: frozen costs, late costs, stages, and that no value was lost on the way up."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum

from costing import rollup
from costing.models import ArticleCost, Batch, LabourLine
from costing.selectors import audit_papers, costs, stock_value
from inventory import money
from inventory.models import ArticleSkin, Kind, Movement, Skin
from inventory.selectors import audit as ground
from inventory.selectors import workshop


def findings() -> list[str]:
    """Every difference in the books, ground floor first; an empty list when they are clean."""
    return [
        *ground.findings(),
        *_articles(),
        *_stages(),
        *_states(),
        *_labour(),
        *_conserved(),
        *audit_papers.findings(),
    ]


def _articles() -> Iterator[str]:
    places = workshop.places()
    rows = list(ArticleCost.objects.select_related("article").order_by("article__pk"))
    parts = list(ArticleSkin.objects.select_related("skin"))
    pieces = costs.piece_shares(parts, costs.skin_shares({part.skin for part in parts}))
    splits: dict[str, list[ArticleCost]] = defaultdict(list)
    for row in rows:
        splits[row.split].append(row)
    for group in splits.values():
        books = rollup.split_books([pieces[row.article_id] for row in group], places)
        for row, book in zip(group, books, strict=True):
            number = row.article.number
            if (row.book + row.late_book, row.article.book_cost) != (book, book):
                stands = f"{row.article.book_cost} ({row.book} frozen, {row.late_book} late)"
                yield f"Article {number} stands at {stands}; its skins' lines say {book}."
            rates = rollup.Rates(row.wage_per_hour, row.overhead_per_hour, row.frame_wear)
            full = money.half_up(pieces[row.article_id].full(rates), places)
            if row.full + row.late_full != full:
                yield f"Article {number} has a full cost of {row.full + row.late_full}; its skins' lines say {full}."


def _stages() -> Iterator[str]:
    used: dict[int, Fraction] = defaultdict(Fraction)
    for part in ArticleSkin.objects.all():
        used[part.skin_id] += Fraction(part.share_of, part.share_in)
    for skin in Skin.objects.prefetch_related("stays__batch"):
        open_stay = any(stay.left_on is None for stay in skin.stays.all())
        begun = any(stay.batch.state != Batch.State.PLANNED for stay in skin.stays.all())
        share = used[skin.pk]
        if share > 1:
            yield f"Skin {skin.tag}: its articles bear {share} of it, more than the whole."
        expected = skin.stage
        if skin.lost_on:
            expected = Skin.Stage.LOST
        elif share == 1:
            expected = Skin.Stage.FINISHED
        elif begun:
            expected = Skin.Stage.IN_WORK
        if skin.stage != expected:
            yield f"Skin {skin.tag} is marked {skin.stage}; what happened to it says {expected}."
        if open_stay and skin.stage in (Skin.Stage.FINISHED, Skin.Stage.LOST):
            yield f"Skin {skin.tag} is {skin.stage} and still stands in a batch."


def _states() -> Iterator[str]:
    for batch in Batch.objects.prefetch_related("stays", "uses", "labour"):
        stays = list(batch.stays.all())
        begun = bool(batch.uses.all() or batch.labour.all())
        there = any(stay.left_on is None for stay in stays)
        expected = Batch.State.PLANNED if not begun else Batch.State.IN_WORK
        if begun and stays and not there:
            expected = Batch.State.DONE
        if batch.state != expected:
            yield f"Batch {batch.number} is marked {batch.state}; its entries say {expected}."


def _labour() -> Iterator[str]:
    for back in LabourLine.objects.filter(reverses__isnull=False).select_related("reverses"):
        line = back.reverses
        if line is not None and (back.minutes, back.paid) != (-line.minutes, -line.paid):
            yield f"Labour line {back.pk} does not take back exactly what line {line.pk} wrote."


def _conserved() -> Iterator[str]:
    """Skins bought + materials put in work + paid help = raw + in work + finished + lost, to the rounding of each piece."""
    day = costs.NEVER
    value = stock_value.at(day)
    used = Movement.objects.filter(kind=Kind.USE).aggregate(v=Sum("value"))["v"] or Decimal(0)
    paid = LabourLine.objects.aggregate(v=Sum("paid"))["v"] or Decimal(0)
    bought = Skin.objects.aggregate(v=Sum("price"))["v"] or Decimal(0)
    held = value.raw_skins + value.in_work + value.finished + value.lost + value.sharing + sum(value.gone.values())
    if bought - used + paid != held:
        yield f"Put into skins: {bought - used + paid}; found in skins, articles and losses: {held}."
    # The whole, raw skins, work begun, each loss and each set of pieces finished together is rounded once.
    splits = ArticleCost.objects.values("split").distinct().count()
    roundings = 3 + splits + Skin.objects.filter(lost_on__isnull=False).count()
    step = Decimal(1).scaleb(-workshop.places())
    if abs(value.sharing) > step * roundings / 2:
        yield f"Rounding left over {value.sharing}, more than half a cent for each of {roundings} figures."
