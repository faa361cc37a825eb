"""Baths in litres or gallons, temperatures in °C or °F: what was typed is shown again, and what is kept does not move."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django import forms
from django.urls import reverse
from hypothesis import given, strategies as st

from inventory import money
from inventory.base import measures, selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.base.models import Workshop
from inventory.errors import Refused
from inventory.models import Place
from inventory.web.fields import BathField, DegreesField
from tests.inventory.pages import signed_in, text

D = Decimal
GALLONS = ("us_gallon", "imperial_gallon")


@pytest.fixture
def own(db: None) -> Any:
    def choose(bath_unit: str = "L", degrees: str = "C") -> None:
        accounting.set_up(bath_unit=bath_unit, degrees=degrees)

    return choose


class Boxes(forms.Form):
    bath = BathField("{} of bath", required=False)
    each = BathField("Or {} a skin", required=False)
    warm = DegreesField(label="Temperature", required=False)


@pytest.mark.parametrize(
    ("unit", "typed", "kept", "told"),
    [
        ("L", "18", "18", "18 L"),
        ("us_gallon", "5", "18.927059", "5 US gal"),
        ("us_gallon", "7", "26.497882", "7 US gal"),
        ("us_gallon", "0.125", "0.473176", "0.125 US gal"),
        ("imperial_gallon", "5", "22.73045", "5 imp gal"),
    ],
)
def test_a_bath_is_kept_in_litres_and_told_as_it_was_typed(
    own: Any, unit: str, typed: str, kept: str, told: str
) -> None:
    own(unit)
    assert BathField("{} of bath").clean(typed) == D(kept)
    assert measures.bath(D(kept)) == told


@pytest.mark.parametrize("typed", ["-4", "0", "32", "67.5", "70", "70.25", "212"])
def test_degrees_fahrenheit_are_shown_as_they_were_typed(own: Any, typed: str) -> None:
    own(degrees="F")
    kept = DegreesField().clean(typed)
    assert kept is not None
    assert kept == kept.quantize(D("0.001"))
    assert measures.warmth(kept) == f"{typed} °F".replace("-", "−")


def test_twenty_degrees_celsius_are_sixty_eight_fahrenheit(own: Any) -> None:
    own(degrees="F")
    assert DegreesField().clean("68") == 20
    assert measures.warmth(D(20)) == "68 °F"


@pytest.mark.parametrize("unit", GALLONS)
def test_a_bath_entered_in_litres_is_the_same_after_its_form_was_sent_in_gallons(own: Any, unit: str) -> None:
    own(unit)
    for litres in ("18", "7.5", "24", "0.333"):
        shown = Boxes(initial={"bath": D(litres)})["bath"].value()
        again = BathField("{} of bath").clean(str(shown))
        assert again is not None
        assert round(again * 1000, 3) == D(litres) * 1000


@pytest.mark.parametrize("unit", GALLONS)
@given(tenths=st.integers(1, 100_000))
def test_the_largest_bath_of_whole_tenths_is_never_more(unit: str, tenths: int) -> None:
    row = Workshop(pk=1, bath_unit=unit)
    with workshop.remembered():
        workshop._kept.get().append(row)  # type: ignore[union-attr]  # within the block there is a list
        litres = D(tenths) / 10
        assert measures.within(litres) <= litres + D("0.000001")


def test_boxes_name_the_workshops_own_measure(own: Any) -> None:
    own("us_gallon", "F")
    form = Boxes()
    assert [(box.label, box.field.unit) for box in form] == [
        ("US gallons of bath", "US gal"),
        ("Or US gallons a skin", "US gal"),
        ("Temperature", "°F"),
    ]
    own("L", "C")
    assert [box.label for box in Boxes()][:2] == ["Litres of bath", "Or litres a skin"]


def test_a_strength_is_told_by_the_measure(own: Any) -> None:
    pound = D("453.592")
    assert measures.strength(D(1440), "g", D(18)) == "80 g/L"
    own("us_gallon")
    assert measures.strength(5 * pound, "g", D("18.927059")) == "16 oz/US gal"


def test_a_measure_that_is_none_is_refused(own: Any) -> None:
    for wrong in ({"bath_unit": "bucket"}, {"degrees": "K"}):
        with pytest.raises(Refused):
            accounting.set_up(**wrong)


def test_the_choice_is_made_in_setup_and_a_tub_is_entered_by_it(own: Any) -> None:
    client = signed_in()
    page = text(client.get(reverse("setup_where")))
    assert "Baths in" in page
    own("us_gallon")
    sent = {"name": "Tub", "kind": "tub", "litres": "12", "holds": "", "request_key": "k"}
    assert client.post(reverse("place_new"), sent).status_code == 302
    assert Place.objects.get().litres == D("45424.941")
    assert "12 US gal" in text(client.get(reverse("places")))


@pytest.mark.django_db
def test_chemistry_is_weighed_in_the_units_of_the_workshop() -> None:
    """By hand: 1 oz = 28.349523125 g, 1 lb = 16 oz, a US cup 236.5882365 mL, a US gallon 3.785411784 L (NIST Handbook 44, C)."""
    assert (measures.chemical(D("25.8")), measures.offered(D(64)), measures.density(D("1.234"))) == (
        "25.8 g",
        "64 g/kg",
        "1.234 g a millilitre",
    )
    assert (measures.float_unit(), measures.float_size()) == ("L/kg", 1)
    accounting.set_up(bath_unit="us_gallon")
    Workshop.objects.update(units="us", bath_unit="us_gallon")
    workshop.forget()
    assert (measures.chemical(D("25.8")), measures.offered(D(64)), measures.density(D("1.234"))) == (
        "0.91 oz",
        "1.02 oz/lb",
        "10.3 oz a US cup",
    )
    assert measures.float_unit() == "US gal/lb"
    assert money.half_up(measures.float_size(), 6) == D("8.345404"), "3.785411784 L to 0.45359237 kg"
    assert [measures.spoken(unit) for unit in ("kg", "L", "piece")] == ["lb", "us_fluid_ounce", "piece"]


@pytest.mark.parametrize(
    ("unit", "litres", "said"), [("L", "6.9999875", "6.9 L"), ("us_gallon", "26.497882", "7.0 US gal")]
)
def test_the_largest_bath_goes_down_to_a_tenth_never_up(own: Any, unit: str, litres: str, said: str) -> None:
    """Seven US gallons are kept as 26.497882 L, which is a hair less: they are still seven."""
    own(unit)
    assert measures.tenths(Decimal(litres)) == said


@pytest.mark.parametrize("unit", ["L", *GALLONS])
def test_each_tenth_holds_itself_and_a_hair_less_holds_the_tenth_before(own: Any, unit: str) -> None:
    own(unit)
    tenths = [measures.in_litres(Decimal(count).scaleb(-1)) for count in range(1, 400)]
    assert [measures.within(kept) for kept in tenths] == tenths
    assert [measures.within(kept - D("0.000001")) for kept in tenths[1:]] == tenths[:-1]
