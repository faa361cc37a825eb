"""How long a material lasts, drawn: words that lie apart and inside, lines that say what the forecast says."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, strategies as st
from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Circle, Drawing, Line, Polygon, PolyLine, Rect, Shape, String

from inventory import units
from inventory.foresight.advice import Advice
from inventory.foresight.demand import Event, Habit, Usual, habit
from inventory.foresight.lot_size import advise
from inventory.foresight.rules import State, forecast
from inventory.foresight.selectors import Outlook
from inventory.foresight.supply import Coming, Lead, Need, Parcel, Supply
from inventory.models import Material
from tests.workshop.documents.reading import colours, words
from workshop.documents.charts import ahead, ink, svg
from workshop.documents.charts.course import LEAST_DAYS, MOST_DAYS, MOST_ROWS, Kind, course, rows
from workshop.documents.charts.placing import ROWS, flags

pytestmark = pytest.mark.usefixtures("type_is_cut")
D = Decimal
TODAY = date(2025, 12, 31)
NONE = Usual(Habit(), Habit())
WIDTHS = (ahead.PHONE, ahead.DESK)


def day(days: int) -> date:
    return TODAY + timedelta(days=days)


def every(gap: int, quantity: int | str, times: int = 30) -> Usual:
    events = [Event(day(-gap * back), D(quantity) * (1 + back % 3), False) for back in reversed(range(times))]
    return Usual(Habit(), habit(events, events[0].on, TODAY))


def outlook(
    on_hand: int | str, *needs: Need, use: Usual = NONE, unit: str = "kg", **supply: Any
) -> tuple[Outlook, Advice]:
    given = {"lead": Lead((9,)), "safety_days": 3, "parcels": (Parcel(D(on_hand)),), **supply}
    seen = forecast(Supply(**given), tuple(sorted(needs, key=lambda each: each.on)), use, TODAY)
    lot = advise(seen.wanted, pack=seen.supply.pack, most=seen.keeps)
    row = Material(code="ALUMK", name="Potash alum", unit=unit, base=units.base_of(unit))
    return Outlook(row, seen, D(on_hand)), Advice(lot, None, None)


def alum(**more: Any) -> tuple[Outlook, Advice]:
    """The demonstration's: 0.56 kg, and B5 needs 1.92 kg in twelve days."""
    return outlook(560, Need(day(12), D(1920), "B5"), pack=D(2000), **more)


def said(drawing: Drawing) -> list[str]:
    return [shape.text for shape in drawing.contents if isinstance(shape, String)]


def boxes(drawing: Drawing) -> list[tuple[str, float, float, float, float]]:
    """Where words stand, as wide as the type of a page may run."""
    found = []
    for shape in drawing.contents:
        if isinstance(shape, String):
            wide = ink.width_of(shape.text, bold=shape.fontName.endswith("Bold"))
            left = shape.x - (wide if shape.textAnchor == "end" else 0)
            found.append((shape.text, left, shape.y - 2, left + wide, shape.y + 8))
    return found


def assert_readable(drawing: Drawing) -> None:
    for shape in drawing.contents:
        if isinstance(shape, String):
            assert shape.fontSize >= 11
        else:
            x1, y1, x2, y2 = shape.getBounds()
            assert x1 >= -0.6, shape
            assert y1 >= -0.6, shape
            assert x2 <= drawing.width + 0.6, shape
            assert y2 <= drawing.height + 0.6, shape
    spots = boxes(drawing)
    for index, (text, left, low, right, high) in enumerate(spots):
        assert left >= -0.1, text
        assert right <= drawing.width + 0.1, text
        assert low >= -0.1, text
        assert high <= drawing.height + 0.1, text
        for other, left2, low2, right2, high2 in spots[index + 1 :]:
            assert right <= left2 or right2 <= left or high <= low2 or high2 <= low, (text, other)
        for line in (shape for shape in drawing.contents if isinstance(shape, Line) and shape.x1 == shape.x2):
            crossed = (
                left + 0.5 < line.x1 < right - 0.5
                and min(line.y1, line.y2) < high - 1
                and max(line.y1, line.y2) > low + 1
            )
            assert not crossed, (text, line.x1)


plans = st.lists(
    st.tuples(
        st.integers(0, 200), st.integers(0, 4000), st.sampled_from(["B5", "B12", "B3-2026", "Batch of Ann Hill"])
    ),
    max_size=6,
)
orders = st.lists(st.tuples(st.integers(-5, 200), st.integers(1, 4000)), max_size=3)


@pytest.mark.thorough
@given(
    on_hand=st.integers(0, 5000),
    planned=plans,
    ordered=orders,
    use=st.one_of(st.none(), st.tuples(st.integers(1, 90), st.integers(1, 900))),
    spoils=st.one_of(st.none(), st.integers(0, 90)),
    unit=st.sampled_from(["kg", "lb", "mL", "piece"]),
    pack=st.sampled_from([None, D(2000)]),
    lead=st.integers(0, 60),
)
def test_whatever_is_planned_and_ordered_no_words_are_lost_on_each_other(
    on_hand: int,
    planned: list[tuple[int, int, str]],
    ordered: list[tuple[int, int]],
    use: tuple[int, int] | None,
    spoils: int | None,
    unit: str,
    pack: Decimal | None,
    lead: int,
) -> None:
    found = course(
        *outlook(
            on_hand,
            *(Need(day(when), D(quantity), why) for when, quantity, why in planned),
            use=every(*use) if use else NONE,
            unit=unit,
            parcels=(Parcel(D(on_hand), None if spoils is None else day(spoils)),),
            coming=tuple(
                Coming(D(much), day(due), f"O-{number}", day(-9)) for number, (due, much) in enumerate(ordered)
            ),
            pack=pack,
            lead=Lead((lead,)),
        )
    )
    assert LEAST_DAYS <= found.days <= MOST_DAYS
    assert len(rows(found)) <= MOST_ROWS
    for width in WIDTHS:
        drawing = ahead.draw(found, width)
        assert drawing.width == width
        assert_readable(drawing)
        for line in filter(None, (found.solid, found.dashed, found.order and found.order[1])):
            assert line in said(drawing)


@pytest.mark.parametrize("width", WIDTHS)
def test_the_alum_says_all_that_the_maker_asks(width: int) -> None:
    drawing = ahead.drawing(*alum(), width)
    assert {
        "12 Jan: B5 needs 1.92 kg",
        "2 kg arrives about 9 Jan",
        "1.36 kg short if nothing is ordered",
        "order today",
        "with the order: lasts past 1 Mar",
        "31 Dec",
        "2 kg",
        "0",
    } <= set(said(drawing))
    assert_readable(drawing)


def lines(drawing: Drawing) -> dict[str, PolyLine]:
    """The course of the stock: whole, and broken."""
    found = [shape for shape in drawing.contents if isinstance(shape, PolyLine)]
    return {"broken" if shape.strokeDashArray else "whole": shape for shape in found}


def test_the_line_is_made_of_steps_and_the_one_without_the_order_is_broken() -> None:
    both = lines(ahead.drawing(*alum()))
    for line in both.values():
        spots = list(zip(line.points[::2], line.points[1::2], strict=True))
        assert all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(spots))
    assert min(both["broken"].points[1::2]) < min(both["whole"].points[1::2])


def test_what_falls_below_zero_shows_the_zero_line_and_a_ring_where_it_begins() -> None:
    drawing = ahead.drawing(*alum())
    (ring,) = [shape for shape in drawing.contents if isinstance(shape, Circle)]
    zero = [shape for shape in drawing.contents if isinstance(shape, Line) and shape.strokeWidth == 1.0]
    assert len(zero) == 1
    assert zero[0].y1 == zero[0].y2 > ring.cy
    assert ring.fillColor is None


@pytest.mark.parametrize("unit", ["kg", "lb", "us_gallon", "foot"])
def test_the_figures_of_its_scale_are_round_and_nought_has_no_places(unit: str) -> None:
    """An axis once said 4.082331 kg over 0.000000 kg."""
    label = units.label(unit)
    found = [
        text.removesuffix(f" {label}")
        for text in said(ahead.drawing(*outlook("4082.331", use=every(9, 100), unit=unit)))
        if text.replace(label, "").strip().replace(".", "").isdigit()
    ]
    assert "0" in found
    assert len(found) > 2
    assert [
        text for text in found if text != f"{D(text).normalize():f}" or len(D(text).normalize().as_tuple().digits) > 2
    ] == []


def test_nothing_is_told_by_colour_alone() -> None:
    """The accents are black on paper; an ordered square is full, an advised one hollow."""
    found, buy = alum(coming=(Coming(D(500), day(20), "O1", TODAY),))
    drawing = ahead.drawing(found, buy)
    squares = [shape for shape in drawing.contents if isinstance(shape, Rect)]
    assert sorted(square.fillColor is None for square in squares) == [False, True]
    for shape in drawing.contents:
        for colour in (getattr(shape, "fillColor", None), getattr(shape, "strokeColor", None)):
            assert colour is None or (colour.red, colour.green, colour.blue) == (0, 0, 0)


def test_on_paper_it_is_black_and_its_words_can_be_searched() -> None:
    paper = renderPDF.drawToString(ahead.drawing(*outlook(900, Need(day(12), D(1920), "B5"), use=every(9, 100))))
    assert "12 Jan: B5 needs 1.92 kg" in words(paper)
    assert all(float(value) == 0 for _, operands in colours(paper) for value in operands)


def test_a_page_colours_words_by_a_class_and_the_bands_by_thin_ink() -> None:
    text = svg.to_svg(ahead.drawing(*outlook(900, use=every(9, 100))), "t", "d", "i")
    assert 'class="rust"' in text
    assert 'fill-opacity="0.09"' in text
    assert "style=" not in text


def test_a_band_lies_within_the_wider_one_and_is_missing_where_all_is_certain() -> None:
    unsure = course(*outlook(900, use=every(9, 100)))
    assert unsure.uncertain
    assert all(list(band) == sorted(band) for band in unsure.bands)
    tinted = [shape for shape in ahead.draw(unsure, 560).contents if isinstance(shape, Polygon) and shape.fillOpacity]
    assert [shape.fillOpacity for shape in tinted] == [0.09, 0.13]
    sure = course(*alum())
    assert not sure.uncertain
    assert not [shape for shape in ahead.draw(sure, 560).contents if getattr(shape, "fillOpacity", None)]


def test_deliveries_and_plans_are_marked_on_their_days() -> None:
    found = course(*alum(coming=(Coming(D(2000), day(9), "O1", TODAY),)))
    assert [(event.day, event.kind, event.words) for event in found.events] == [
        (9, Kind.DUE, "9 Jan: 2 kg of O1 due"),
        (12, Kind.PLAN, "12 Jan: B5 needs 1.92 kg"),
    ]
    assert not found.bare
    assert found.order is None


def test_batches_of_one_day_share_its_words() -> None:
    needs = [Need(day(12), D(100), f"B{number}") for number in (5, 6, 7)]
    assert [event.words for event in course(*outlook(900, *needs[:2])).events] == ["12 Jan: B5, B6 need 0.2 kg"]
    assert [event.words for event in course(*outlook(900, *needs)).events] == ["12 Jan: 3 batches need 0.3 kg"]


def test_an_order_past_its_day_is_not_drawn_as_coming() -> None:
    found = course(*alum(coming=(Coming(D(2000), day(-1), "O1", day(-20)),)))
    assert [event.kind for event in found.events] == [Kind.PLAN]


def test_a_plan_nearer_than_a_delivery_is_short_whatever_is_ordered() -> None:
    seen, buy = outlook(560, Need(day(5), D(1920), "B5"), pack=D(2000))
    assert seen.forecast.state == State.SHORT
    assert course(seen, buy).dashed == "1.36 kg short until it arrives"
    assert course(seen, buy).order == (0, "order today")


def test_what_spoils_ends_the_line_and_is_said() -> None:
    found = course(*outlook(0, unit="piece", parcels=(Parcel(D(24), day(15)),)))
    assert [event.words for event in found.events] == ["15 Jan: best before, 24 pc unused"]
    assert found.solid == "none left from 16 Jan"


def test_an_empty_shelf_that_nothing_takes_from_has_no_drawing() -> None:
    assert course(*outlook(0)).empty
    assert not course(*outlook(0, Need(day(9), D(100), "B5"))).empty
    assert not course(*outlook(10)).empty


def test_only_what_must_be_ordered_soon_is_drawn_as_ordered() -> None:
    found = course(*outlook(9000, use=every(9, 500)))
    assert found.order is not None
    assert found.order[1].startswith("order by ")
    assert not found.bare
    assert found.solid.startswith("runs out about ")


def test_the_table_has_each_week_and_each_marked_day() -> None:
    found = rows(course(*alum()))
    by_day = {row.on: row for row in found}
    assert {day(0), day(7), day(14), day(60)} <= set(by_day)
    assert by_day[day(12)].what == ("B5 needs 1.92 kg",)
    assert (by_day[day(12)].middle, by_day[day(12)].bare) == ("0.64 kg", "−1.36 kg")
    assert by_day[day(0)].what == ("order today",)


def test_flags_that_find_no_room_are_left_out_rather_than_laid_over_others() -> None:
    many = [(150.0 + 3 * number, ("a long name that fills the whole row", "short")) for number in range(30)]
    found = flags(many, 300)
    assert ROWS <= len(found) < len(many)
    lone: Shape = flags([(299.0, ("at the right edge",))], 300)[0]
    assert lone.right <= 300.01
