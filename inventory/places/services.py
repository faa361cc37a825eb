"""Places: shelves, tubs, frames and galleries as they are entered and described anew."""

from decimal import Decimal
from typing import Required, TypedDict, Unpack

from inventory import units
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused, Taken
from inventory.materials.models import Material
from inventory.permits import Act, Person
from inventory.places.models import Place
from inventory.skins.models import Skin


def stays_put(thing: Material | Skin, place: Place | None) -> None:
    """What describes a thing anew says nothing of its place, or the place where it is."""
    if place is not None and place.pk != thing.place_id:
        here = f"is at {thing.place}" if thing.place else "has no place written"
        raise Refused(f"{thing} {here}. To put it at {place}, move it: the day is asked there.", field="place")


MOST_HELD = 1000


class Said(TypedDict, total=False):
    """`litres` is what a tub holds to the brim; `holds` how many batches a tub, or skins a set of frames, takes."""

    name: Required[str]
    kind: Required[str]
    litres: Decimal | None
    holds: int


@service(Act.GOODS, makes=Place)
def create(*, by: Person = None, request_key: str | None = None, **said: Unpack[Said]) -> Place:
    place = Place()
    _describe(place, **said)
    place.save()
    return place


@service(Act.GOODS)
def change(*, place: Place, by: Person = None, **said: Unpack[Said]) -> Place:
    """Say it better. The kind stays once something was ever kept there: what stands in a tub does not turn into frames."""
    row = Place.objects.select_for_update().get(pk=place.pk)
    if said["kind"] != row.kind and said["kind"] in Place.Kind.values and _in_use(row):
        raise Refused(
            f"{row.name} is a {row.get_kind_display().lower()} with something written on it, so it stays one. "
            "Enter a new place instead.",
            field="kind",
        )
    _describe(row, **said)
    row.save()
    return row


def _describe(row: Place, *, name: str, kind: str, litres: Decimal | None = None, holds: int = 1) -> None:
    name = checks.text(name, "The place", field="name", longest=60, needed=True)
    checks.choice(kind, Place.Kind.values, "kind of place", field="kind")
    if Place.objects.filter(name=name).exclude(pk=row.pk).exists():
        raise Taken("The place", name, field="name")
    if litres is not None and kind != Place.Kind.TUB:
        raise Refused(
            "How much bath it holds is asked of a tub only; leave it empty for any other place.", field="litres"
        )
    if holds != 1 and kind not in (Place.Kind.TUB, Place.Kind.FRAME):
        raise Refused("Only a tub or frames take so many at once; leave it at 1 for any other place.", field="holds")
    if not 1 <= holds <= MOST_HELD:
        raise Refused(f"It takes 1 to {MOST_HELD} at once; {holds} was given.", field="holds")
    row.name, row.kind, row.holds = name, kind, holds
    row.litres = None
    if litres is not None:
        millilitres = units.to_base(checks.positive(litres, "What the tub holds", field="litres"), "L", "mL")
        row.litres = checks.positive(millilitres, "What the tub holds, to a millilitre,", field="litres")


def _in_use(row: Place) -> bool:
    """Whether any record names the place, on whatever floor it is kept."""
    return any(
        getattr(row, relation.get_accessor_name() or "").exists()
        for relation in row._meta.related_objects
        if relation.one_to_many
    )
