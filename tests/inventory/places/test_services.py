"""Places: what a tub and a set of frames hold, and what of a place may still change."""

from __future__ import annotations

from decimal import Decimal

import pytest

from inventory.errors import NotAllowed, Refused, Taken
from inventory.models import Place
from inventory.places import services as places
from tests import factories

pytestmark = pytest.mark.django_db
TUB, FRAME, SHELF = Place.Kind.TUB, Place.Kind.FRAME, Place.Kind.SHELF


def test_a_tub_keeps_its_litres_and_how_many_batches_it_takes() -> None:
    made = places.create(name="Tub 1", kind=TUB, litres=Decimal("45.5"), holds=2)
    assert (made.litres, made.holds) == (Decimal(45500), 2)


def test_a_place_takes_one_and_any_size_unless_it_is_said() -> None:
    made = places.create(name="Tub 1", kind=TUB)
    assert (made.litres, made.holds) == (None, 1)


@pytest.mark.parametrize(
    ("kind", "sizes", "field", "said"),
    [
        (TUB, {"litres": Decimal(0)}, "litres", "more than nothing"),
        (TUB, {"litres": Decimal("-3")}, "litres", "more than nothing"),
        (TUB, {"litres": Decimal("0.0000001")}, "litres", "to a millilitre"),
        (TUB, {"litres": Decimal("1e13")}, "litres", "larger than any workshop"),
        (TUB, {"litres": Decimal("NaN")}, "litres", "more than nothing"),
        (SHELF, {"litres": Decimal(20)}, "litres", "asked of a tub only"),
        (FRAME, {"litres": Decimal(20)}, "litres", "asked of a tub only"),
        (SHELF, {"holds": 3}, "holds", "leave it at 1"),
        (FRAME, {"holds": 0}, "holds", "1 to 1000"),
        (FRAME, {"holds": 1001}, "holds", "1 to 1000"),
    ],
)
def test_sizes_that_cannot_be_are_refused_beside_their_box(
    kind: str, sizes: dict[str, Decimal | int], field: str, said: str
) -> None:
    with pytest.raises(Refused, match=said) as refusal:
        places.create(name="P", kind=kind, **sizes)  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert not Place.objects.exists()


def test_a_tub_is_measured_later() -> None:
    made = factories.place("Tub 1", TUB)
    changed = places.change(place=made, name="Blue tub", kind=TUB, litres=Decimal(60), holds=1)
    assert (changed.pk, changed.name, changed.litres) == (made.pk, "Blue tub", Decimal(60000))


def test_a_kind_chosen_by_mistake_is_put_right_while_nothing_stands_there() -> None:
    made = factories.place("Frames", SHELF)
    assert places.change(place=made, name="Frames", kind=FRAME, holds=4).kind == FRAME


def test_a_place_with_something_written_on_it_keeps_its_kind() -> None:
    frames = factories.place("Frames", FRAME)
    factories.batch("B1", frames=frames)
    with pytest.raises(Refused, match="is a frame with something written on it"):
        places.change(place=frames, name="Frames", kind=SHELF)
    shelf = factories.place("Shelf")
    factories.material("SALT", place=shelf)
    with pytest.raises(Refused, match="Enter a new place instead"):
        places.change(place=shelf, name="Shelf", kind=TUB)
    assert places.change(place=shelf, name="By the door", kind=SHELF).name == "By the door"


def test_a_name_of_another_place_is_taken_and_its_own_is_not() -> None:
    first, _ = factories.place("Tub 1", TUB), factories.place("Tub 2", TUB)
    with pytest.raises(Taken):
        places.change(place=first, name="Tub 2", kind=TUB)
    assert places.change(place=first, name="Tub 1", kind=TUB, holds=2).holds == 2


def test_only_who_may_record_goods_describes_a_place() -> None:
    stranger = factories.person("nobody")
    with pytest.raises(NotAllowed):
        places.change(place=factories.place(), name="X", kind=SHELF, by=stranger)
