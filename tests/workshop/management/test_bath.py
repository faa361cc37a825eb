"""`manage.py bath`: the demonstration's bath as JSON and in words, stand-ins, and refusals that say what to do."""

from __future__ import annotations

import json
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from costing.make.recipes import services as recipes
from inventory.models import Material, Movement, Place
from tests import factories

pytestmark = pytest.mark.usefixtures("demo")


def said(*words: str) -> str:
    out = StringIO()
    call_command("bath", *words, stdout=out)
    return out.getvalue()


def asked(*words: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(said(*words, "--json"))
    return found


def test_the_first_bath_of_the_demonstration() -> None:
    found = asked("R1", "--litres", "18")
    assert [(line["material"], line["measure"], line["quantity"], line["unit"]) for line in found["lines"]] == [
        ("ALUMK", "1\u202f440 g", "1.44", "kg"),
        ("SALT", "720 g", "0.72", "kg"),
        ("SODACRYS", "360 g", "0.36", "kg"),
    ]
    assert found["aluminium"]["mol"] == "3.036"
    assert found["alkalis"] == [{"substance": "washing_soda_crystals", "mol": "1.258", "hydroxide_mol": "2.516"}]
    assert (found["basicity"], found["gas"], found["headroom"], found["froth"]) == ("27.6", "30.3", "9.0", True)
    assert (found["skins"], found["recipe"], found["version"], found["celsius"]) == ("3", "R1", "1", "20")
    # 3.67 of 560 g, 33.67 of 60.82 kg, 5.20 of 1.74 kg, as the year ended.
    assert [line["value"] for line in found["lines"]] == ["9.44", "0.40", "1.08"]
    assert found["cost"] == {"total": "10.92", "per_litre": "0.61", "per_skin": "3.64", "unpriced": []}
    assert found["shelf"] == {"litres": "7", "skins": "1", "limited_by": "Potash alum"}
    assert found["lines"][0]["short"] == "0.88"


def no_bare_numbers(found: Any) -> bool:
    if isinstance(found, dict):
        return all(map(no_bare_numbers, found.values()))
    if isinstance(found, list):
        return all(map(no_bare_numbers, found))
    return found is None or isinstance(found, str | bool)


def test_every_number_of_the_json_is_a_string() -> None:
    assert no_bare_numbers(asked("R1", "--litres", "18", "--weight", "14.2", "--vessel", "Taw tub"))


def test_the_words_name_amounts_in_order_and_what_to_mind() -> None:
    told = said("R1", "--litres", "18")
    assert told.index("1. Potash alum: 1\u202f440 g (1.44 kg)") < told.index(
        "3. Washing soda crystals: 360 g (0.36 kg)"
    )
    assert "0.88 kg short" in told
    assert "basicity 27.6 %" in told
    assert "Up to 30.3 L of carbon dioxide: leave 9.0 L of room" in told
    assert "Mind: Froths and gives off carbon dioxide" in told
    assert "It costs 10.92 EUR: 0.61 EUR a litre, 3.64 EUR a skin." in told
    assert "The shelf allows 7 L, 1 skin; Potash alum is what ends first." in told


def test_another_alum_and_another_soda_go_in_instead_with_their_cautions() -> None:
    factories.material("ALSUL", on_hand=5, value="20.00", substance="aluminium_sulphate_14")
    found = asked("R1", "--litres", "18", "--use", "alsul", "--use", "BICARB")
    first, _, third = found["lines"]
    assert (first["material"], first["instead_of"], first["asked"], first["measure"]) == (
        "ALSUL",
        "ALUMK",
        "1\u202f440 g",
        "902.1 g",
    )
    assert (third["instead_of"], third["measure"]) == ("SODACRYS", "211.4 g")
    assert any("Equal metal is not equal tanning" in words for words in found["cautions"])
    assert found["shelf"]["litres"] == "95.3"  # 1.12 kg of baking soda at 11.743 g a litre
    told = said("R1", "--litres", "18", "--use", "ALSUL")
    assert "Material ALSUL: 902.1 g (0.902 kg) instead of 1\u202f440 g ALUMK" in told


def test_litres_come_from_weight_and_float_or_from_the_tub() -> None:
    assert asked("R1", "--weight", "14,2", "--float", "1.5")["litres"] == "21.3"
    Place.objects.filter(name="Taw tub").update(litres=30000)
    found = asked("R1", "--vessel", "taw tub")
    assert (found["litres"], found["vessel"]["fits"]) == ("20", True)


def test_a_tub_that_is_too_small_is_told_with_what_it_would_hold() -> None:
    Place.objects.filter(name="Taw tub").update(litres=20000)
    words = ("R1", "--litres", "18", "--vessel", "Taw tub")
    vessel = asked(*words)["vessel"]
    assert (vessel["holds"], vessel["fits"], vessel["largest"]) == ("20", False, "13.3")
    assert "does not fit a vessel of 20 L; make at most 13.3 L" in said(*words)


def test_a_tub_that_takes_the_bath_is_told_and_one_that_nobody_measured_too() -> None:
    assert "Taw tub holds 45 L and takes it, with the room above it." in said(
        "R1", "--litres", "18", "--vessel", "Taw tub"
    )
    Place.objects.filter(name="Taw tub").update(litres=None)
    assert "Nobody has measured how much Taw tub holds" in said("R1", "--litres", "18", "--vessel", "Taw tub")


def test_what_is_no_tub_holds_no_bath() -> None:
    with pytest.raises(CommandError, match=r"Frames is a frame and holds no bath\. Name a tub: Lime tub, Taw tub"):
        said("R1", "--litres", "18", "--vessel", "Frames")


def test_a_bath_for_no_skin_is_refused() -> None:
    with pytest.raises(CommandError, match="The number of skins must be above zero"):
        said("R1", "--litres", "18", "--skins", "0")


def test_a_stand_in_is_weighed_as_finely_as_a_scale_tells() -> None:
    assert "Baking soda: 211.4 g (0.211 kg) instead of 360 g SODACRYS" in said(
        "R1", "--litres", "18", "--use", "BICARB"
    )


def test_a_cold_shed_is_told_when_alum_falls_out() -> None:
    found = asked("R1", "--litres", "18", "--celsius", "5")
    alum = found["saturation"][0]
    assert (alum["substance"], alum["verdict"]) == ("potash_alum", "over")
    assert "too much for the water" in said("R1", "--litres", "18", "--celsius", "5")


def test_alum_on_offer_to_a_kilogram_of_skin() -> None:
    offer = asked("R1", "--litres", "18", "--weight", "14.2")["offer"]
    assert offer == {"alum": "potash_alum", "aluminium_g_per_kg": "5.8", "alum_g_per_kg": "101.4"}


@pytest.mark.thorough(but=3)
@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["R9", "--litres", "18"], "There is no recipe R9; there is R1, R2, R3, R4."),
        (["R2", "--litres", "18"], "calculates nothing per litre"),
        (["R1"], "Give its size, or the drained weight"),
        (["R1", "--weight", "14"], "Give its size, or the drained weight"),
        (["R1", "--litres", "much"], "is not a figure"),
        (["R1", "--litres", "NaN"], "is not a figure"),
        (["R1", "--litres", "1e9"], "is not a figure"),
        (["R1", "--litres", "1000000000"], "larger than any workshop"),
        (["R1", "--litres", "0"], "must be above zero"),
        (["R1", "--litres", "18", "--skins", "1.5"], "must be a whole number"),
        (["R1", "--litres", "18", "--celsius", "200"], "from 0 to 100"),
        (["R1", "--litres", "18", "--use", "GLOVE"], "can take the place of nothing"),
        (["R1", "--litres", "18", "--use", "NOSUCH"], "There is no material NOSUCH"),
        (["R1", "--litres", "18", "--vessel", "Pond"], "There is no place Pond"),
        (["R1", "--vessel", "Salt crate"], "Salt crate is a shed and holds no bath"),
        (["R1", "--litres", "18", "--recipe-version", "7"], "has no version 7"),
        (["R1", "--litres", "18", "--day", "3"], "no bath on day 3; it does on day 9"),
    ],
)
def test_a_refusal_says_what_to_do(words: list[str], says: str) -> None:
    with pytest.raises(CommandError, match=says) as refusal:
        said(*words)
    assert refusal.value.returncode == 1


def test_a_line_in_cups_of_a_jar_never_weighed_is_refused_by_name() -> None:
    salt = Material.objects.get(code="SALT")
    factories.recipe("R5", recipes.Line(salt, Decimal("0.5"), "us_cup", "per_litre"))
    Material.objects.filter(pk=salt.pk).update(density_g_per_ml=None)
    with pytest.raises(
        CommandError, match=r"Salt, fine, non-iodised \(SALT\) is kept in g, and US cup.*enter the grams"
    ):
        said("R5", "--litres", "4")


def test_asking_moves_nothing() -> None:
    before = Movement.objects.count()
    asked("R1", "--litres", "7")
    assert Movement.objects.count() == before
