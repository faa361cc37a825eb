"""What a cell may hold: each kind of column takes what its page says and refuses the rest with what to write."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, strategies as st

from costing.make.readings.areas import taps
from inventory import units
from inventory.errors import Refused
from workshop.transfer.format import kinds, readers, writers
from workshop.transfer.format.readers import Stay

NUMBER = readers.number()
PIXEL = st.integers(-999_999_999, 999_999_999).map(lambda thousandths: thousandths / 1000)
RING = st.lists(st.tuples(PIXEL, PIXEL), max_size=5).map(tuple)


@pytest.mark.parametrize(("cell", "value"), [("0.72", "0.72"), ("1250", "1250"), ("007", "7"), ("+2", "2")])
def test_plain_numbers_are_read_exactly(cell: str, value: str) -> None:
    assert NUMBER(cell) == Decimal(value)


@pytest.mark.parametrize(
    ("cell", "reason"),
    [
        *(
            (cell, "not a plain number")
            for cell in ("NaN", "Infinity", "-inf", "1e999", "1E3", "1 000", "1_000", "٣", "½", ".5", "x")
        ),
        *((cell, "decimal comma. Use a point") for cell in ("0,5", "1.234,5", "1 234,50")),
        *((cell, "more than zero") for cell in ("0", "-1", "0.00", "-0")),
        ("1000000001", "larger than any workshop"),
        ("0.0000000001", "more than 9 decimals"),
    ],
)
def test_what_is_no_amount_is_refused_with_its_reason(cell: str, reason: str) -> None:
    with pytest.raises(Refused, match=reason):
        NUMBER(cell)


def test_money_may_be_zero_but_not_negative_nor_finer_than_is_kept() -> None:
    money = readers.number(decimals=3, zero=True)
    assert money("0") == 0
    assert money("1.5000") == Decimal("1.5")
    for cell in ("-0.01", "0.0001"):
        with pytest.raises(Refused):
            money(cell)


@pytest.mark.parametrize(
    "cell", ["2025-1-1", "20250101", "2025-W01-1", "01.02.2025", "2025-02-29", "1/2/2025", "٢٠٢٥-٠١-٠١"]
)
def test_days_are_iso_and_exist(cell: str) -> None:
    assert readers.day("2024-02-29") == date(2024, 2, 29)
    with pytest.raises(Refused, match="like 2025-01-31"):
        readers.day(cell)


@pytest.mark.parametrize(
    "cell",
    ["2025-01-20T10:30Z", "2025-01-20T12:30+02:00", "2025-01-20T10:30:00+00:00", "2025-01-20T00:30:00.000000-10:00"],
)
def test_a_moment_is_read_with_its_zone(cell: str) -> None:
    assert readers.moment(cell).astimezone(UTC) == datetime(2025, 1, 20, 10, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    "cell",
    [
        "2025-01-20",
        "2025-01-20T10:30",
        "2025-01-20 10:30Z",
        "20250120T1030Z",
        "2025-02-30T10:30Z",
        "2025-01-20T25:00Z",
        "2025-01-20T10:30+99:00",
        "0001-01-01T00:00+10:00",
        "9999-12-31T23:00-10:00",
        "٢٠٢٥-01-20T10:30Z",
    ],
)
def test_a_moment_that_could_mean_several_or_none_is_refused(cell: str) -> None:
    with pytest.raises(Refused, match=r"2025-01-31T14:30\+02:00"):
        readers.moment(cell)


def test_a_temperature_may_lie_below_zero() -> None:
    assert readers.number(decimals=3, signed=True)("-1.5") == Decimal("-1.5")
    with pytest.raises(Refused, match="larger than any workshop"):
        readers.number(signed=True)("-1000000001")


@pytest.mark.parametrize("cell", ["H01-neck.jpg", "0a1b.jpg", "IMG_2025.JPG"])
def test_a_file_is_named_by_itself(cell: str) -> None:
    assert readers.file_name(cell) == cell


@pytest.mark.parametrize(
    "cell",
    [
        "../secret.key",
        "/etc/passwd",
        "a/b.jpg",
        "..",
        ".",
        ".hidden.jpg",
        "C:\\x.jpg",
        "a b.jpg",
        "ä.jpg",
        "-x.jpg",
        "x" * 81,
    ],
)
def test_a_name_that_leads_elsewhere_or_hides_is_refused(cell: str) -> None:
    with pytest.raises(Refused, match="not a plain file name"):
        readers.file_name(cell)


def test_whole_numbers_keep_to_their_span() -> None:
    days = readers.whole()
    assert [days("0"), days("3650")] == [0, 3650]
    for cell in ("1.5", "-1", "3651", "1e3"):
        with pytest.raises(Refused):
            days(cell)


@pytest.mark.parametrize(("cell", "value"), [("1/3", (1, 3)), ("0.25", (1, 4)), ("1", (1, 1)), ("2/2", (1, 1))])
def test_a_share_is_a_fraction_or_a_decimal_up_to_one(cell: str, value: tuple[int, int]) -> None:
    assert readers.share(cell) == Fraction(*value)


@pytest.mark.parametrize("cell", ["0", "1.01", "4/3", "1/0", "0/3", "33 %", "-1/3"])
def test_a_share_of_zero_or_more_than_all_is_refused(cell: str) -> None:
    with pytest.raises(Refused):
        readers.share(cell)


def test_tags_may_carry_their_own_days() -> None:
    assert readers.stays("H01 H02@2025-01-20 H03@2025-01-20..2025-02-01") == (
        Stay("H01"),
        Stay("H02", date(2025, 1, 20)),
        Stay("H03", date(2025, 1, 20), date(2025, 2, 1)),
    )


@pytest.mark.parametrize(
    ("read", "cell"),
    [
        (readers.stays, "H01 h01"),
        (readers.stays, "H01@"),
        (readers.stays, "H01@2025-01-20.."),
        (readers.stays, "@2025-01-20"),
        (readers.tags, "H01@2025-01-20"),
        (readers.tags, "H01,H02"),
        (readers.tags, "H01 H01"),
        (kinds.named("unit").read, "cup"),
        (kinds.named("unit").read, "kgs per day"),
        (readers.recipe_unit, "%%"),
        (kinds.named("substance").read, "alum"),
        (readers.yes_no, "true"),
        (readers.code, "SALT FINE"),
        (readers.text(5), "longer"),
        (readers.text(50), "bell\x07"),
    ],
)
def test_what_is_not_clear_is_refused(read: Callable[[str], Any], cell: str) -> None:
    with pytest.raises(Refused):
        read(cell)


def test_a_unit_may_be_written_as_people_do() -> None:
    assert [kinds.named("unit").read("Litres"), kinds.named("unit").read("US cup"), readers.recipe_unit("%")] == [
        "L",
        "us_cup",
        "%",
    ]


@pytest.mark.parametrize(
    "unit", ["g", "kg", "lb", "tonne", "long_ton", "m", "yard", "sq_ft", "m2", "L", "us_gallon", "imperial_gallon"]
)
@pytest.mark.parametrize("kept", ["0.001", "453.592", "999999999.999"])
def test_a_quantity_written_in_any_unit_leads_back_to_itself(unit: str, kept: str) -> None:
    written = writers.measure(unit)(Decimal(kept))
    assert units.to_base(Decimal(written), unit, units.base_of(unit)) == Decimal(kept)


@given(rings=st.lists(RING, max_size=3))
def test_points_as_they_are_kept_are_written_and_read_exactly(rings: list[tuple[tuple[float, float], ...]]) -> None:
    assert [readers.points(taps.written(ring)) for ring in rings] == rings
    kept = [{"kind": kind, "ring": ring} for kind, ring in zip(("hole", "scar", "brand"), rings, strict=False)]
    assert [(each.kind, each.ring) for each in readers.defects(writers.defects(kept))] == [
        (each["kind"], each["ring"]) for each in kept
    ]
