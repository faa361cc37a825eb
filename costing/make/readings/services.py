"""Readings of a batch or a skin, and the photo store: a folder of small JPEG files, each named by its own content.

A photo is opened, checked, turned upright, made small and written anew, so that nothing of the camera comes along: no place,
no time, no name. The store does not know whose photo it is; a reading does.
"""

import hashlib
import os
import re
import tempfile
from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO
from pathlib import Path

from django.conf import settings
from django.utils import timezone
from PIL import Image, ImageOps, UnidentifiedImageError

from costing.make.batches.models import Batch
from costing.make.batches.stays import services as stays
from costing.make.readings import rules as readings
from costing.make.readings.models import Reading
from inventory import errors
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Skin
from inventory.permits import Act, Person, author
from inventory.skins import services as skins_services

MEGABYTE = 1024 * 1024
LARGEST = 20 * MEGABYTE

# A phone takes 12 to 50 million pixels. Far more from a small file is made to fill the memory.
MOST_PIXELS = 80_000_000
LONGEST_SIDE = 1600
QUALITY = 82
FORMATS = ("JPEG", "PNG", "WEBP")
NAME = re.compile(r"[0-9a-f]{32}\.jpg")

# Segments of a JPEG that hold the picture: frames, tables, scans, restart interval, and the JFIF head.
PICTURE_DATA = frozenset({0xC0, 0xC2, 0xC4, 0xDA, 0xDB, 0xDD, 0xE0})

# What the many ways of a broken or wicked file raise in the reader.
_BROKEN = (OSError, SyntaxError, ValueError, TypeError, EOFError, KeyError, IndexError, ArithmeticError)


def keep(content: bytes) -> str:
    """Keep a photo; answers the name to give to `path`. A photo that came from here is kept as it is, under the same name."""
    refuse_large(len(content))
    image = _opened(content)
    ours = _is_plain(content) and max(image.size) <= LONGEST_SIDE
    kept = content if ours else _small(image)
    name = f"{hashlib.sha256(kept).hexdigest()[:32]}.jpg"
    _write(folder() / name, kept)
    return name


def path(name: str) -> Path:
    """Where a kept photo lies. `FileNotFoundError` for a name that is not one of the store's, or has no file."""
    file = folder() / name
    if not NAME.fullmatch(name) or not file.is_file():
        raise FileNotFoundError(name)
    return file


def folder() -> Path:
    return Path(settings.DATA_DIR) / "photos"


def refuse_large(size: int) -> None:
    """By its size alone, before a byte of it is looked at."""
    if size > LARGEST:
        raise Refused(
            f"A photo of {size / MEGABYTE:.0f} MB is too large; at most {LARGEST // MEGABYTE} MB. Take it with fewer pixels, "
            "or send it smaller.",
            field="photo",
        )


def _opened(content: bytes) -> Image.Image:
    """The picture, wholly read and turned upright. What the name or the browser says about it counts for nothing."""
    try:
        found = Image.open(BytesIO(content), formats=FORMATS)
        if found.width * found.height > MOST_PIXELS:
            raise _too_many(f"{found.width} × {found.height} pixels")
        found.verify()  # leaves the picture unusable, hence opened again
        image = Image.open(BytesIO(content), formats=FORMATS)
        image.draft(
            "RGB", (LONGEST_SIDE * 2, LONGEST_SIDE * 2)
        )  # a JPEG is read at half or quarter size, sparing memory
        upright = ImageOps.exif_transpose(image)
        if upright.mode.startswith(
            "I;16"
        ):  # grey in 65,536 steps, of which the reader would cut off all but the darkest
            upright = upright.point(lambda grey: grey * (1 / 256))
        see_through = "A" in upright.getbands() or "transparency" in upright.info
        return upright.convert("RGBA" if see_through else "RGB")
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_many("more pixels than any camera takes") from None
    except UnidentifiedImageError:
        raise Refused(
            "This file is no photo: what is in it is neither JPEG, PNG nor WebP. Take the photo again, or choose another.",
            field="photo",
        ) from None
    except _BROKEN:
        raise Refused("This photo is broken off or damaged. Take it again, or choose another.", field="photo") from None


def _too_many(pixels: str) -> Refused:
    return Refused(f"This photo has {pixels}, more than can be read here. Take it with fewer.", field="photo")


def _small(image: Image.Image) -> bytes:
    image.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
    # Painted onto a new sheet: no word that the old file carried can come along.
    clean = Image.new("RGB", image.size, "white")
    clean.paste(image, mask=image.getchannel("A") if image.mode == "RGBA" else None)
    written = BytesIO()
    clean.save(written, "JPEG", quality=QUALITY, optimize=True)
    return written.getvalue()


def _is_plain(content: bytes) -> bool:
    """A JPEG of picture data alone: no segment that could hold words, and nothing after its end.

    Markers by ITU-T T.81, annex B: of the application segments only the bare 16-byte JFIF head, no comment.
    """
    if not content.startswith(b"\xff\xd8"):
        return False
    place = 2
    while place + 4 <= len(content) and content[place] == 0xFF:
        marker, length = content[place + 1], int.from_bytes(content[place + 2 : place + 4], "big")
        if marker not in PICTURE_DATA or length < 2 or (marker == 0xE0 and length != 16):
            return False
        place += 2 + length
        if marker == 0xDA:
            after = re.compile(rb"\xff[^\x00\xd0-\xd7]").search(content, place)
            if after is None:
                return False
            place = after.start()
            if content[place + 1] == 0xD9:
                return place + 2 == len(content)
    return False


def _write(file: Path, content: bytes) -> None:
    """All or nothing, readable by the workshop alone. The same content is there already under its name."""
    if file.is_file():
        return
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle, draft = tempfile.mkstemp(dir=file.parent, suffix=".part")  # mode 0600
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        Path(draft).replace(file)
    except BaseException:
        Path(draft).unlink(missing_ok=True)
        raise


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
        checks.held(readings.check_celsius(celsius), field="celsius")
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
