"""Reads of losses: how often skins are lost and where, what a loss costs both ways, and what a raw skin may cost at most.

Every figure comes from the workshop's own log. The number of queries does not grow with skins or batches.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from statistics import mean, median

from django.db.models import Count, Exists, Min, OuterRef

from costing.make.batches.models import BatchSkin
from costing.make.cost import selectors as cost
from costing.make.cost.rates import rules as rates, selectors as rates_read
from costing.make.cost.rules import Share
from costing.make.labour.rules import Ahead
from costing.make.losses import rules as losses, selectors as losses_read
from costing.make.losses.rules import Fate, Leg, LossRate
from costing.make.steps import selectors as steps
from costing.sell.sales.lines import selectors as sale_lines
from costing.sell.sales.models import Sale, SaleLine
from inventory.base import selectors as workshop
from inventory.models import ArticleSkin, Skin
from inventory.units import MINUTES_PER_HOUR

RAW = "Before a batch"
UNSAID = "Step not said"

RATES = (("if none is lost", Fraction(0)), ("at 10 %", Fraction(1, 10)), ("at one in three", Fraction(1, 3)))


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
    """Every skin with the steps it went through and the one it was lost in; one that went home undone was not lost.

    Ended skins that went the same way are counted together, by the database.
    """
    in_batch = Exists(BatchSkin.objects.filter(skin=OuterRef("pk"), left_on=OuterRef("lost_on")))
    rows = Skin.objects.annotate(in_batch=in_batch).order_by()
    alike = ("stage", "lost_at_step", "in_batch", "job__given_back", "species", "supplier__name")
    ended = rows.filter(cost__isnull=False).values_list("cost__entered", *alike)
    found = [
        _fate(first, kept.split("\n") if kept else (), count, *how)
        for kept, *how, first, count in ended.annotate(first=Min("tag"), count=Count("pk"))
    ]
    others = rows.filter(cost__isnull=True)
    entered = steps.entered(others)
    found += [_fate(tag, entered[pk], 1, *how) for pk, tag, *how in others.values_list("pk", "tag", *alike)]
    return sorted(found, key=lambda fate: fate.skin)


def _fate(
    tag: str,
    entered: Iterable[str],
    count: int,
    stage: str,
    step: str,
    in_batch: bool,
    given_back: bool | None,
    species: str,
    supplier: str | None,
) -> Fate:
    stages = [RAW, *entered]
    lost_at = ""
    if stage == Skin.Stage.LOST and not given_back:
        lost_at = step or (UNSAID if in_batch else RAW)
        stages.append(lost_at)
    return Fate(tag, tuple(dict.fromkeys(stages)), lost_at, species.lower(), supplier or "", count)


def species() -> list[str]:
    """Every species of which there is or was an own skin, however it is spelled, once; what was lost last comes first."""
    rows = Skin.objects.filter(owner=Skin.Owner.MINE)
    lost = rows.filter(lost_on__isnull=False).order_by("-lost_on", "pk").values_list("species", flat=True)
    names = [*lost, *rows.order_by("species").values_list("species", flat=True).distinct()]
    found: dict[str, str] = {}
    for name in names:
        found.setdefault(name.lower(), name)
    return list(found.values())


def proposed(name: str) -> Proposal:
    """What the log says of a species; money per skin without its price, lacings worn included."""
    kind = Skin.objects.filter(species__iexact=name.strip())
    own = kind.filter(owner=Skin.Owner.MINE)
    done = losses_read.last_finished(own)
    lost = list(losses_read.lost(own).order_by("-date_in", "-pk")[: losses_read.LOOKED_AT])
    shares = cost.own_shares([*done, *lost], None)
    before = _leg([shares[skin.tag] for skin in lost])
    whole = _leg([shares[skin.tag] for skin in done])
    nets = _nets(name)
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
        rate=losses_read.rate(kind),
        sold=len(nets),
        done=len(done),
        lost=len(lost),
    )


def _leg(shares: Sequence[Share]) -> Leg | None:
    """The average money (materials, help, wear) and own hours of these skins."""
    if not shares:
        return None
    wear = rates_read.plain()
    return Leg(mean(_money(share, wear) for share in shares), mean(share.own_hours() for share in shares))


def _nets(name: str) -> list[Fraction]:
    """What each own skin of the species brought that was sold as one whole piece: taken less what selling it cost."""
    named = {
        kind for kind in Skin.objects.order_by().values_list("species", flat=True).distinct() if _alike(kind, name)
    }
    mixed = ArticleSkin.objects.exclude(skin__species__in=named).values("article")
    sold = SaleLine.objects.filter(
        kind=SaleLine.Kind.ARTICLE, standing=True, quantity__gt=0, article__parts__skin__species__in=named
    ).exclude(article__in=mixed)
    # Papers of the last so many lines: what was sold before them is not looked at.
    last = (
        sold.order_by("-sale__on", "-sale", "-position").values_list("pk", "sale").distinct()[: losses_read.LOOKED_AT]
    )
    rows = sale_lines.lines(Sale.objects.filter(pk__in={sale for _, sale in last}))
    found = []
    for row in rows:
        article = row.line.article
        if article is None or not row.line.standing or row.line.quantity <= 0:
            continue
        parts = list(article.parts.all())
        alike = all(_alike(part.skin.species, name) for part in parts)
        taken = sum((Fraction(part.share_of, part.share_in) for part in parts), Fraction(0))
        if alike and taken:
            # Three pouches of a skin are a third each; a cushion of two is half a skin each: per whole skin, both.
            found.append((Fraction(row.sold.taken) - Fraction(row.sold.selling)) / taken)
    return found[-losses_read.LOOKED_AT :]


def _alike(species: str, name: str) -> bool:
    return species.lower() == name.strip().lower()


def most(
    net: Fraction, before: Leg, after: Leg, hourly: Decimal, salvage: Decimal, more: Iterable[tuple[str, Fraction]] = ()
) -> list[tuple[str, Decimal]]:
    """The most to pay for a raw skin, in words at which loss, and how much; below nought not even as a gift.

    At no loss, at one in ten, at one in three, and at the rates given.
    """
    places = workshop.places()
    rows = sorted([*RATES, *more], key=lambda row: row[1])
    return [(words, losses.most_to_pay(net, before, after, hourly, rate, salvage, places)) for words, rate in rows]


@dataclass(frozen=True)
class ToCome:
    """What a skin in work is still expected to take, from finished ones of its kind. None: not known."""

    minutes: Fraction | None
    money: Fraction | None
    rate: LossRate | None


def to_come(skin: Skin, share: Share) -> ToCome:
    """Usual cost and minutes of finished skins of the species less what this one bore already."""
    kind = Skin.objects.filter(species__iexact=skin.species)
    done = losses_read.last_finished(kind)
    shares = list(cost.own_shares(done, None).values()) if done else []
    wear = rates_read.plain()
    return ToCome(
        minutes=_rest([each.own_minutes for each in shares], share.own_minutes),
        money=_rest([_money(each, wear) for each in shares], _money(share, wear)),
        rate=losses_read.rate(kind),
    )


def _money(share: Share, wear: rates.Rates) -> Fraction:
    return share.materials + share.paid_help + share.wear(wear)


def _rest(usual: Sequence[Fraction], so_far: Fraction) -> Fraction | None:
    return max(median(usual) - so_far, Fraction(0)) if usual else None


def go_on(now: Decimal, finished: Fraction, minutes: Fraction, money: Fraction, rate: LossRate | None) -> Ahead:
    """Stop or go: what it is expected to be worth finished against what it is worth now. Hours and money spent are gone."""
    wage, chance = rates_read.current().wage_per_hour, rate.rate if rate else Fraction(0)
    return losses.stop_or_go(
        now, finished, Leg(money, minutes / MINUTES_PER_HOUR), wage, chance, places=workshop.places()
    )


def recent() -> list[Skin]:
    """The last lost skins, the latest first."""
    rows = losses_read.lost(Skin.objects.select_related("supplier"))
    return list(rows.order_by("-lost_on", "tag")[:25])
