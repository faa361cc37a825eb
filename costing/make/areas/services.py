"""An area told by a photo is written to its skin, with the photo and the taps as its evidence; and reversed."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date

from django.utils import timezone

from costing.make.areas.models import PhotoArea
from costing.make.areas.taps import Figures, Ring, Tapped
from costing.make.readings import services as album
from inventory.base import checks, pictures
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Skin
from inventory.permits import Act, Person, author
from inventory.skins import services as skins


@service(Act.SHED, makes=PhotoArea)
def measure(
    *,
    skin: Skin,
    photo: str,
    tapped: Tapped,
    on: date,
    wet: bool = False,
    by: Person = None,
    request_key: str | None = None,
) -> PhotoArea:
    """The area of a skin in its frame becomes its wet or its dry area. `photo`: the name of a kept one, in whose pixels was tapped.

    Refused as `photo.measured` is. What the skin had before is remembered, and stands again when this is reversed.
    """
    row = skins.lock([skin.tag])[0]
    checks.day(on, posts=False)
    if on < row.date_in:
        raise Refused(f"{row.tag} came in on {row.date_in}, after {on}. Check the date.", field="on")
    from costing.make.areas import photo as photos  # numpy takes long to load: only when something is measured

    found = photos.measured(kept(photo), tapped)
    figures = found.figures
    made = PhotoArea.objects.create(
        skin=row,
        wet=wet,
        on=on,
        **{name: getattr(figures, name) for name in ("area", "plus_minus", "usable", "perimeter", "length", "width")},
        frame_width=tapped.width if tapped.apart is None else None,
        frame_height=tapped.height if tapped.apart is None else None,
        apart=tapped.apart,
        photo=photo,
        taps={
            "size": found.lens.size,
            "lens": [found.lens.bend, found.lens.sigma],
            "corners": tapped.corners,
            "outline": tapped.outline,
            "defects": [asdict(each) for each in tapped.defects],
        },
        was=row.wet_area if wet else row.dry_area,
        written_by=author(by),
    )
    skins.set_area(row, figures.area, wet=wet)
    return made


@service(Act.SHED)
def keep(*, photo: bytes, by: Person = None) -> str:
    """Keep a photo in the store; answers its name. It is of no skin until it is measured."""
    return album.keep(photo)


@service(Act.SHED)
def told(*, photo: str, tapped: Tapped, by: Person = None) -> Figures:
    """What would be written; nothing is."""
    from costing.make.areas import photo as photos  # numpy takes long to load: only when something is measured

    return photos.measured(kept(photo), tapped).figures


@service(Act.SHED)
def laid(*, photo: str, outline: Ring, by: Person = None) -> Ring:
    """The outline laid to the edge that the photo shows; nothing is written."""
    from costing.make.areas import photo as photos  # numpy takes long to load: only when something is measured

    return photos.to_the_edge(kept(photo), outline)


@service(Act.SHED, makes=PhotoArea)
def reverse(*, area: PhotoArea, by: Person = None, request_key: str | None = None) -> PhotoArea:
    """It was wrong: it stays on its row, struck out; the skin has its former area again, unless another was written since."""
    (skin,) = skins.lock([area.skin.tag])
    row = PhotoArea.objects.select_for_update(of=("self",)).get(pk=area.pk)
    if row.reversed_at:
        raise Refused("This area is reversed already.")
    row.reversed_at, row.reverser = timezone.now(), author(by)
    row.save(update_fields=["reversed_at", "reverser"])
    later = (
        PhotoArea.objects.filter(skin=skin, wet=row.wet, pk__gt=row.pk, reversed_at__isnull=True).order_by("pk").first()
    )
    if later is not None:  # what stood before it stands before the one that came after it
        later.was = row.was
        later.save(update_fields=["was"])
    elif (skin.wet_area if row.wet else skin.dry_area) == row.area:
        skins.set_area(skin, row.was, wet=row.wet)
    return row


def size(photo: str) -> tuple[int, int]:
    """Of a kept photo, which is upright: in its pixels is tapped."""
    return pictures.measured(kept(photo))


def kept(photo: str) -> bytes:
    """A photo of the store, by its name."""
    try:
        return album.path(photo).read_bytes()
    except FileNotFoundError:
        raise Refused("The photo is not there any more. Choose it again.", field="photo") from None
