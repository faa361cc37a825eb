"""Readings of a batch or a skin, and the photo store: a folder of small JPEG files, each named by its own content.

The store does not know whose photo it is; a reading does. How a photo is opened and written anew: `inventory.base.pictures`.
"""

import hashlib
import re
from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from costing.make.batches.models import Batch
from costing.make.batches.stays import services as stays
from costing.make.readings import rules as readings
from costing.make.readings.models import Reading
from inventory import errors
from inventory.base import checks, measures, pictures
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Skin
from inventory.permits import Act, Person, author
from inventory.skins import services as skins_services

LONGEST_SIDE = 1600
NAME = re.compile(r"[0-9a-f]{32}\.jpg")


def keep(content: bytes) -> str:
    """Keep a photo; answers the name to give to `path`. A photo that came from here is kept as it is, under the same name."""
    kept = pictures.anew(content, LONGEST_SIDE)
    name = f"{hashlib.sha256(kept).hexdigest()[:32]}.jpg"
    pictures.write(folder() / name, kept)
    return name


def path(name: str) -> Path:
    """Where a kept photo lies. `FileNotFoundError` for a name that is not one of the store's, or has no file."""
    file = folder() / name
    if not NAME.fullmatch(name) or not file.is_file():
        raise FileNotFoundError(name)
    return file


def folder() -> Path:
    return Path(settings.DATA_DIR) / "photos"


@service(Act.SHED, makes=Reading)
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
    moment = _moment(at)
    if ph is not None:
        checks.held(readings.check_ph(ph), field="ph")
    if celsius is not None:
        checks.held(readings.check_celsius(celsius, measures.warmth), field="celsius")
    if weight is not None:
        checks.held(checks.sized(readings.check_weight(weight), "The weight", field="weight"), field="weight")
    text = checks.text(note, "The note", field="note", longest=500)
    if not text and photo is None and ph is celsius is weight is None:
        raise Refused("Nothing is noted. Enter a pH, a temperature, a weight, words or a photo.")
    if batch is None and not tags:
        raise Refused("Say of which batch or skin this is.", field="skins")
    if weight is not None and len(tags) > 1:
        raise Refused("One weight is of one skin. Weigh each by itself.", field="weight")
    skins = skins_services.lock(list(dict.fromkeys(tags)))
    _refuse_strangers(batch, skins, timezone.localtime(moment).date())
    kept = keep(photo) if photo is not None else ""
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
            written_by=author(by),
        )
        for skin in each
    ]
    return made[0]


@service(Act.SHED, makes=Reading)
def weigh(
    *,
    weights: Sequence[tuple[str, Decimal]],
    at: datetime | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Reading:
    """Several skins on one scale, one after the other: each by its tag with its grams; the first one's row is answered.

    All of them or none. Refused as `note` is, with the row that is at fault.
    """
    if not weights:
        raise Refused("No weight is entered. Enter those that you weighed; the others stay empty.")
    # All at once and in id order, as everywhere; `note` locks each again within this transaction.
    skins_services.lock(list(dict.fromkeys(tag for tag, _ in weights)))
    moment = _moment(at)
    return errors.each_row(weights, lambda row: note(tags=[row[0]], weight=row[1], at=moment, by=by))[0]


@service(Act.SHED, makes=Reading)
def reverse(*, reading: Reading, by: Person = None, request_key: str | None = None) -> Reading:
    """It was wrong: it stays on its row, struck out, and counts no more."""
    row = Reading.objects.select_for_update(of=("self",)).get(pk=reading.pk)
    if row.reversed_at:
        raise Refused("This reading is reversed already.")
    row.reversed_at, row.reverser = timezone.now(), author(by)
    row.save(update_fields=["reversed_at", "reverser"])
    return row


def _moment(at: datetime | None) -> datetime:
    now = timezone.now()
    if at is None:
        return now
    if at > now + checks.CLOCK_APART:
        raise Refused(f"{timezone.localtime(at):%Y-%m-%d %H:%M} has not come yet. Check date and time.", field="at")
    if timezone.localtime(at).date() < checks.OLDEST:
        raise Refused(f"{at:%Y-%m-%d} is before {checks.OLDEST}. Check the year.", field="at")
    return min(at, now)


def _refuse_strangers(batch: Batch | None, skins: Sequence[Skin], on: date) -> None:
    """A lost or finished skin may still be noted of; one that had not come yet cannot have been read."""
    for skin in skins:
        if on < skin.date_in:
            raise Refused(f"{skin.tag} came in on {skin.date_in}, after {on}. Check the date.", field="at")
    stays.hold(batch)
    if batch is None:
        return
    there = set(batch.stays.filter(skin__in=skins).values_list("skin", flat=True))
    for skin in skins:
        if skin.pk not in there:
            raise Refused(
                f"{skin.tag} was never in {batch.number}. Leave it out, or leave the batch out.", field="skins"
            )
