"""What batches have cost so far: the price of their skins and every line written on them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Q

from costing.make.batches.models import Batch, BatchSkin
from costing.make.cost import rules as cost_rules
from costing.make.cost.lines import selectors as lines_read
from costing.make.cost.lines.rules import Line, Stay
from costing.make.cost.models import SkinCost
from costing.make.cost.rates import rules as rates_rules, selectors as rates_read
from costing.make.cost.reallocation import selectors as reallocation
from costing.make.cost.reallocation.selectors import Spread
from costing.make.cost.rules import RoundedCost, Share
from inventory.base import selectors as workshop
from inventory.models import ArticleSkin, Skin


def skin_shares(skins: Iterable[Skin], until: date | None = None, *, kept: bool = True) -> dict[str, Share]:
    """Exact cost of each skin, by tag: its price, its shares of every batch it was in, what was done on it directly, and
    what it bears of skins that were lost beside it. A loss that is spread keeps only what its scrap brought.

    `kept`: what is kept of ended skins is taken where it holds. False works all out of the entries, to check what is kept."""
    skins = list(skins)
    if not skins:
        return {}
    losses = reallocation.behind((skin.pk for skin in skins), reallocation.standing(until))
    borne = with_losses(own_shares(_with_lost(skins, losses), until, kept=kept), losses)
    return {skin.tag: borne[skin.tag] for skin in skins}


def lost_shares(skins: Iterable[Skin], until: date | None = None) -> dict[str, Share]:
    """What lost skins had cost in all, by tag, as if none of their own losses were spread."""
    skins = list(skins)
    losses = reallocation.behind((skin.pk for skin in skins), reallocation.standing(until))
    borne = with_losses(own_shares(_with_lost(skins, losses), until), losses, spread=False)
    return {skin.tag: borne[skin.tag] for skin in skins}


def _with_lost(skins: Iterable[Skin], losses: Iterable[Spread]) -> list[Skin]:
    return list({skin.pk: skin for skin in [*skins, *(each.skin for each in losses)]}.values())


def with_losses(own: Mapping[str, Share], losses: Iterable[Spread], *, spread: bool = True) -> dict[str, Share]:
    """What skins took themselves with what they bear of these losses; unless `spread`, each loss counts whole where it was, too."""
    shares = dict(own)
    for each in losses:
        stays, borne = borne_of(each, shares[each.skin.tag])
        if spread:
            shares[each.skin.tag] = stays
        for tag, part in borne.items():
            if tag in shares:
                shares[tag] += part
    return shares


def borne_of(each: Spread, cost: Share) -> tuple[Share, dict[str, Share]]:
    """What stays with a lost skin of its `cost`, and by tag what each of the others bears of it, as its batch shares."""
    stays, borne = cost_rules.parted(cost, each.salvage)
    there = as_stays(each.batch.share_by, each.bearers)
    weights = sum((stay.weight for stay in there), Fraction(0))
    return stays, {stay.skin: borne.times(Fraction(stay.weight) / weights) for stay in there}


def own_shares(skins: Iterable[Skin], until: date | None = None, *, kept: bool = True) -> dict[str, Share]:
    """Exact cost of each skin without what it may bear of others that were lost: what it took itself. `kept`: as above."""
    skins = list(skins)
    known = _kept_shares(skins, until) if kept and skins else {}
    told = _told_shares(tuple(skin for skin in skins if skin.pk not in known), until)
    return {skin.tag: known.get(skin.pk) or told[skin.tag] for skin in skins}


def _kept_shares(skins: Iterable[Skin], until: date | None) -> dict[int, Share]:
    """By skin id: what is kept and holds by the day."""
    rows = SkinCost.objects.filter(skin__in=list(skins), settled_on__lte=until or date.max)
    return {pk: Share.read(exact) for pk, exact in rows.values_list("skin", "exact")}


@workshop.read_once
def _told_shares(skins: tuple[Skin, ...], until: date | None) -> dict[str, Share]:
    """The same by the entries."""
    if not skins:
        return {}
    totals = {skin.tag: brought_along(skin) for skin in skins}
    there = Q(stays__skin__in=skins)
    if until is not None:
        there |= Q(struck__skin__in=skins, struck__on__gt=until)
    batches = list(Batch.objects.filter(there).distinct())
    lines, named = lines_read.lines(batches, skins, until)
    stays = _stays(batches, until)
    found = [cost_rules.share_out(lines[each.pk], as_stays(each.share_by, stays[each.pk]))[0] for each in batches]
    # What was used or done on skins by name goes to all that were named, by head unless the entry says otherwise.
    found += [cost_rules.share_out([line], [Stay(tag, line.on) for tag in line.skins])[0] for line in named]
    for shares in found:
        for tag, share in shares.items():
            if tag in totals:
                totals[tag] += share
    return totals


def brought_along(skin: Skin) -> Share:
    """What a skin came with: its price, and of one that was there when the books began the own minutes in it."""
    minutes = Fraction(skin.minutes_before)
    return Share(skin_price=Fraction(skin.price), minutes=minutes, own_minutes=minutes)


def batch_shares(batches: Iterable[Batch], until: date | None = None) -> dict[int, tuple[dict[str, Share], Share]]:
    """By batch id: the exact share of each of its skins by tag, and what no skin could bear yet."""
    batches = list(batches)
    lines, stays = lines_read.batch_lines(batches, until), _stays(batches, until)
    return {
        batch.pk: cost_rules.share_out(lines[batch.pk], as_stays(batch.share_by, stays[batch.pk])) for batch in batches
    }


def _stays(batches: Sequence[Batch], until: date | None) -> dict[int, list[BatchSkin]]:
    stays: dict[int, list[BatchSkin]] = defaultdict(list)
    for stay in reallocation.stays(batches, until):
        if until is None or stay.joined_on <= until:
            stays[stay.batch_id].append(stay)
    return stays


def anything_after(batch: Batch, on: date) -> bool:
    """Whether a use, labour or a spread loss of a later day is on the batch: what a skin leaving on `on` does not bear."""
    return (
        batch.uses.filter(posting__on__gt=on).exists()
        or batch.labour.filter(on__gt=on).exists()
        or batch.stays.filter(skin__loss_spread=True, skin__lost_on__gt=on).exists()
    )


def piece_shares(parts: Iterable[ArticleSkin], shares: dict[str, Share]) -> dict[int, Share]:
    """By article id: the exact sum of its parts of skins (`parts` with their skin at hand)."""
    pieces: dict[int, Share] = defaultdict(Share)
    for part in parts:
        pieces[part.article_id] += shares[part.skin.tag].times(Fraction(part.share_of, part.share_in))
    return pieces


def as_stays(share_by: str, stays: Sequence[BatchSkin]) -> list[Stay]:
    """Stays for the roll-up. One skin without the measure makes the whole batch share by head: a part cannot weigh nothing."""
    weights = [lines_read.weight(share_by, stay.skin) for stay in stays]
    if not all(weights):
        weights = [Fraction(1)] * len(stays)
    return [
        Stay(stay.skin.tag, stay.joined_on, stay.left_on, weight) for stay, weight in zip(stays, weights, strict=True)
    ]


@dataclass(frozen=True)
class BatchCost:
    """`share` is all of it, exactly, skins' price included; `unshared` is the part that no skin can bear yet."""

    share: Share
    unshared: Share
    cost: RoundedCost
    rates: rates_rules.Rates


def of_batch(batch: Batch, lines: Iterable[Line]) -> BatchCost:
    """By its lines, of a batch that has its skins at hand."""
    stays = list(batch.stays.all())
    shares, unshared = cost_rules.share_out(lines, as_stays(batch.share_by, stays))
    bought = Share(skin_price=Fraction(sum((stay.skin.price for stay in stays), Decimal(0))))
    whole = sum(shares.values(), bought + unshared)
    rate = rates_read.plain()
    return BatchCost(whole, unshared, cost_rules.rounded(whole, rate, workshop.places()), rate)


def books(batches: Iterable[Batch]) -> dict[int, Decimal]:
    """By batch id: book cost so far. Two reads of lines and one of prices, however many batches."""
    wanted = list(batches)
    totals: dict[int, Decimal] = defaultdict(Decimal)
    for batch, price in BatchSkin.objects.filter(batch__in=wanted).values_list("batch", "skin__price"):
        totals[batch] += price
    for batch, lines in lines_read.batch_lines(wanted).items():
        totals[batch] += sum((line.money for line in lines), Decimal(0))
    return totals


def with_costs(stays: Sequence[BatchSkin]) -> list[tuple[BatchSkin, RoundedCost]]:
    """Each stay in a batch with its skin's whole cost so far."""
    shares = skin_shares([stay.skin for stay in stays])
    rate, places = rates_read.plain(), workshop.places()
    return [(stay, cost_rules.rounded(shares[stay.skin.tag], rate, places)) for stay in stays]
