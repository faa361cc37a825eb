from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from costing.make.baths.chemistry import cautions
from inventory.errors import Refused
from tests.workshop.documents import reading
from tests.workshop.documents.examples import LONG_MAKER, LONG_NUMBER, UNBROKEN
from tests.workshop.documents.shed_examples import LONG_SPECIES, batch_card
from workshop.documents.shed import batch_card as paper_card
from workshop.documents.shed.batch_card import Amount, CardDay, CardSkin

MM = reading.MM


def boxes(paper: bytes) -> list[reading.Spot]:
    """All squares large enough to tick with a pencil, on all pages."""
    found = []
    for page in range(len(reading.pages(paper))):
        for spot in reading.path_spots(paper, page):
            wide, high = spot.right - spot.left, spot.top - spot.bottom
            if wide > 5 * MM and abs(wide - high) < 0.1:
                found.append(spot)
    return found


def test_a_card_says_batch_recipe_start_vessel_and_litres() -> None:
    said = reading.words(paper_card.render(batch_card()))
    assert "Batch card · Routamo Skins" in said
    assert "Recipe R1 v1 · start Sat 11 Jan 2025 · Tub 2 · 18 L" in said


def test_a_card_without_a_bath_leaves_vessel_and_litres_out() -> None:
    said = reading.words(paper_card.render(batch_card(vessel="", litres="")))
    assert "Recipe R1 v1 · start Sat 11 Jan 2025 Skins" in said


def test_a_card_lists_skins_amounts_and_notes() -> None:
    said = reading.words(paper_card.render(batch_card()))
    for text in ("Skins (3)", "H01", "sheep, ewe", "4.6 kg", "Potash alum", "1,440 g", "H03 has two holes."):
        assert text in said


def test_there_is_a_box_to_tick_for_each_amount_and_each_time_of_each_day() -> None:
    card = batch_card()
    squares = boxes(paper_card.render(card))
    assert len(squares) == len(card.amounts) + sum(row.boxes for row in card.days)
    assert all(spot.right - spot.left >= 8 * MM for spot in squares)
    assert not [one for i, one in enumerate(squares[:3]) for other in squares[i + 1 : 3] if one.meets(other)]


def test_a_row_with_many_boxes_keeps_them_apart_and_on_the_page() -> None:
    row = CardDay(date(2025, 2, 12), "Soften", paper_card.MOST_BOXES)
    paper = paper_card.render(batch_card(days=(row,), amounts=()))
    squares = boxes(paper)
    assert len(squares) == paper_card.MOST_BOXES
    assert not [1 for i, one in enumerate(squares) for other in squares[i + 1 :] if one.meets(other)]
    reading.assert_printable(paper, margin_mm=10)


@pytest.mark.parametrize("count", [-1, paper_card.MOST_BOXES + 1])
def test_a_wrong_number_of_boxes_is_refused(count: int) -> None:
    with pytest.raises(Refused, match=f"“Turn” asks for {count} tick boxes") as refused:
        CardDay(date(2025, 1, 21), "Turn", count)
    assert refused.value.field == "boxes"


def test_a_caution_stands_beside_its_step_and_is_not_repeated_on_the_days_after() -> None:
    said = reading.words(paper_card.render(batch_card()))
    gas, gloves = cautions.CAUTIONS["gas"].short, cautions.CAUTIONS["gloves"].short
    assert f"Mix the bath {gas}" in said
    assert said.count(gloves) == 1
    assert said.count("Turn, open the folds") == 10


def test_a_caution_that_comes_back_after_another_is_printed_again() -> None:
    rows = tuple(
        CardDay(date(2025, 1, 20 + n), "Step", 1, 0, words) for n, words in enumerate(("one.", "two.", "one."))
    )
    assert reading.words(paper_card.render(batch_card(days=rows))).count("one.") == 2


def test_each_day_has_its_date_and_its_usual_minutes() -> None:
    said = reading.words(paper_card.render(batch_card()))
    assert "Mon 20 Jan 2025" in said
    assert "usual 30" in said
    assert "usual 0" not in reading.words(paper_card.render(batch_card(days=(CardDay(date(2025, 1, 20), "Look"),))))


def test_what_is_done_shows_its_minutes_and_leaves_no_line_to_write_on() -> None:
    done = CardDay(date(2025, 1, 20), "Turn", boxes=0, minutes=7)
    paper = paper_card.render(batch_card(days=(done,)))
    said = reading.words(paper)
    assert "Turn 7" in said
    assert "usual" not in said
    assert ("Figure", "ticked") in reading.told(paper)
    assert ("P", "skipped") in reading.told(paper_card.render(batch_card(days=(replace(done, skipped=True),))))


def test_what_went_in_stands_beside_what_was_planned() -> None:
    amount = Amount("Potash alum (bath)", "1440 g", "1.44 kg, as Sulphate")
    assert "1.44 kg, as Sulphate" in reading.words(paper_card.render(batch_card(amounts=(amount,))))


def test_there_is_room_to_write_hours_and_readings() -> None:
    said = reading.words(paper_card.render(batch_card()))
    assert "Date Work Skins From To Minutes" in said
    assert "Date, time pH °C Weight What I saw" in said


def test_pages_are_counted_and_a_table_that_goes_on_repeats_its_head() -> None:
    rows = tuple(CardDay(date(2025, 1, 1 + n % 28), f"Turn {n}") for n in range(30))
    pages = reading.pages(paper_card.render(batch_card(days=rows)))
    assert len(pages) > 2
    for index, page in enumerate(pages, start=1):
        assert f"page {index} of {len(pages)}" in page
        if "Turn " in page:
            assert "Step, and what to mind" in page


def test_a_card_is_printable_and_its_code_reads_back() -> None:
    paper = paper_card.render(batch_card())
    reading.assert_printable(paper, margin_mm=10)
    assert reading.size_mm(paper) == (210, 297)
    assert reading.barcodes(paper) == ["B1"]


def test_a_card_with_the_longest_names_stays_in_its_boxes() -> None:
    paper = paper_card.render(
        batch_card(
            workshop=LONG_MAKER["maker"],
            batch=LONG_NUMBER,
            recipe=LONG_NUMBER + " v12",
            vessel=UNBROKEN,
            skins=(CardSkin(LONG_NUMBER, LONG_SPECIES, "1,234.567 kg"),) * 6,
            amounts=(Amount(UNBROKEN + " ÅÄÖ åäö ja suolaa", UNBROKEN),) * 4,
            days=(CardDay(date(2025, 9, 28), UNBROKEN + " ja vielä kerran", 5, 1440, UNBROKEN * 3),) * 3,
            notes=UNBROKEN * 3,
        )
    )
    reading.assert_printable(paper, margin_mm=10)
    assert reading.barcodes(paper) == [LONG_NUMBER]
    said = reading.words(paper).replace(" ", "").replace("-", "")
    assert said.count(UNBROKEN * 3) == 2
    assert said.count(LONG_SPECIES.replace(" ", "")) == 6


def test_a_batch_without_skins_amounts_or_days_still_gives_a_card() -> None:
    said = reading.words(paper_card.render(batch_card(skins=(), amounts=(), days=(), notes="")))
    assert "No skin has joined this batch yet." in said
    assert "Day by day" not in said


def test_a_planned_amount_is_never_cut() -> None:
    said = reading.words(paper_card.render(batch_card(amounts=(Amount("Salt", "1 us cup + " * 40),))))
    assert said.count("1 us cup +") == 40


def test_the_same_card_gives_the_same_bytes() -> None:
    assert paper_card.render(batch_card()) == paper_card.render(batch_card())
