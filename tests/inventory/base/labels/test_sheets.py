from __future__ import annotations

from decimal import Decimal

import pytest

from inventory.base.accounting import services as accounting
from inventory.base.labels import rules, selectors, services
from inventory.base.labels.lengths import INCHES, MM
from inventory.errors import Refused

SAID = {"paper": "a4", "columns": 2, "rows": 7, "width": Decimal("99.1"), "height": Decimal("38.1")}


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("0x7", "sheet"),
        ("51x1", "sheet"),
        ("30x3", "width"),
        ("1x1mm", "width"),
        ("9999x50mm", "width"),
        ("0.3x1in", "width"),
    ],
)
def test_numbers_that_make_no_sheet_are_refused(text: str, field: str) -> None:
    with pytest.raises(Refused) as refused:
        rules.asked(text, "a4")
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"columns": 3}, "columns"),
        ({"rows": 0}, "rows"),
        ({"height": Decimal(1)}, "height"),
        ({"gap_x": Decimal(-1)}, "gap_x"),
        ({"offset_y": Decimal(11)}, "offset_y"),
        ({"paper": "a3"}, "paper"),
        ({"paper": "roll"}, "paper"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_beside_its_figure(changed: dict[str, object], field: str) -> None:
    with pytest.raises(Refused) as refused:
        rules.checked(rules.Sheet(**{**SAID, **changed}))  # type: ignore[arg-type]
    assert refused.value.field == field


@pytest.mark.django_db
def test_a_sheet_is_found_by_its_name_and_an_unknown_one_says_what_there_is() -> None:
    row = services.create(name="Stall", **SAID)  # type: ignore[arg-type]
    assert selectors.sheet("stall") == row.sheet
    with pytest.raises(Refused, match="Stall"):
        selectors.sheet("shop")


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["a4", "own", "3x7", "57x32mm"])
def test_a_name_that_is_itself_a_sheet_is_refused(name: str) -> None:
    with pytest.raises(Refused) as refused:
        services.create(name=name, **SAID)  # type: ignore[arg-type]
    assert refused.value.field == "name"


@pytest.mark.django_db
def test_every_sheet_is_listed_and_found_by_its_name_the_common_ones_first() -> None:
    assert selectors.every() == list(rules.COMMON.items())
    stall = services.create(name="Stall", **SAID)  # type: ignore[arg-type]
    assert selectors.every() == [*rules.COMMON.items(), ("Stall", stall.sheet)]
    assert selectors.sheet("3 × 8 on a4") == rules.COMMON["3 × 8 on A4"]


@pytest.mark.django_db
def test_common_sheets_on_the_workshops_own_paper_come_first() -> None:
    accounting.set_up(paper="letter")
    papers = [sheet.paper for _, sheet in selectors.every()]
    assert papers == ["letter"] * 2 + ["a4"] * 4
    assert dict(selectors.every()) == rules.COMMON


@pytest.mark.django_db
@pytest.mark.parametrize(("units", "ruler"), [("metric", MM), ("imperial", MM), ("us", INCHES)])
def test_sheets_are_measured_in_inches_in_the_united_states_alone(units: str, ruler: object) -> None:
    accounting.set_up(units=units)
    assert selectors.ruler() is ruler


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"height": Decimal(1)}, "A label is 0.4 to 16.53 in each way, and its height is 0.0394 in"),
        ({"columns": 3}, "take 11.7047 in, and the paper has 8.2677 in"),
        ({"offset_y": Decimal(11)}, "off by 0.39 in at most"),
    ],
)
def test_a_refusal_tells_lengths_by_the_ruler_it_is_given(changed: dict[str, object], says: str) -> None:
    with pytest.raises(Refused, match=says):
        rules.checked(rules.Sheet(**{**SAID, **changed}), INCHES)  # type: ignore[arg-type]


@pytest.mark.django_db
@pytest.mark.parametrize(("text", "says"), [("0.3x1in", "its width is 0.3 in"), ("30x3", "its width is 0.2756 in")])
def test_a_sheet_written_by_its_numbers_is_refused_in_the_workshops_measure(text: str, says: str) -> None:
    accounting.set_up(units="us")
    with pytest.raises(Refused, match=says):
        selectors.sheet(text)
