"""Jobs as they stand: where the skin is, what is due on it next, the money, the waiting after the notice.

The number of queries does not grow with jobs.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Case, Prefetch, QuerySet, Value, When

from costing.make.batches.logs.selectors import logs
from costing.make.batches.models import Batch, BatchSkin
from costing.make.cost import selectors as cost
from costing.make.steps.agenda import selectors as agenda
from costing.make.steps.plans import selectors as plans
from costing.make.steps.plans.selectors import Ahead
from costing.sell.jobs import rules
from costing.sell.jobs.models import Job
from costing.sell.jobs.quotes import rules as quotes
from costing.sell.payments import selectors as payments
from costing.sell.pricing import selectors as pricing
from costing.sell.pricing.rules import Footing, Meaning
from costing.sell.sales.invoices import selectors as invoices
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.terms import selectors as terms_read
from costing.sell.sales.terms.models import Terms
from inventory import formats
from inventory.base import selectors as workshop
from inventory.base.finding import hits
from inventory.models import Article, ArticleSkin, Place, Skin
from inventory.money import ZERO, half_up
from inventory.templatetags.figures import money as money_of_notices
from inventory.units import MINUTES_PER_HOUR

# By state: its mark, and what the maker calls it. The order is that of the work.
STATES = {
    "raw": "Not begun",
    "work": "In work",
    "done": "Finished, not told",
    "told": "Waits to be fetched",
    "over": "Handed over",
    "lost": "Lost",
    "given": "Cancelled",
}
# So many jobs, the last, say what is usual.
COMPARED = 60

ENDED = ("over", "lost", "given")

STATE = Case(
    When(given_up_on__isnull=False, then=Value("given")),
    When(handed_over_on__isnull=False, then=Value("over")),
    When(skin__stage=Skin.Stage.LOST, then=Value("lost")),
    When(skin__stage=Skin.Stage.RAW, then=Value("raw")),
    When(skin__stage=Skin.Stage.FINISHED, ready_on__isnull=False, then=Value("told")),
    When(skin__stage=Skin.Stage.FINISHED, then=Value("done")),
    default=Value("work"),
)


@dataclass(frozen=True)
class Standing:
    """One job at the end of a day. `sums` is what the agreed price comes to; `left` is still to pay: of that, or of its invoice
    once that is written.

    `next` is what its batch asks for next. `late` counts days past the day promised while the skin is not finished.
    """

    job: Job
    state: str
    place: Place | None
    batch: Batch | None
    next: Ahead | None
    pieces: tuple[Article, ...]
    deposit: Decimal
    sums: Meaning
    left: Decimal
    storage: quotes.Storage | None
    late: int
    sale: Sale | None

    @property
    def words(self) -> str:
        return STATES[self.state]

    @property
    def mark(self) -> str:
        """The kind of mark that says how pressing it is."""
        if self.late or self.state == "lost" or (self.state == "given" and self.deposit):
            return "late"
        if self.storage and self.storage.charged_days and self.state == "told":
            return "watch"
        return {"raw": "wait", "work": "now", "done": "watch", "told": "wait"}.get(self.state, "ok")


def listed() -> QuerySet[Job]:
    """Every job, the last one taken first, with what its standing needs."""
    stays = BatchSkin.objects.filter(left_on__isnull=True).select_related("batch")
    made = ArticleSkin.objects.select_related("article__place", "article__cost").order_by("article__pk")
    return (
        Job.objects.annotate(state=STATE)
        .select_related("customer", "skin__place")
        .prefetch_related(Prefetch("skin__stays", queryset=stays, to_attr="open_stays"))
        .prefetch_related(Prefetch("skin__parts", queryset=made), "payments")
        .order_by("-taken_on", "-pk")
    )


def in_state(rows: QuerySet[Job], state: str) -> QuerySet[Job]:
    """Jobs of one of `STATES`; `open` for all that were neither handed over, nor lost, nor cancelled."""
    rows = rows.annotate(state=STATE)
    return rows.exclude(state__in=ENDED) if state == "open" else rows.filter(state=state)


def standings(jobs: Iterable[Job], on: date) -> dict[int, Standing]:
    """By job id, for rows of `listed()`."""
    rows = list(jobs)
    next_up = _next_up({stay.batch_id for job in rows for stay in _stays(job)}, on)
    sales = _invoices(rows, on)
    terms, footed = terms_read.terms(), pricing.footing()
    return {job.pk: _standing(job, on, next_up, sales.get(job.pk), terms, footed) for job in rows}


def standing(job: Job, on: date) -> Standing:
    return standings([job], on)[job.pk]


def _standing(
    job: Job, on: date, next_up: dict[int, Ahead], sale: Sale | None, terms: Terms, footed: Footing
) -> Standing:
    state: str = job.state  # type: ignore[attr-defined]  # annotated by `listed()`
    paid, sums = payments.deposit(job), payments.comes_to(job, footed)
    pieces = tuple(part.article for part in job.skin.parts.all())
    batch = next((stay.batch for stay in _stays(job)), None)
    owed = payments.left(sale, on) if sale is not None else max(sums.pays - paid, ZERO)
    waiting = job.ready_by is not None and state in ("raw", "work") and on > job.ready_by
    nothing_due = state == "lost" or (state == "given" and sale is None)
    place = next((piece.place for piece in pieces if piece.gone_on is None), None) if pieces else job.skin.place
    return Standing(
        job=job,
        state=state,
        place=None if state == "given" else place,
        batch=batch,
        next=next_up.get(batch.pk) if batch else None,
        pieces=pieces,
        deposit=ZERO if job.handed_over_on else paid,
        sums=sums,
        left=ZERO if nothing_due else owed,
        storage=storage(job, on, terms),
        late=(on - job.ready_by).days if waiting and job.ready_by else 0,
        sale=sale,
    )


def _stays(job: Job) -> list[BatchSkin]:
    found: list[BatchSkin] = getattr(job.skin, "open_stays", [])
    return found


def _next_up(batches: set[int], on: date) -> dict[int, Ahead]:
    """By batch id: the first thing that it still asks of the hands."""
    if not batches:
        return {}
    live = [batch for batch in agenda.live(on) if batch.pk in batches]
    written = logs(live, on)
    ahead = {batch.pk: plans.of_batch(batch, written[batch.pk], on) for batch in live}
    return {pk: found[0] for pk, found in ahead.items() if found}


def _invoices(jobs: Iterable[Job], on: date) -> dict[int, Sale]:
    """By job id: the paper that billed it and still stands, with everything that settles it where that is not over by then."""
    lines = SaleLine.objects.filter(job__in=list(jobs), standing=True).select_related("sale")
    billed = {line.job_id: line.sale for line in lines if line.job_id is not None}
    open_ = [sale.pk for sale in billed.values() if sale.settled_on is None or sale.settled_on > on]
    read = {sale.pk: sale for sale in payments.unsettled(on).filter(pk__in=open_)} if open_ else {}
    return {job: read.get(sale.pk, sale) for job, sale in billed.items()}


def storage(job: Job, on: date, terms: Terms | None = None) -> quotes.Storage | None:
    """How long it waits since the notice, by the terms; None while nobody was told."""
    if job.ready_on is None:
        return None
    terms = terms or terms_read.terms()
    return quotes.storage(job.ready_on, on, terms.storage_free_days, terms.storage_per_day, job.handed_over_on)


@dataclass(frozen=True)
class Earning:
    """What the work cost so far against the agreed price, or against what was billed of it when it was cancelled.

    `price` is without tax; `per_hour` None while no hour is in it; `over` = price - full.
    """

    book: Decimal
    full: Decimal
    minutes: Fraction
    price: Decimal
    over: Decimal
    per_hour: Decimal | None


def earning(stands: Standing) -> Earning:
    """Frozen and late costs of what was made of the skin; while it is in work, its cost so far at the rates of today."""
    job, where = stands.job, pricing.NO_CHANNEL
    made = [pricing.of_article(piece, where) for piece in stands.pieces]
    costs = made or [pricing.of_skin(job.skin, cost.lost_shares([job.skin])[job.skin.tag], where)]
    minutes = sum((each.own_hours() for each in costs), Fraction(0)) * MINUTES_PER_HOUR
    book, full = sum((each.book for each in costs), ZERO), sum((each.full for each in costs), ZERO)
    price = stands.sums.net
    if stands.state == "given":
        price = stands.sale.net if stands.sale else ZERO
    per_hour = half_up(Fraction(price - book) * MINUTES_PER_HOUR / minutes, workshop.places()) if minutes else None
    return Earning(book, full, minutes, price, price - full, per_hour)


def waiting_skins() -> QuerySet[Skin]:
    """Customers' skins that are here without a job."""
    here = Skin.objects.filter(owner=Skin.Owner.CUSTOMER).exclude(stage=Skin.Stage.LOST)
    return here.filter(job__isnull=True).order_by("tag")


def next_number() -> str:
    """The number after the highest J-<n> in use."""
    found = (re.fullmatch(r"[Jj]-(\d{1,6})", number) for number in Job.objects.values_list("number", flat=True))
    return f"J-{max((int(match[1]) for match in found if match), default=0) + 1:02d}"


def odd_price(species: str, price: Decimal, but: Job | None = None) -> str | None:
    """What to ask of an agreed price, beside those of other jobs on skins of the species."""
    rows = Job.objects.filter(skin__species__iexact=species.strip(), price__gt=0).order_by("-pk")
    if but is not None:
        rows = rows.exclude(pk=but.pk)
    return rules.odd_price(species, price, list(rows.values_list("price", flat=True)[:COMPARED]), workshop.shown)


CAUTION = (
    "How such a notice has to be given, what may be charged for storage, and when goods that nobody fetches may be sold, "
    "is local law and differs from place to place. Keep what shows that it was sent, and ask before you charge or sell."
)


def ready_words(stands: Standing, on: date) -> str:
    """Who writes, what is ready, where it is fetched, what is left to pay, storage and from when, for a notice of a day."""
    seller, terms, job = invoices.seller(), terms_read.terms(), stands.job
    where = seller["address"] or workshop.current().name
    lines = [
        *filter(None, (seller["name"], seller["address"], seller["electronic"])),
        "",
        f"{job.customer.name},",
        "",
        f"your {job.skin.species.lower()} skin ({job.number}, tag {job.skin.tag}: {job.work}) is ready since {_day(on)}.",
        f"It can be fetched from {', '.join(part.strip() for part in where.splitlines() if part.strip())}.",
        _owed(stands),
        _storage(on, terms),
    ]
    return "\n".join(lines).strip()


def _owed(stands: Standing) -> str:
    if not stands.left:
        return "The balance due is zero."
    sums = stands.sums
    agreed, tax, paid, left = map(money_of_notices, (stands.job.price, sums.tax, stands.deposit, stands.left))
    on_top = f" and {tax} tax" if sums.pays != sums.typed else ""
    less = f", less {paid} paid before" if stands.deposit else ""
    return f"Still to pay: {left}{f': {agreed} agreed{on_top}{less}' if on_top or less else ''}."


def _storage(on: date, terms: Terms) -> str:
    until = quotes.storage(on, on, terms.storage_free_days, terms.storage_per_day).free_until
    if not terms.storage_per_day:
        return f"Please fetch it by {_day(until)}."
    charged = f"from {_day(until + timedelta(days=1))} on it costs {money_of_notices(terms.storage_per_day)} a day"
    return f"Storage is free until {_day(until)}; {charged}." if terms.storage_free_days else f"For storage, {charged}."


def _day(on: date) -> str:
    return formats.day(on, full=True)


def search(words: str) -> QuerySet[Job]:
    """Jobs by number, customer, skin and work."""
    rows = Job.objects.select_related("customer", "skin")
    return hits(rows, words, ("number", "customer__name", "skin__tag", "skin__species", "work"))
