"""Losses that are spread: who bears what a lost skin had cost, and what its scrap brought. Reads only.

Those who bear it were in its batch on the day it was lost and were not lost by then. A loss that nobody can bear stays
written off, whatever was wished for. The exact shares are worked out in `costing.make.cost.selectors`.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.db.models import Q, Sum

from costing.make.batches.models import Batch, BatchSkin, StruckStay
from inventory.base import selectors as workshop
from inventory.models import Skin
from inventory.money import ZERO

NEVER = date.max


@dataclass(frozen=True)
class Spread:
    """One lost skin, the batch it was in that day, the stays of those who bear it, and its salvage (money, exact)."""

    skin: Skin
    batch: Batch
    on: date
    bearers: tuple[BatchSkin, ...]
    salvage: Fraction


@workshop.read_once
def standing(until: date | None = None) -> list[Spread]:
    """Losses spread by a day that somebody bears, in the order they happened: a later one may bear a part of an earlier."""
    lost = Skin.objects.filter(loss_spread=True, lost_on__lte=until or NEVER)
    return _with_bearers(list(lost.order_by("lost_on", "pk")), until)


def if_spread(skin: Skin) -> Spread | None:
    """How the loss of this skin would be borne if it were spread; None where nobody is left to bear it."""
    return next(iter(_with_bearers([skin], None)), None) if skin.lost_on else None


def stays(batches: Iterable[Batch], until: date | None = None) -> list[BatchSkin]:
    """Who was in these batches, with skin and batch at hand, as it was written at the end of a day: with those that were struck
    from them only later."""
    batches = list(batches)
    if not batches:
        return []
    found = list(BatchSkin.objects.filter(batch__in=batches).select_related("skin", "batch").order_by("pk"))
    later = StruckStay.objects.none() if until is None else StruckStay.objects.filter(batch__in=batches, on__gt=until)
    for struck in later.select_related("skin", "batch"):
        days = {"joined_on": struck.joined_on, "left_on": struck.left_on}
        found.append(BatchSkin(batch=struck.batch, skin=struck.skin, **days))
    return found


def salvage(skins: Iterable[Skin], until: date | None = None) -> dict[int, Fraction]:
    """By skin id: what its scrap brought by a day, without tax, credits taken off; never below zero."""
    lines = Skin.objects.filter(
        pk__in=[skin.pk for skin in skins], sale_lines__kind="scrap", sale_lines__sale__on__lte=until or NEVER
    )
    sums = lines.order_by().values_list("pk").annotate(total=Sum("sale_lines__net"))
    return {pk: Fraction(max(total, ZERO)) for pk, total in sums if pk is not None}


def reached(skins: Iterable[int], until: date | None = None) -> set[int]:
    """These skins (ids) and all who bear a part of them because they were lost and spread, however far it goes."""
    found = set(skins)
    for each in standing(until):
        if each.skin.pk in found:
            found.update(stay.skin_id for stay in each.bearers)
    return found


def behind(skins: Iterable[int], rows: Iterable[Spread]) -> list[Spread]:
    """Of spread losses in their order, those that these skins (ids) bear something of or are themselves."""
    wanted, found = set(skins), []
    for each in reversed(list(rows)):
        if each.skin.pk in wanted or any(stay.skin_id in wanted for stay in each.bearers):
            wanted.add(each.skin.pk)
            found.append(each)
    return found[::-1]


def _with_bearers(lost: list[Skin], until: date | None) -> list[Spread]:
    if not lost:
        return []
    left = Q()
    for skin in lost:
        left |= Q(stays__skin=skin, stays__left_on=skin.lost_on)
    there_were: dict[int, list[BatchSkin]] = defaultdict(list)
    for stay in stays(Batch.objects.filter(left).distinct(), until):
        there_were[stay.batch_id].append(stay)
    brought = salvage(lost, until)
    found = []
    for skin in lost:
        on = skin.lost_on or NEVER
        own = [stay for each in there_were.values() for stay in each if stay.skin_id == skin.pk and stay.left_on == on]
        if not own:
            continue
        there = tuple(stay for stay in there_were[own[-1].batch_id] if stay.skin_id != skin.pk and _bears(stay, on))
        if there:
            found.append(Spread(skin, own[-1].batch, on, there, brought.get(skin.pk, Fraction(0))))
    return found


def _bears(stay: BatchSkin, on: date) -> bool:
    return stay.covers(on) and (stay.skin.lost_on is None or stay.skin.lost_on > on)
