"""Reads of losses: how often skins are lost and where, what a loss costs both ways, and what a raw skin may cost at most.

Every figure comes from the workshop's own log. The number of queries does not grow with skins or batches.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from statistics import mean, median

from django.db.models import Prefetch

from costing import loss, rollup, schedule
from costing.loss import Fate, Leg, LossRate
from costing.models import Batch, BatchSkin, Sale, SaleLine, StepMark
from costing.rollup import Share
from costing.selectors import costs, gone_home, rates, spread, steps, takings
from costing.worth import Ahead
from inventory.models import Skin
from inventory.selectors import workshop

RAW = "Before a batch"
UNSAID = "Step not said"
# What is usual is told from the last so many: older hands were slower, and the page stays quick.
LOOKED_AT = 40
RATES = (("if none is lost", Fraction(0)), ("at 10 %", Fraction(1, 10)), ("at one in three", Fraction(1, 3)))


@dataclass(frozen=True)
class Both:
    """A loss as it would be written off and as it would be spread, side by side; `batch` None where nobody could bear it."""

    found: loss.Loss
    salvage: Fraction
    batch: Batch | None


@dataclass(frozen=True)
class Proposal:
    """From the own skins of a species: what a sale leaves, and money and hours before and after the point of loss.

    None where the log says nothing. `sold`, `done` and `lost` are of how many pieces and skins each is told.
    """

    species: str
    net: Fraction | None
    before: Leg | None
    after: Leg | None
    rate: LossRate | None
    sold: int
    done: int
    lost: int


def fates() -> list[Fate]:
    """Every skin with the steps it went through and the one it was lost in; one that went home undone was not lost."""
    stays = BatchSkin.objects.select_related("batch__version").order_by("joined_on", "pk")
    skins = list(Skin.objects.select_related("supplier", "job").prefetch_related(Prefetch("stays", queryset=stays)))
    laid = _laid({stay.batch_id: stay.batch for skin in skins for stay in skin.stays.all()})
    return [_fate(skin, laid) for skin in skins]


def _laid(batches: dict[int, Batch]) -> dict[int, tuple[schedule.Laid, ...]]:
    marks: dict[int, list[StepMark]] = defaultdict(list)
    for mark in StepMark.objects.filter(batch__in=batches, taken_back_at__isnull=True).select_related("step"):
        marks[mark.batch_id].append(mark)
    versions = {
        row.version_id: row
        for row in Batch.objects.filter(pk__in=batches).select_related("version").prefetch_related("version__steps")
    }
    today = workshop.today()
    return {
        pk: schedule.lay_out(
            steps.as_steps(versions[batch.version_id].version.steps.all(), heads=0),
            batch.start,
            steps.as_marks(marks[pk]),
            today=today,
        )
        for pk, batch in batches.items()
        if batch.state != Batch.State.PLANNED
    }


def _fate(skin: Skin, laid: dict[int, tuple[schedule.Laid, ...]]) -> Fate:
    entered = [RAW]
    for stay in skin.stays.all():
        entered += _entered(stay, laid.get(stay.batch_id, ()))
    lost_at = ""
    if skin.lost_on is not None and not _went_home(skin):
        in_batch = any(stay.left_on == skin.lost_on for stay in skin.stays.all())
        lost_at = skin.lost_at_step or (UNSAID if in_batch else RAW)
    if lost_at and lost_at not in entered:
        entered.append(lost_at)
    supplier = skin.supplier.name if skin.supplier else ""
    return Fate(skin.tag, tuple(dict.fromkeys(entered)), lost_at, skin.species.lower(), supplier)


def _went_home(skin: Skin) -> bool:
    job = getattr(skin, "job", None)
    return job is not None and job.given_back


def _entered(stay: BatchSkin, laid: Sequence[schedule.Laid]) -> Iterable[str]:
    """Steps that had begun before the skin left and had not ended before it joined: those done, and the one after them."""
    for each in laid:
        if each.ended is None or each.ended >= stay.joined_on:
            if stay.left_on is not None and each.begins >= stay.left_on and each.ended != stay.left_on:
                return
            yield each.step.key
        if each.ended is None:
            return


def both(skin: Skin) -> Both | None:
    """What its loss costs written off and spread; None for a skin that is not lost."""
    if skin.lost_on is None:
        return None
    cost = costs.lost_shares([skin])[skin.tag]
    rate = rates.plain(skin.lost_on)
    brought = min(spread.salvage([skin]).get(skin.pk, Fraction(0)), cost.book())
    borne = spread.if_spread(skin)
    weights = {}
    if borne is not None:
        there = costs.as_stays(borne.batch.share_by, list(borne.bearers))
        weights = {stay.skin: stay.weight for stay in there}
    return Both(_reckoned(cost, brought, weights, rate), brought, borne.batch if borne else None)


def _reckoned(cost: Share, brought: Fraction, weights: dict[str, Fraction], rate: rollup.Rates) -> loss.Loss:
    """Salvage is money and exact to the coin, or all that the skin had cost."""
    places = workshop.places()
    book, full = cost.book() - brought, cost.full(rate) - brought
    return loss.reckon(book, full, Decimal(0), weights, places)


def species() -> list[str]:
    """Every species of which there is or was an own skin, however it is spelled, once; what was lost last comes first."""
    rows = Skin.objects.filter(owner=Skin.Owner.MINE)
    lost = rows.filter(lost_on__isnull=False).order_by("-lost_on", "pk").values_list("species", flat=True)
    names = [*lost, *rows.order_by("species").values_list("species", flat=True)]
    found: dict[str, str] = {}
    for name in names:
        found.setdefault(name.lower(), name)
    return list(found.values())


def proposed(name: str) -> Proposal:
    """What the log says of a species; money per skin without its price, lacings worn included."""
    kind = Skin.objects.filter(species__iexact=name.strip())
    own = kind.filter(owner=Skin.Owner.MINE)
    done = list(own.filter(stage=Skin.Stage.FINISHED).order_by("-date_in", "-pk")[:LOOKED_AT])
    lost = list(gone_home.lost(own).order_by("-date_in", "-pk")[:LOOKED_AT])
    shares = costs.own_shares([*done, *lost], None)
    before = _leg([shares[skin.tag] for skin in lost])
    whole = _leg([shares[skin.tag] for skin in done])
    nets = _nets(name)
    gone, all_done = gone_home.lost(kind).count(), kind.filter(stage=Skin.Stage.FINISHED).count()
    if whole is not None and before is None:
        # Nothing was lost yet: reckoned as if it were lost at the very end, which is the dearest point.
        before, after = whole, Leg()
    elif whole is not None and before is not None:
        money, hours = Fraction(whole.money) - Fraction(before.money), Fraction(whole.hours) - Fraction(before.hours)
        after = Leg(max(money, Fraction(0)), max(hours, Fraction(0)))
    else:
        after = None
    return Proposal(
        species=name.strip(),
        net=mean(nets) if nets else None,
        before=before,
        after=after,
        rate=LossRate(gone, gone + all_done) if gone + all_done else None,
        sold=len(nets),
        done=len(done),
        lost=len(lost),
    )


def _leg(shares: Sequence[Share]) -> Leg | None:
    """The average money (materials, help, wear) and own hours of these skins."""
    if not shares:
        return None
    wear = rates.plain()
    money = [share.materials + share.paid_help + share.wear(wear) for share in shares]
    return Leg(mean(money), mean(share.own_hours() for share in shares))


def _nets(name: str) -> list[Fraction]:
    """What each own skin of the species brought that was sold as one whole piece: taken less what selling it cost."""
    papers = SaleLine.objects.filter(
        kind=SaleLine.Kind.ARTICLE, standing=True, article__parts__skin__species__iexact=name.strip()
    ).values("sale")
    rows = takings.lines(Sale.objects.filter(pk__in=papers))
    found = []
    for row in rows:
        article = row.line.article
        if article is None or not row.line.standing or row.line.quantity <= 0:
            continue
        parts = list(article.parts.all())
        alike = all(part.skin.species.lower() == name.strip().lower() for part in parts)
        taken = sum((Fraction(part.share_of, part.share_in) for part in parts), Fraction(0))
        if alike and taken:
            # Three pouches of a skin are a third each; a cushion of two is half a skin each: per whole skin, both.
            found.append((Fraction(row.sold.taken) - Fraction(row.sold.selling)) / taken)
    return found[-LOOKED_AT:]


@dataclass(frozen=True)
class Most:
    """Most to pay for a raw skin `words`: at a rate, half up; below nought not even as a gift."""

    words: str
    price: Decimal


def most(
    net: Fraction, before: Leg, after: Leg, hourly: Decimal, salvage: Decimal, more: Iterable[tuple[str, Fraction]] = ()
) -> list[Most]:
    """At no loss, at one in ten, at one in three, and at the rates given."""
    places = workshop.places()
    rows = sorted([*RATES, *more], key=lambda row: row[1])
    return [Most(words, loss.most_to_pay(net, before, after, hourly, rate, salvage, places)) for words, rate in rows]


@dataclass(frozen=True)
class ToCome:
    """What a skin in work is still expected to take and bring, from finished ones of its kind. None: not known."""

    net: Fraction | None
    minutes: Fraction | None
    money: Fraction | None
    rate: Fraction
    rate_of: LossRate | None


def to_come(skin: Skin, share: Share, net: Fraction | None) -> ToCome:
    """Usual cost and minutes of finished skins of the species less what this one bore already; `net` what a sale leaves."""
    kind = Skin.objects.filter(species__iexact=skin.species)
    done = list(kind.filter(stage=Skin.Stage.FINISHED).order_by("-date_in", "-pk")[:LOOKED_AT])
    shares = list(costs.own_shares(done, None).values()) if done else []
    wear = rates.plain()
    lost, all_done = gone_home.lost(kind).count(), kind.filter(stage=Skin.Stage.FINISHED).count()
    rate = LossRate(lost, lost + all_done) if lost + all_done else None
    return ToCome(
        net=net,
        minutes=_rest([each.own_minutes for each in shares], share.own_minutes),
        money=_rest([_money(each, wear) for each in shares], _money(share, wear)),
        rate=rate.rate if rate else Fraction(0),
        rate_of=rate,
    )


def _money(share: Share, wear: rollup.Rates) -> Fraction:
    return share.materials + share.paid_help + share.wear(wear)


def _rest(usual: Sequence[Fraction], so_far: Fraction) -> Fraction | None:
    return max(median(usual) - so_far, Fraction(0)) if usual else None


def go_on(now: Decimal, finished: Fraction, minutes: Fraction, money: Fraction, rate: Fraction) -> Ahead:
    """Stop or go: what it is expected to be worth finished against what it is worth now. Hours and money spent are gone."""
    return loss.stop_or_go(
        now,
        finished,
        Leg(money, minutes / rollup.HOUR),
        rates.current().wage_per_hour,
        rate,
        places=workshop.places(),
    )


def steps_of(skin: Skin) -> list[str]:
    """Names of the steps of the batch that it is in; none while it is raw."""
    stay = skin.stays.filter(left_on__isnull=True).select_related("batch__version").first()
    return [step.name for step in stay.batch.version.steps.all()] if stay else []


def recent() -> list[Skin]:
    """The last lost skins, the latest first."""
    rows = gone_home.lost(Skin.objects.select_related("supplier"))
    return list(rows.order_by("-lost_on", "tag")[:25])
