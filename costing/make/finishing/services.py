"""Finishing: skins become articles, and what they cost is frozen, part by part."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.make.batches.issues import services as issues
from costing.make.batches.issues.services import Amount
from costing.make.batches.models import Batch
from costing.make.batches.stays import services as stays
from costing.make.cost import rules as cost_rules, selectors as cost_read, services as cost
from costing.make.cost.models import ArticleCost
from costing.make.cost.rates import selectors as rates_read
from costing.make.cost.rates.rules import Rates
from costing.make.cost.rules import Share
from costing.make.finishing.rules import FINEST
from costing.make.labour import services as labour
from costing.make.recipes.models import TaskKind
from costing.make.steps import schedule, selectors as steps
from inventory.articles import services as articles_services
from inventory.articles.services import Piece
from inventory.base import checks, selectors as workshop_read, services as entries
from inventory.base.services import service
from inventory.errors import Refused, in_row
from inventory.models import Article, Skin
from inventory.money import half_up
from inventory.permits import Act, Person
from inventory.skins import services as skins_services


def refuse_two(skins: Sequence[Skin], *, field: str = "skins") -> None:
    """Skins of two owners do not go into one piece: neither could be handed over or sold without the other's."""
    if len(skins) < 2 or not any(skin.theirs for skin in skins):
        return
    customers = dict(
        Skin.objects.filter(pk__in=[skin.pk for skin in skins], job__isnull=False).values_list(
            "pk", "job__customer__name"
        )
    )
    owners = {skin.tag: _name(customers.get(skin.pk) or skin.customer) if skin.theirs else "" for skin in skins}
    first = skins[0]
    for other in skins[1:]:
        same = first.theirs == other.theirs and owners[first.tag].casefold() == owners[other.tag].casefold()
        if not same:
            raise Refused(
                f"{_whose(first, owners[first.tag])}, {_whose(other, owners[other.tag])}: one piece cannot be made of "
                "both. Finish each into a piece of its own.",
                field=field,
            )
        if not owners[first.tag] and first.theirs:
            raise Refused(
                f"Whose {first.tag} and {other.tag} are was never written. Describe both with their customer's name, "
                "then join them; or finish each into a piece of its own.",
                field=field,
            )


def refuse_joined(skin: Skin, *, field: str) -> None:
    """For services that say anew whose a skin is: what it is already joined with must be of the same owner."""
    for article in Article.objects.filter(parts__skin=skin).order_by("pk"):
        refuse_two(list(Skin.objects.filter(parts__article=article).order_by("pk")), field=field)


def skin_described(skin: Skin, **_signal: object) -> None:
    """A customer's name that is put right must not turn a joined piece into one of two owners."""
    if skin.theirs:
        refuse_joined(skin, field="customer")


def _name(text: str) -> str:
    return " ".join(text.split())


def _whose(skin: Skin, name: str) -> str:
    if not skin.theirs:
        return f"{skin.tag} is your own"
    return f"{skin.tag} is {name}'s" if name else f"{skin.tag} is a customer's"


@service(Act.PRICES)
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
    if done := entries.find_existing(request_key, Article, "finish"):
        split = ArticleCost.objects.get(article=done).split
        return list(Article.objects.filter(cost__split=split).order_by("pk"))
    checks.day(on)
    if not pieces or not tags:
        raise Refused("Name at least one skin and one piece.", field="skins")
    skins = skins_services.lock(list(dict.fromkeys(tags)))
    for at, piece in enumerate(pieces):
        if piece.share <= 0 or piece.share.denominator > FINEST:
            raise Refused(
                f"{piece.number} takes {piece.share} of the skin; write its share as a fraction above 0, such as 1/3, "
                f"with at most {FINEST} parts.",
                field="share",
                row=at,
            )
    taken = sum((piece.share for piece in pieces), Fraction(0))
    _refuse_unready(skins, taken, on)
    if by is not None:  # a folder that is loaded tells what happened, however little of it was logged
        _refuse_in_tub(skins, on)
    # Skins leave before their cost is frozen: work of a later day, written already, goes to those that stayed.
    left = [batch for skin in skins if used_share(skin) + taken == 1 for batch in _leave(skin, on)]
    cost.alone()
    shares = cost_read.skin_shares(skins)
    whole = sum((shares[skin.tag] for skin in skins), Share())
    exact = [whole.times(piece.share) for piece in pieces]
    places = workshop_read.places()
    books = cost_rules.split_books(exact, places)
    rates = rates or rates_read.plain(on)
    articles = []
    for at, (piece, share, book) in enumerate(zip(pieces, exact, books, strict=True)):
        with in_row(at):
            articles.append(_freeze(piece, skins, on, share, book, rates, split=pieces[0].number))
    cost.keep(skin.pk for skin in skins)
    for batch in dict.fromkeys(left):
        if cost_read.anything_after(batch, on):
            cost.refresh_batch(batch)
    entries.remember(request_key, articles[0])
    return articles


def used_share(skin: Skin) -> Fraction:
    """How much of a skin's cost its articles bear already, 0 to 1."""
    return sum((Fraction(part.share_of, part.share_in) for part in skin.parts.all()), Fraction(0))


def free_share(skins: Sequence[Skin]) -> Fraction:
    """The part of the cost of skins, joined, that is allocated to no piece yet."""
    return min((1 - used_share(skin) for skin in skins), default=Fraction(1))


def _refuse_unready(skins: Sequence[Skin], share: Fraction, on: date) -> None:
    refuse_two(skins)
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
    article = articles_services.create(piece=piece, skins=skins, finished_on=on, book_cost=book)
    ArticleCost.objects.create(
        article=article,
        **{part: half_up(value, cost_rules.EXACT_PLACES) for part, value in vars(share).items()},
        **vars(rates),
        book=book,
        full=cost_rules.rounded(share, rates, workshop_read.places()).full,
        late_minutes=0,
        late_own_minutes=0,
        split=split,
    )
    return article


def _leave(skin: Skin, on: date) -> list[Batch]:
    """The skin is finished; the batches it was in until now."""
    skins_services.set_stage(skin, Skin.Stage.FINISHED)
    return stays.end_stays(skin, on)


TASK_LONGEST = 80


@service(Act.SHED, makes=Article)
def more(
    *,
    article: Article,
    on: date,
    task: str,
    kind: str = "",
    minutes: Decimal | None = None,
    amounts: Sequence[Amount] = (),
    by: Person = None,
    request_key: str | None = None,
) -> Article:
    """Materials and minutes on the skins of a piece, with its number in the reason. Pieces cut from one skin share it."""
    tags = sorted(part.skin.tag for part in article.parts.select_related("skin"))
    # Skins before everything else, as everywhere; then the piece, so that it cannot be sold meanwhile.
    skins_services.lock(tags)
    row = Article.objects.select_for_update(of=("self",)).get(pk=article.pk)
    if row.gone_on is not None:
        raise Refused(f"{row.number} left on {row.gone_on}; nothing more can be done on it.", field="on")
    if on < row.finished_on:
        raise Refused(f"{row.number} was finished on {row.finished_on}. Choose that day or a later one.", field="on")
    task = checks.text(task, "What was done", field="task", longest=TASK_LONGEST - 24, needed=True)
    if minutes is None and not amounts:
        raise Refused("Nothing was entered. Give the minutes, or a material and its amount.", field="minutes")
    reason = f"{row.number}: {task}"
    with cost.at_once():
        if amounts:
            issues.issue(batch=None, on=on, amounts=amounts, tags=tags, by=by, reason=reason)
        if minutes is not None:
            labour.log(on=on, kind=kind or TaskKind.FINISH, task=reason, minutes=minutes, tags=tags, by=by)
    row.refresh_from_db()
    return row
