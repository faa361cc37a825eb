"""Readings and notes of a batch or of skins: pH, temperature, weight, words, a photo. No cost hangs on them.

A wrong one is taken back on its own row, which stays.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from costing import drying
from costing.models import Batch, Reading
from costing.services import batches, photos
from inventory.errors import Refused
from inventory.models import Skin
from inventory.services import checks, requests
from inventory.services import skins as skin_services
from inventory.services.permits import Act, Person, require


@transaction.atomic
def note(
    *,
    batch: Batch | None = None,
    tags: Sequence[str] = (),
    at: datetime | None = None,
    ph: Decimal | None = None,
    celsius: Decimal | None = None,
    weight: Decimal | None = None,
    note: str = "",
    photo: bytes | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Reading:
    """What was read or seen, of a batch or of each named skin (the first one's row is answered). `celsius` in °C, `weight` in g.

    `at` may lie long ago, in the pencilled card, but not ahead. Refused beside its field: what no bath, shed or skin can show.
    """
    writer = require(by, Act.SHED)
    if done := requests.earlier(request_key, Reading, "note"):
        return done
    moment = _moment(at)
    ph, celsius, weight = _checked(ph, celsius, weight)
    text = checks.text(note, "The note", field="note", longest=500)
    if not text and photo is None and ph is celsius is weight is None:
        raise Refused("Nothing is noted. Enter a pH, a temperature, a weight, words or a photo.")
    if batch is None and not tags:
        raise Refused("Say of which batch or skin this is.", field="skins")
    if weight is not None and len(tags) > 1:
        raise Refused("One weight is of one skin. Weigh each by itself.", field="weight")
    skins = skin_services.lock(list(dict.fromkeys(tags)))
    _refuse_strangers(batch, skins, timezone.localtime(moment).date())
    kept = photos.keep(photo) if photo is not None else ""
    each: Sequence[Skin | None] = skins or [None]
    made = [
        Reading.objects.create(
            batch=batch,
            skin=skin,
            at=moment,
            ph=ph,
            celsius=celsius,
            weight=weight,
            note=text,
            photo=kept,
            written_by=writer,
        )
        for skin in each
    ]
    return requests.keep(request_key, made[0])


@transaction.atomic
def take_back(*, reading: Reading, by: Person = None, request_key: str | None = None) -> Reading:
    """It was wrong: it stays on its row, struck out, and counts no more."""
    writer = require(by, Act.SHED)
    if done := requests.earlier(request_key, Reading, "take back"):
        return done
    row = Reading.objects.select_for_update(of=("self",)).get(pk=reading.pk)
    if row.taken_back_at:
        raise Refused("This reading is taken back already.")
    row.taken_back_at, row.taken_back_by = timezone.now(), writer
    row.save(update_fields=["taken_back_at", "taken_back_by"])
    return requests.keep(request_key, row)


def _moment(at: datetime | None) -> datetime:
    now = timezone.now()
    if at is None:
        return now
    if at > now + checks.CLOCK_APART:
        raise Refused(f"{timezone.localtime(at):%Y-%m-%d %H:%M} has not come yet. Check date and time.", field="at")
    if timezone.localtime(at).date() < checks.OLDEST:
        raise Refused(f"{at:%Y-%m-%d} is before {checks.OLDEST}. Check the year.", field="at")
    return min(at, now)


def _checked(
    ph: Decimal | None, celsius: Decimal | None, weight: Decimal | None
) -> tuple[Decimal | None, Decimal | None, Decimal | None]:
    if ph is not None:
        checks.held(drying.check_ph(ph), field="ph")
    if celsius is not None:
        checks.held(drying.check_celsius(celsius), field="celsius")
    if weight is not None:
        checks.held(checks.sized(drying.check_weight(weight), "The weight", field="weight"), field="weight")
    return ph, celsius, weight


def _refuse_strangers(batch: Batch | None, skins: Sequence[Skin], on: date) -> None:
    """A lost or finished skin may still be noted of; one that had not come yet cannot have been read."""
    for skin in skins:
        if on < skin.date_in:
            raise Refused(f"{skin.tag} came in on {skin.date_in}, after {on}. Check the date.", field="at")
    batches.hold(batch)
    if batch is None:
        return
    there = set(batch.stays.filter(skin__in=skins).values_list("skin", flat=True))
    for skin in skins:
        if skin.pk not in there:
            raise Refused(
                f"{skin.tag} was never in {batch.number}. Leave it out, or leave the batch out.", field="skins"
            )
