"""Bath and jar labels, and what both share."""

from __future__ import annotations

from decimal import Decimal

import pytest

from inventory.errors import Refused
from tests.workshop.documents import reading
from tests.workshop.documents.examples import LONG_MAKER, LONG_NUMBER, UNBROKEN
from tests.workshop.documents.shed_examples import BATH, DANGER, LONG_SPECIES, bath_label, jar_label, long_bath_label
from workshop.documents.kit import page as kit
from workshop.documents.kit.text import TextTooLong
from workshop.documents.labels import bath_label as bath, jar_label as jar
from workshop.documents.words.rules import Words

MM = reading.MM
PRECAUTIONS = Words().lines("vessel.precautions")


def pictogram_place(paper: bytes) -> float:
    """Side in mm of the one upright square drawn on the label, or nothing."""
    squares = [
        (spot.right - spot.left) / MM
        for spot in reading.path_spots(paper)
        if spot not in reading.code_spots(paper)
        and abs((spot.right - spot.left) - (spot.top - spot.bottom)) < 0.1
        and spot.right - spot.left > 5 * MM
    ]
    assert len(squares) <= 1
    return squares[0] if squares else 0


def squeezed(text: str) -> str:
    return text.replace(" ", "").replace("-", "")


# Source: Regulation (EC) 1272/2008, Annex I, table 1.3, as restated by a national health ministry; from 3, 50 and 500 L on
# the next larger label, the volume itself still belonging to the smaller one.
@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("litres", "size", "pictogram"),
    [
        ("0.25", (52, 74), 10),
        ("3", (52, 74), 10),
        ("3.001", (74, 105), 23),
        ("50", (74, 105), 23),
        ("50.5", (105, 148), 32),
        ("500", (105, 148), 32),
        ("501", (148, 210), 46),
    ],
)
def test_a_label_and_its_pictogram_grow_with_the_vessel(litres: str, size: tuple[int, int], pictogram: int) -> None:
    for paper in (
        bath.render(bath_label(vessel_litres=Decimal(litres))),
        jar.render(jar_label(litres=Decimal(litres))),
    ):
        assert reading.size_mm(paper) == size
        assert pictogram <= pictogram_place(paper) < pictogram + 4
        assert f"{pictogram} mm or more" in reading.words(paper)
        reading.assert_printable(paper)


def test_the_bath_decides_the_size_where_the_vessel_is_not_known() -> None:
    assert reading.size_mm(bath.render(bath_label(litres=Decimal(2)))) == (52, 74)
    assert reading.size_mm(bath.render(bath_label(litres=Decimal(2), vessel_litres=Decimal(60)))) == (105, 148)


@pytest.mark.parametrize("litres", [Decimal(0), Decimal(-1), Decimal("NaN"), Decimal("Infinity")])
def test_a_vessel_that_holds_nothing_is_refused(litres: Decimal) -> None:
    with pytest.raises(Refused, match="is no volume") as refused:
        jar.render(jar_label(litres=litres))
    assert refused.value.field == "litres"


def test_words_that_have_no_room_take_the_next_larger_label() -> None:
    many = (*DANGER, *(f"Sentence {index} that the safety data sheet of the supplier adds." for index in range(8)))
    paper = bath.render(bath_label(litres=Decimal(2), hazards=many))
    assert reading.size_mm(paper) != (52, 74)
    assert all(sentence in reading.words(paper) for sentence in many[1:])


def test_words_are_refused_and_never_cut_on_the_largest_label() -> None:
    with pytest.raises(TextTooLong, match="words of the label"):
        bath.render(bath_label(hazards=("Danger", "word " * 900)))


def test_a_bath_label_says_contents_strength_date_batch_and_who_is_in_it() -> None:
    said = reading.words(bath.render(bath_label()))
    for name, strength in BATH:
        assert f"{name} {strength}" in said or (name in said and strength in said)
    for text in ("B1", "Tub 2 · 18 L · filled 20 Jan 2025", "In it: H01, H02, H03"):
        assert text in said


def test_a_bath_label_says_signal_hazards_precautions_and_the_standing_lines() -> None:
    said = reading.words(bath.render(bath_label()))
    for text in ("DANGER", *DANGER[1:], *PRECAUTIONS, *map(Words(), bath.STANDING), "The supplier's SDS comes first."):
        assert text in said
    for text in ("Not food or drink", "gloves and eye protection", "Never seal while it gasses", "local rules"):
        assert text in said


def test_the_suppliers_words_stand_in_place_of_the_usual_ones() -> None:
    own = ("Warning", "Causes serious eye irritation (H319).")
    said = reading.words(bath.render(bath_label(hazards=own, precautions=("Rinse, and ask the supplier.",))))
    assert "WARNING" in said
    assert "Rinse, and ask the supplier." in said
    assert "DANGER" not in said
    assert PRECAUTIONS[0] not in said


def test_a_label_without_hazard_words_says_so_and_keeps_no_place_for_a_pictogram() -> None:
    for paper in (bath.render(bath_label(hazards=())), jar.render(jar_label(hazards=()))):
        assert "No hazard words were given" in reading.words(paper)
        assert pictogram_place(paper) == 0
        reading.assert_printable(paper)


def test_a_tub_with_no_skin_says_so() -> None:
    assert "No skin in it" in reading.words(bath.render(bath_label(who_is_in_it=())))


@pytest.mark.parametrize("litres", ["2", "18", "60", "800"])
def test_the_batch_number_is_ten_millimetres_tall(litres: str) -> None:
    paper = bath.render(bath_label(litres=Decimal(litres)))
    spot = next(spot for text, spot in reading.text_spots(paper) if text.strip() == "B1")
    assert spot.top - spot.bottom >= 10 * MM


@pytest.mark.parametrize("litres", ["2", "18", "60", "800"])
def test_a_bath_label_with_the_longest_names_stays_in_its_boxes(litres: str) -> None:
    paper = bath.render(long_bath_label(litres=Decimal(litres)))
    reading.assert_printable(paper)
    said = squeezed(reading.words(paper))
    for text in (LONG_NUMBER, LONG_SPECIES, UNBROKEN, "1,234.567 g/L", f"{LONG_NUMBER}-5"):
        assert squeezed(text) in said


def test_a_jar_label_says_name_formula_supplier_lot_opened_density_and_tare() -> None:
    said = reading.words(jar.render(jar_label()))
    for text in (
        "Hydrated lime",
        "Ca(OH)₂",
        "Utuharju Chemicals, lot P-005",
        "Opened 10 May 2025",
        "Tare 412 g with lid",
        "1 us cup = 132 g, weighed 3 Mar",
        "DANGER",
        "gloves and eye protection",
    ):
        assert text in said


def test_a_jar_not_opened_yet_leaves_a_line_for_the_date() -> None:
    assert "Opened on ____" in reading.words(jar.render(jar_label(opened_on=None)))


def test_a_jar_label_with_the_longest_names_stays_in_its_boxes() -> None:
    paper = jar.render(
        jar_label(
            name=UNBROKEN + " " + "Å" * 19, supplier=LONG_MAKER["maker"], lot="X" * 40, density=UNBROKEN, tare="x" * 30
        )
    )
    reading.assert_printable(paper)
    said = squeezed(reading.words(paper))
    for text in (UNBROKEN, LONG_MAKER["maker"], "X" * 40, "Å" * 19):
        assert squeezed(text) in said


def test_labels_lie_on_a_sheet_turned_for_the_most_of_them() -> None:
    sheet = bath.render(bath_label(), copies=9, sheet=kit.A4)
    assert [page.count("In it: H01") for page in reading.pages(sheet)] == [8, 1]
    reading.assert_printable(sheet, margin_mm=3)


def test_the_same_label_gives_the_same_bytes() -> None:
    assert bath.render(bath_label()) == bath.render(bath_label())
    assert jar.render(jar_label()) == jar.render(jar_label())
