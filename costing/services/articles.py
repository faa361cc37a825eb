"""Finishing: skins become articles, and what they cost is frozen, part by part."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db import transaction

from costing import rollup, schedule
from costing.models import ArticleCost, Batch
from costing.rollup import Rates, Share
from costing.selectors import costs, steps
from costing.selectors import rates as rate_selector
from costing.services import batches, late, owners
from inventory.errors import Refused
from inventory.models import Article, Skin
from inventory.money import half_up
from inventory.selectors import workshop
from inventory.services import articles as things
from inventory.services import checks, requests
from inventory.services import skins as skin_services
from inventory.services.articles import Piece
from inventory.services.permits import Act, Person, require

EXACT_PLACES = 9
FINEST_SHARE = 10_000


@transaction.atomic
def finish(
    *,
    on: date,
    tags: Sequence[str],
    pieces: Sequence[Piece],
    rates: Rates | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> list[Article]:
    """Make one or several articles from one or several skins, each piece bearing its `share` of the skins' whole cost.

    A skin whose shares reach one is finished and leaves its batch that day; a rest stays in work. `rates` are those it was
    finished with where that is told (a folder that is loaded); else those of the day.
    """
    require(by, Act.PRICES)
    if done := requests.earlier(request_key, Article):
        split = ArticleCost.objects.get(article=done).split
        return list(Article.objects.filter(cost__split=split).order_by("pk"))
    checks.day(on)
    if not pieces or not tags:
        raise Refused("Name at least one skin and one piece.", field="skins")
    skins = skin_services.lock(list(dict.fromkeys(tags)))
    for piece in pieces:
        if piece.share <= 0 or piece.share.denominator > FINEST_SHARE:
            raise Refused(
                f"{piece.number} takes {piece.share} of the skin; write its share as a fraction above 0, such as 1/3, "
                f"with at most {FINEST_SHARE} parts.",
                field="share",
            )
    taken = sum((piece.share for piece in pieces), Fraction(0))
    _refuse_unready(skins, taken, on)
    if by is not None:  # a folder that is loaded tells what happened, however little of it was logged
        _refuse_in_tub(skins, on)
    # Skins leave before their cost is frozen: work of a later day, written already, goes to those that stayed.
    left = [batch for skin in skins if used_share(skin) + taken == 1 for batch in _leave(skin, on)]
    shares = costs.skin_shares(skins)
    whole = sum((shares[skin.tag] for skin in skins), Share())
    exact = [whole.times(piece.share) for piece in pieces]
    places = workshop.places()
    books = rollup.split_books(exact, places)
    articles = [
        _freeze(piece, skins, on, share, book, rates or rate_selector.plain(on), split=pieces[0].number)
        for piece, share, book in zip(pieces, exact, books, strict=True)
    ]
    for batch in dict.fromkeys(left):
        if costs.anything_after(batch, on):
            late.refresh_batch(batch)
    return [requests.keep(request_key, articles[0]), *articles[1:]]


def used_share(skin: Skin) -> Fraction:
    """How much of a skin's cost its articles bear already, 0 to 1."""
    return sum((Fraction(part.share_of, part.share_in) for part in skin.parts.all()), Fraction(0))


def _refuse_unready(skins: Sequence[Skin], share: Fraction, on: date) -> None:
    owners.refuse_two(skins)
    for skin in skins:
        if skin.stage == Skin.Stage.LOST:
            raise Refused(f"{skin.tag} was lost on {skin.lost_on}; nothing can be made of it here.", field="skins")
        if on < skin.date_in:
            raise Refused(f"{skin.tag} came in on {skin.date_in}, after {on}.", field="on")
        free = 1 - used_share(skin)
        if share > free:
            raise Refused(
                f"The pieces take {share} of {skin.tag}, but {free} of it is free. Shares of one skin add up to 1 at most.",
                field="share",
            )
        stay = skin.stays.filter(left_on__isnull=True).exclude(batch__state=Batch.State.PLANNED).first()
        if stay and on < stay.joined_on:
            raise Refused(f"{skin.tag} joined its batch on {stay.joined_on}; it cannot be finished before.", field="on")


def _refuse_in_tub(skins: Sequence[Skin], on: date) -> None:
    for skin in skins:
        stay = skin.stays.select_related("batch__version").filter(left_on__isnull=True).first()
        if stay and (step := _in_tub(stay.batch, on)):
            raise Refused(
                f"{skin.tag} is still in the tub: {stay.batch.number} is at “{step}” on {on}. Log that step as done or "
                "skipped first, or take the skin out of the batch.",
                field="skins",
            )


def _in_tub(batch: Batch, on: date) -> str:
    """The step that a batch is at in a tub on a day, by what was logged; nothing where no step was ever logged."""
    marks = steps.standing_rows(batch, on)
    if not marks:
        return ""
    plan = steps.as_steps(batch.version.steps.all(), heads=0)
    laid = schedule.lay_out(plan, batch.start, steps.as_marks(marks), today=on)
    at = next((each for each in laid if each.ended is None), None)
    return at.step.key if at is not None and at.step.uses == "tub" and at.begins <= on else ""


def _freeze(
    piece: Piece, skins: Sequence[Skin], on: date, share: Share, book: Decimal, rates: Rates, *, split: str
) -> Article:
    article = things.create(piece=piece, skins=skins, finished_on=on, book_cost=book)
    ArticleCost.objects.create(
        article=article,
        skin_price=half_up(share.skin_price, EXACT_PLACES),
        materials=half_up(share.materials, EXACT_PLACES),
        paid_help=half_up(share.paid_help, EXACT_PLACES),
        minutes=half_up(share.minutes, EXACT_PLACES),
        own_minutes=half_up(share.own_minutes, EXACT_PLACES),
        laces=half_up(share.laces, EXACT_PLACES),
        wage_per_hour=rates.wage_per_hour,
        overhead_per_hour=rates.overhead_per_hour,
        frame_wear=rates.frame_wear,
        book=book,
        full=rollup.rounded(share, rates, workshop.places()).full,
        split=split,
    )
    return article


def _leave(skin: Skin, on: date) -> list[Batch]:
    """The skin is finished; the batches it was in until now."""
    skin_services.set_stage(skin, Skin.Stage.FINISHED)
    return batches.end_stays(skin, on)
