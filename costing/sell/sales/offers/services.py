"""What may be sold, and what it had borne: the refusals and figures that `selling` needs before a paper is written."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.make.cost import selectors as cost
from costing.make.cost.rates import selectors as rates
from costing.sell.jobs.models import Job
from costing.sell.pricing import selectors as pricing
from costing.sell.pricing.channels.models import Channel
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.tax import rules as tax
from inventory.base import checks, selectors as workshop
from inventory.base.checks import coins
from inventory.errors import Refused
from inventory.models import Article, Kind as StockKind, Move, Place, Posting, Skin
from inventory.money import ZERO, half_up
from inventory.places.moves import services as moves

EXACT_PLACES = 9
MOST_PERCENT = 100
TIP_RELIEF = "a tip, freely given"
Kind = SaleLine.Kind


@dataclass(frozen=True)
class Borne:
    """What a line's thing had borne on the day of the sale."""

    book: Decimal = ZERO
    full: Decimal = ZERO
    own_minutes: Decimal = ZERO


@dataclass(frozen=True)
class Item:
    """What is sold. `asked` is the price of one, `discount` money off the line. `tax_percent` None takes the usual rate, or 0 where
    a reason is said: in `relief`, else as the buyer or the channel has one; and none for a tip.

    `borne` only for a paper that was issued before it came here; else it is worked out.
    """

    kind: str
    asked: Decimal
    words: str = ""
    article: Article | None = None
    job: Job | None = None
    skin: Skin | None = None
    discount: Decimal = ZERO
    quantity: Decimal = Decimal(1)
    tax_percent: Decimal | None = None
    relief: str = ""
    borne: Borne | None = None


def hold(items: Sequence[Item]) -> None:
    """Everything that is sold, locked in one order, so that two sales of the same things never wait for each other.

    Articles come last: who writes a late cost holds its skins when it gets to them.
    """
    for kind, name in ((Skin, "skin"), (Job, "job"), (Article, "article")):
        things = {thing.pk: thing for item in items if (thing := getattr(item, name)) is not None}
        list(kind._default_manager.select_for_update().filter(pk__in=things).order_by("pk"))


def refuse_twice(items: Sequence[Item]) -> None:
    # Compared as things and not by name: a piece and a skin may both be called 12.
    things = [thing for item in items for thing in (item.article, item.job, item.skin) if thing is not None]
    twice = next((thing for thing in things if things.count(thing) > 1), None)
    if twice is not None:
        raise Refused(f"{twice} is on two lines. A thing is sold once; leave one out.", field="items")


def refuse_unsold(item: Item, paper: Sale, *, taken_over: bool = False) -> None:
    """`taken_over`: a paper of earlier; through which channel a place is sold may have been settled since."""
    checks.not_negative(item.asked, "The price", field="asked")
    coins(item.asked, "The price", field="asked")
    coins(item.discount, "The discount", field="discount")
    checks.held(checks.positive(item.quantity, "The quantity", field="quantity"), field="quantity")
    checks.sized(item.asked * item.quantity, "The price", field="asked")
    _refuse_other_things(item)
    if item.article is not None:
        _refuse_article(item.article, paper, taken_over=taken_over)
    if item.job is not None:
        _refuse_job(item.job, paper)
    if item.skin is not None:
        _refuse_scrap(item.skin, paper.on)
    if item.kind == Kind.OTHER and not item.words.strip():
        raise Refused("Say what was sold.", field="words")


_NAMED = {
    Kind.ARTICLE: ("article", "the piece that was sold"),
    Kind.WORK: ("job", "the job whose work is billed"),
    Kind.SCRAP: ("skin", "the skin that was sold as it was"),
}


def _refuse_other_things(item: Item) -> None:
    """A line stands for the one thing that its kind says, whole."""
    if item.kind not in Kind.values:
        raise Refused(f"{item.kind!r} is nothing that is sold; choose one of {', '.join(Kind.values)}.", field="kind")
    own, called = _NAMED.get(Kind(item.kind), ("", ""))
    for name in ("article", "job", "skin"):
        thing = getattr(item, name)
        if thing is not None and name != own:
            raise Refused(f"{thing} cannot be on a line of kind {item.kind}. Give it a line of its own.", field=name)
    thing = getattr(item, own) if own else None
    if own and thing is None:
        raise Refused(f"Name {called}.", field=own)
    if thing is not None and item.quantity != 1:
        raise Refused(f"{thing} is one of a kind; its quantity is 1.", field="quantity")


def _refuse_article(article: Article, paper: Sale, *, taken_over: bool) -> None:
    article = moves.lock(article)
    if article.customers:
        raise Refused(f"{article.number} is a customer's own. Bill the work on it by its job.", field="article")
    if article.gone_on is not None:
        sold = article.sale_lines.filter(standing=True).select_related("sale").first()
        by = f" by {sold.sale.number}" if sold else ""
        raise Refused(
            f"{article.number} left on {article.gone_on} ({Move.Why(article.gone_why).label.lower()}{by}). "
            "Credit that sale first if the piece came back.",
            field="article",
        )
    if not taken_over:
        _refuse_elsewhere(article, paper.channel)
    if paper.on < article.finished_on:
        raise Refused(
            f"{article.number} was finished on {article.finished_on}; it was not there to sell on {paper.on}.",
            field="on",
        )


def _refuse_elsewhere(article: Article, channel: Channel | None) -> None:
    """What stands at a gallery is sold through it, and through a gallery only what stands there."""
    if channel is not None and channel.place_id is not None and channel.place_id == article.place_id:
        return
    there = article.place
    held_by = Channel.objects.filter(place=there).first() if there is not None else None
    if held_by is not None or (channel is None and there is not None and there.kind == Place.Kind.GALLERY):
        way = held_by or "the channel that it was sold through"
        raise Refused(
            f"{article.number} is at {there} on sale or return. Sell it through {way}, or move it back first.",
            field="article",
        )
    if channel is not None and channel.place_id is not None:
        raise Refused(
            f"{article.number} is not at {channel.place}, and {channel} sells what is there. "
            "Move it there first, or sell it another way.",
            field="article",
        )


def _refuse_job(job: Job, paper: Sale) -> None:
    on, customer = paper.on, paper.customer
    job.refresh_from_db(from_queryset=Job.objects.select_for_update())
    if job.handed_over_on is not None:
        raise Refused(f"{job.number} was handed over on {job.handed_over_on} and is billed already.", field="job")
    if customer is None or customer.pk != job.customer_id:
        raise Refused(f"{job.number} is for {job.customer}; make the paper out to them.", field="customer")
    if on < job.taken_on:
        raise Refused(f"{job.number} was taken on {job.taken_on}, after {on}.", field="on")
    if job.given_up_on is not None:
        if on < job.given_up_on:
            raise Refused(
                f"{job.number} was cancelled on {job.given_up_on}; bill the work so far from then on.", field="on"
            )
    elif job.skin.lost_on is not None:
        raise Refused(
            f"{job.skin.tag} of {job.number} was lost on {job.skin.lost_on}. Cancel the job; what you keep for the work so"
            " far is billed with that.",
            field="job",
        )
    elif job.skin.stage != Skin.Stage.FINISHED:
        raise Refused(
            f"{job.skin.tag} of {job.number} is not finished yet. Finish it first; until then money for it is a deposit.",
            field="job",
        )


def _refuse_scrap(skin: Skin, on: date) -> None:
    skin.refresh_from_db(from_queryset=Skin.objects.select_for_update())
    if skin.stage != Skin.Stage.LOST:
        raise Refused(
            f"{skin.tag} is {skin.get_stage_display().lower()}. Only a lost skin is sold as scrap."
            " Finish it, or write it off first.",
            field="skin",
        )
    if skin.theirs:
        raise Refused(f"{skin.tag} is a customer's own and is not yours to sell.", field="skin")
    if skin.lost_on and on < skin.lost_on:
        raise Refused(f"{skin.tag} was lost on {skin.lost_on}, after {on}.", field="on")
    if skin.sale_lines.filter(standing=True).exists():
        raise Refused(f"{skin.tag} is sold already.", field="skin")


def refuse_packing(box: Posting | None) -> None:
    if box is None:
        return
    if box.reverses_id or Posting.objects.filter(reverses=box).exists():
        raise Refused("The packing named was reversed; put a box in the sale again.", field="box")
    if box.kind != StockKind.SOLD:
        raise Refused(
            "Packing leaves the shelf as sold, and what was named did not. Put a box in the sale.", field="box"
        )
    other = Sale.objects.filter(packing=box).first()
    if other:
        raise Refused(f"That packing went with {other.number} already.", field="box")


def line(item: Item, paper: Sale) -> SaleLine:
    """What the paper says of it and what it had borne, not saved. Where no tax rate is said, that of the sale's day, or none where
    the line, the buyer or the channel has a reason for that."""
    words, rate = _words(item), item.tax_percent
    relief = checks.text(item.relief, "The reason for 0 %", field="relief", longest=120)
    if paper.taxed and item.kind == Kind.TIP and not rate:
        relief = relief or TIP_RELIEF
    if rate is not None:
        _refuse_rate(rate, item, words, paper)
    elif paper.taxed:
        relief = relief or usual_relief(paper)
        rate = ZERO if relief else rates.at(paper.on).vat_percent
    return SaleLine(
        words=words,
        tax_percent=rate or ZERO,
        relief=relief,
        **{name: getattr(item, name) for name in ("kind", "article", "job", "skin", "quantity", "asked", "discount")},
        **vars(item.borne or borne(item, paper.on)),
    )


def usual_relief(paper: Sale) -> str:
    """Why the buyer, or who resells it, is charged no tax; empty where it is."""
    return (paper.customer.relief if paper.customer else "") or (paper.channel.relief if paper.channel else "")


def _refuse_rate(rate: Decimal, item: Item, words: str, paper: Sale) -> None:
    checks.held(checks.not_negative(rate, "The tax rate", field="tax_percent"), field="tax_percent")
    if rate > MOST_PERCENT:
        raise Refused(f"A tax rate of {rate} % is not believable.", field="tax_percent")
    if rate and item.relief.strip():
        raise Refused(
            f"A reason why no tax is due stands beside a rate of {rate} %. Take one of them out.", field="relief"
        )
    if not paper.taxed:
        raise tax.not_registered(words, rate)


def _words(item: Item) -> str:
    said = checks.text(item.words, "What was sold", field="words", longest=200)
    if said:
        return said
    if item.article is not None:
        species = ", ".join(dict.fromkeys(part.skin.species for part in item.article.parts.select_related("skin")))
        return f"{item.article.number} {item.article.kind}, {species}"[:200]
    if item.job is not None:
        what = "work until it was cancelled" if item.job.given_up_on else item.job.work
        return f"{item.job.number} {what}"[:200]
    if item.skin is not None:
        return f"{item.skin.tag} {item.skin.species}, spoiled"[:200]
    return "Tip" if item.kind == Kind.TIP else "Postage"


def borne(item: Item, on: date) -> Borne:
    articles = [item.article] if item.article is not None else []
    if item.job is not None:
        articles = list(Article.objects.filter(parts__skin=item.job.skin).select_related("cost").order_by("pk"))
    if articles:
        own = [pricing.own_minutes(article.cost) for article in articles]
        return Borne(
            sum((article.book_cost for article in articles), ZERO),
            sum((article.cost.full + article.cost.late_full for article in articles), ZERO),
            half_up(sum(own, Fraction(0)), EXACT_PLACES),
        )
    undone = item.skin or (item.job.skin if item.job is not None else None)
    if undone is not None:
        share = cost.lost_shares([undone], on)[undone.tag]
        places = workshop.places()
        return Borne(
            half_up(share.book(), places),
            half_up(share.full(rates.plain(undone.lost_on)), places),
            half_up(share.own_minutes, EXACT_PLACES),
        )
    return Borne()
