from __future__ import annotations

from decimal import Decimal
from functools import partial
from typing import Any

import pytest

from inventory.base.labels import rules
from inventory.base.labels.lengths import INCHES
from inventory.errors import Refused
from tests.workshop.documents.reading import MM, pages, size_mm, text_spots
from workshop.documents.kit import cards, page
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import Box, Paper


def _card(words: str, *sizes: Paper) -> Card:
    def draw(on: Any, box: Box, words: str) -> None:
        page.text(on, box.inset(4), words, size=12, smallest=10, whole="words")

    return Card(partial(draw, words=words), sizes or (page.TICKET,), words[:20], "Routamo Skins")


def _deck(count: int) -> list[Card]:
    return [_card(f"no{number}") for number in range(1, count + 1)]


def _overlap(places: list[Box]) -> bool:
    return any(
        not (
            one.right <= other.x + 0.01
            or other.right <= one.x + 0.01
            or one.y >= other.top - 0.01
            or other.y >= one.top - 0.01
        )
        for at, one in enumerate(places)
        for other in places[at + 1 :]
    )


def test_tickets_on_a_sheet_lie_side_by_side_inside_it() -> None:
    places = cards.slots(page.A4, page.TICKET)
    assert len(places) == 10
    assert not _overlap(places)
    assert all(place.x >= 0 and place.y >= 0 for place in places)
    assert all(place.right <= page.A4.box.right and place.top <= page.A4.box.top for place in places)


@pytest.mark.parametrize("sheet", rules.COMMON.values(), ids=rules.COMMON)
def test_the_labels_of_a_common_sheet_lie_apart_on_its_paper(sheet: rules.Sheet) -> None:
    layout = cards.on_sheet(rules.checked(sheet))
    assert len(layout.places) == sheet.count
    assert not _overlap(list(layout.places))
    slack = 0.5 * MM
    assert all(place.x >= 0 and place.y >= -slack for place in layout.places)
    assert all(place.right <= layout.paper.box.right + slack for place in layout.places)


def test_a_21_up_sheet_started_at_8_leaves_1_to_7_empty() -> None:
    layout = cards.on_sheet(rules.equal(3, 7, "a4"))
    paper = cards.run(_deck(16), layout=layout, start=8)
    assert [text.split() for text in pages(paper)] == [[f"no{n}" for n in range(1, 15)], ["no15", "no16"]]
    spots = dict(text_spots(paper))
    for at, place in enumerate(layout.places):
        inside = [
            text
            for text, spot in spots.items()
            if spot.left >= place.x and place.y <= spot.bottom < place.top and spot.right <= place.right
        ]
        assert [text.strip() for text in inside] == ([f"no{at - 6}"] if at >= 7 else [])


@pytest.mark.parametrize("start", [0, -1, 22])
def test_a_start_beyond_the_sheet_is_refused(start: int) -> None:
    with pytest.raises(Refused, match=f"has 21 labels, so none can begin at {start}") as refused:
        cards.run(_deck(1), layout=cards.on_sheet(rules.equal(3, 7, "a4")), start=start)
    assert refused.value.field == "start"


def test_a_page_each_has_no_other_place_to_begin() -> None:
    with pytest.raises(Refused, match="a page each"):
        cards.run(_deck(1), start=2)


def test_a_roll_gives_a_page_of_its_size_for_each_label() -> None:
    roll = rules.asked("57x32mm", "a4")
    assert roll is not None
    paper = cards.run(_deck(3), copies=2, layout=cards.on_sheet(roll))
    assert size_mm(paper) == (57, 32)
    assert pages(paper) == ["no1", "no1", "no2", "no2", "no3", "no3"]


def test_what_the_printer_misses_by_is_put_right() -> None:
    plain = rules.Sheet("a4", 2, 2, Decimal(80), Decimal(40), Decimal(10), Decimal(10))
    moved = rules.Sheet(
        "a4",
        2,
        2,
        Decimal(80),
        Decimal(40),
        Decimal(10),
        Decimal(10),
        offset_x=Decimal("1.5"),
        offset_y=Decimal("-0.5"),
    )
    (was, *_), (now, *_) = cards.on_sheet(plain).places, cards.on_sheet(moved).places
    assert now.x - was.x == pytest.approx(1.5 * MM)
    assert now.y - was.y == pytest.approx(0.5 * MM)  # up is more


def test_words_without_room_on_the_label_are_refused_with_its_size() -> None:
    roll = rules.asked("20x12mm", "a4")
    assert roll is not None
    with pytest.raises(
        Refused, match="does not fit on a label of 20 × 12 mm: there is no room for the words"
    ) as refused:
        cards.run([_card("far too many words for a label as small as this")], layout=cards.on_sheet(roll))
    assert refused.value.field == "sheet"


def test_the_size_of_a_label_is_told_by_the_ruler_of_its_sheet() -> None:
    roll = rules.asked("0.75x0.5in", "letter")
    assert roll is not None
    with pytest.raises(Refused, match=r"does not fit on a label of 0\.75 × 0\.5 in: there is no room for the words"):
        cards.run([_card("far too many words for a label as small as this")], layout=cards.on_sheet(roll, INCHES))


@pytest.mark.parametrize(
    ("count", "copies", "said"), [(1, 0, "0 copies"), (1, -1, "-1 copies"), (2, 1501, "3002 labels")]
)
def test_a_run_of_none_or_too_many_is_refused(count: int, copies: int, said: str) -> None:
    with pytest.raises(Refused, match=f"{said} were asked for") as refused:
        cards.run(_deck(count), copies=copies)
    assert refused.value.field == "copies"


def test_a_run_of_nothing_is_refused() -> None:
    with pytest.raises(Refused, match="No label"):
        cards.run([])


def test_each_label_without_a_sheet_is_as_large_as_its_words_ask() -> None:
    small, large = Paper(30, 20), Paper(80, 60)
    long = _card("a good many words " * 8, small, large)
    paper = cards.run([_card("short", small, large), long])
    assert size_mm(paper) == (30, 20)
    assert cards.own_size(long) == large


def test_labels_to_cut_apart_are_as_large_as_the_largest() -> None:
    deck = [_card("short", Paper(30, 20), Paper(80, 60)), _card("a good many words " * 8, Paper(30, 20), Paper(80, 60))]
    place = cards.apart_for(page.A4, deck).places[0]
    assert (place.width, place.height) == Paper(80, 60).size


def test_a_sheet_is_turned_where_that_takes_more_cards() -> None:
    assert cards.apart(page.A4, Paper(74, 105)).paper == page.A4.turned()
    assert cards.apart(page.A4, Paper(52, 74)).paper == page.A4


def test_it_is_told_after_each_page_how_far_a_run_is() -> None:
    said: list[tuple[int, int]] = []
    cards.run(
        _deck(5), layout=cards.on_sheet(rules.equal(1, 2, "a4")), say=lambda done, total: said.append((done, total))
    )
    assert said == [(1, 3), (2, 3), (3, 3)]


def test_viewers_are_asked_to_print_at_actual_size() -> None:
    assert b"/PrintScaling /None" in cards.run(_deck(1))
