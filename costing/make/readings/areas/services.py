"""An area told by a photo is written to its skin, with the photo and the taps as its evidence; and reversed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from datetime import date
from decimal import Decimal

from django.utils import timezone

from costing.make.readings import services as album
from costing.make.readings.areas.models import PhotoArea
from costing.make.readings.areas.taps import Figures, Ring, Tapped
from inventory.base import checks, pictures, selectors as workshop
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Skin
from inventory.permits import Act, Person, author
from inventory.skins import services as skins

# Points of all defects together: no cell of a file holds more, and none of them is tapped by hand.
MOST_POINTS = 4_000
AREAS, LENGTHS = ("area", "plus_minus", "usable"), ("perimeter", "length", "width")


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
    if on > workshop.today():
        raise Refused(f"{on} has not come yet. Take the day of the photo.", field="on")
    made = _write(row, photo, tapped, on, wet, was=row.wet_area if wet else row.dry_area, by=by)
    skins.set_area(row, made.area, wet=wet)
    return made


@service(Act.SHED)
def take_over(
    *,
    skin: Skin,
    photo: str,
    tapped: Tapped,
    on: date,
    wet: bool = False,
    was: Decimal | None = None,
    figures: Mapping[str, Decimal] | None = None,
    by: Person = None,
) -> PhotoArea:
    """An area out of other books, of a skin that has its areas already: those stay, and `was` stood before this one.

    Measured anew. Of `figures`, by the names of their fields, each stands as it was written then, if the photo still says so
    within what it may be off; refused by its name if not.
    """
    former = checks.measured(was, "The area before", field="was")
    return _write(skins.lock([skin.tag])[0], photo, tapped, on, wet, was=former, by=by, told=figures or {})


def _write(
    skin: Skin,
    photo: str,
    tapped: Tapped,
    on: date,
    wet: bool,
    *,
    was: Decimal | None,
    by: Person,
    told: Mapping[str, Decimal] | None = None,
) -> PhotoArea:
    checks.day(on, posts=False)
    if on < skin.date_in:
        raise Refused(f"{skin.tag} came in on {skin.date_in}, after {on}. Check the date.", field="on")
    tapped = _rounded(tapped)
    from costing.make.readings.areas import photo as photos  # numpy takes long to load: only when something is measured

    found = photos.measured(kept(photo), tapped)
    figures = {name: getattr(found.figures, name) for name in (*AREAS, *LENGTHS)}
    return PhotoArea.objects.create(
        skin=skin,
        wet=wet,
        on=on,
        **_agreed(figures, told or {}),
        frame_width=tapped.width if tapped.apart is None else None,
        frame_height=tapped.height if tapped.apart is None else None,
        apart=tapped.apart,
        photo=photo,
        taps={
            "size": found.lens.size,
            "lens": [found.lens.bend + 0.0, found.lens.sigma + 0.0],  # a zero has no sign in every database
            "corners": tapped.corners,
            "outline": tapped.outline,
            "defects": [asdict(each) for each in tapped.defects],
        },
        was=was,
        written_by=author(by),
    )


def _rounded(tapped: Tapped) -> Tapped:
    """To a thousandth of a pixel, which every form of writing points holds: what is measured is what is kept."""
    if (many := sum(len(each.ring) for each in tapped.defects)) > MOST_POINTS:
        raise Refused(
            f"The defects have {many:,} points together; at most {MOST_POINTS:,}. Tap them with fewer.", field="holes"
        )

    def ring(points: Ring) -> Ring:
        return tuple((round(float(x), 3) + 0.0, round(float(y), 3) + 0.0) for x, y in points)

    return replace(
        tapped,
        corners=ring(tapped.corners),
        outline=ring(tapped.outline),
        defects=tuple(replace(each, ring=ring(each.ring)) for each in tapped.defects),
    )


def _agreed(found: Mapping[str, Decimal], told: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """The figures with those that were told in their place.

    Another machine reads a photo a little differently, and a later rule may measure a little better; the figure that was written to
    the skin shall be found on it again. So what is told may be off by what is said of the area; its own `plus_minus` by as much.
    """
    off = found["plus_minus"]
    for name, figure in told.items():
        apart = off if name in AREAS else found[name] * off / found["area"]
        if abs(figure - found[name]) > apart + Decimal("0.1"):
            unit = "cm²" if name in AREAS else "mm"
            raise Refused(
                f"By the photo and its points it is {found[name]} {unit}, not {figure}. Check them, or leave it empty to have it "
                "measured.",
                field=name,
            )
    both = {**found, **told}
    if both["usable"] > both["area"]:
        raise Refused("More is usable than there is. Check both, or leave them empty.", field="usable")
    checks.measured(both["area"], "The area", field="area")
    return both


@service(Act.SHED)
def keep(*, photo: bytes, by: Person = None) -> str:
    """Keep a photo in the store; answers its name. It is of no skin until it is measured."""
    return album.keep(photo)


@service(Act.SHED)
def told(*, photo: str, tapped: Tapped, by: Person = None) -> Figures:
    """What would be written; nothing is."""
    from costing.make.readings.areas import photo as photos  # numpy takes long to load: only when something is measured

    return photos.measured(kept(photo), tapped).figures


@service(Act.SHED)
def laid(*, photo: str, outline: Ring, by: Person = None) -> Ring:
    """The outline laid to the edge that the photo shows; nothing is written."""
    from costing.make.readings.areas import photo as photos  # numpy takes long to load: only when something is measured

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
