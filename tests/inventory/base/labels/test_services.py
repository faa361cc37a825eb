"""Keeping the maker's own sheets of labels: whose they are, what two pages at once do, and what the printer misses by."""

from __future__ import annotations

from decimal import Decimal

import pytest

from inventory.base.accounting import services as accounting
from inventory.base.labels import selectors, services
from inventory.base.labels.models import LabelSheet
from inventory.base.labels.rules import Sheet
from inventory.errors import NotAllowed, Refused, Taken
from tests.factories import person

pytestmark = pytest.mark.django_db
SAID = {"paper": "a4", "columns": 2, "rows": 7, "width": Decimal("99.1"), "height": Decimal("38.1")}
SAID |= {"left": Decimal("4.65"), "top": Decimal("15.15")}


def made(name: str = "Stall", **changed: object) -> LabelSheet:
    return services.create(name=name, **{**SAID, **changed})  # type: ignore[arg-type]


def test_a_sheet_that_is_gone_is_not_dropped_again_without_a_word() -> None:
    row = made()
    services.drop(sheet=row)
    for act in (
        lambda: services.drop(sheet=row),
        lambda: services.change(sheet=row, name="Fair", **SAID),  # type: ignore[arg-type]
        lambda: services.calibrate(sheet=row, right=Decimal(1), low=Decimal(0)),
    ):
        with pytest.raises(Refused, match="Stall is gone: somebody deleted it"):
            act()
    assert not LabelSheet.objects.exists()


@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_only_the_owner_says_how_a_sheet_is(role: str) -> None:
    row, hand = made(), person(role)
    for act in (
        lambda: services.create(name="Fair", by=hand, **SAID),  # type: ignore[arg-type]
        lambda: services.change(sheet=row, name="Fair", by=hand, **SAID),  # type: ignore[arg-type]
        lambda: services.calibrate(sheet=row, right=Decimal(1), low=Decimal(0), by=hand),
        lambda: services.drop(sheet=row, by=hand),
    ):
        with pytest.raises(NotAllowed):
            act()
    assert selectors.own() == [("Stall", row.sheet)]


def test_a_name_is_taken_whatever_its_letters_are_and_a_common_one_always() -> None:
    made()
    for name in ("stall", "3 × 7 on A4", "3 × 7 ON a4"):
        with pytest.raises(Taken) as refused:
            made(name)
        assert refused.value.field == "name"


@pytest.mark.parametrize(
    "name", ["", "  ", "a4", "LETTER", "own", "3x7", "3 × 7", "57x32mm", "x" * 41, "x" * 300, "a\x00b"]
)
def test_a_name_that_nobody_can_ask_for_is_refused(name: str) -> None:
    with pytest.raises(Refused) as refused:
        made(name)
    assert refused.value.field == "name"
    assert not LabelSheet.objects.exists()


def test_a_picture_in_a_name_is_kept_for_it_is_never_printed() -> None:
    assert made("Stall 🐑").name == "Stall 🐑"


def test_who_changes_what_somebody_changed_meanwhile_is_told_what_stands_there_now() -> None:
    row = made()
    opened = row.seen
    services.change(sheet=row, name="Stall", seen=opened, **{**SAID, "rows": 6})  # type: ignore[arg-type]
    with pytest.raises(services.ChangedMeanwhile, match="rows 6"):
        services.change(sheet=row, name="Stall", seen=opened, **{**SAID, "left": Decimal(3)})  # type: ignore[arg-type]
    row.refresh_from_db()
    assert (row.rows, row.left) == (6, Decimal("4.65"))
    services.change(sheet=row, name="Stall", seen=row.seen, **{**SAID, "left": Decimal(3)})  # type: ignore[arg-type]
    row.refresh_from_db()
    assert (row.rows, row.left) == (7, Decimal(3))


def test_the_same_change_sent_twice_is_no_other_change() -> None:
    row = made()
    opened = row.seen
    for _ in range(2):
        services.change(sheet=row, name="Fair", seen=opened, **{**SAID, "rows": 6})  # type: ignore[arg-type]
    row.refresh_from_db()
    assert (row.name, row.rows) == ("Fair", 6)


def test_what_is_measured_is_taken_off_what_is_kept() -> None:
    """Outlines 1.5 mm too far right and 0.5 mm too high: print 1.5 mm further left and 0.5 mm lower."""
    row = services.calibrate(sheet=made(), right=Decimal("1.5"), low=Decimal("-0.5"))
    assert (row.offset_x, row.offset_y) == (Decimal("-1.5"), Decimal("0.5"))
    row = services.calibrate(sheet=row, right=Decimal("-0.25"), low=Decimal(0))
    assert (row.offset_x, row.offset_y) == (Decimal("-1.25"), Decimal("0.5"))


@pytest.mark.parametrize("misread", [Decimal(0), Decimal("0.5"), Decimal("-0.5")])
def test_a_second_calibration_puts_right_what_the_first_left(misread: Decimal) -> None:
    """A printer that is always off by as much, measured the first time by an eye that was off too."""
    off = (Decimal("2.3"), Decimal("-1.1"))
    row = made()

    def printed() -> tuple[Decimal, Decimal]:
        """How far right and low of its label the first outline comes out."""
        left, top = next(row.sheet.places())
        return left + off[0] - row.left, top + off[1] - row.top

    right, low = printed()
    row = services.calibrate(sheet=row, right=right + misread, low=low - misread)
    assert printed() == (-misread, misread)
    right, low = printed()
    row = services.calibrate(sheet=row, right=right, low=low)
    assert printed() == (0, 0)


def test_a_measurement_sent_twice_is_taken_once() -> None:
    row = made()
    for _ in range(2):
        services.calibrate(sheet=row, right=Decimal(1), low=Decimal(0), request_key="k")
    row.refresh_from_db()
    assert row.offset_x == -1


def test_a_measurement_of_a_page_printed_with_another_offset_is_refused() -> None:
    row = made()
    opened = row.seen
    services.calibrate(sheet=row, right=Decimal(1), low=Decimal(0), seen=opened)
    with pytest.raises(services.ChangedMeanwhile, match="Print the calibration page again"):
        services.calibrate(sheet=row, right=Decimal(1), low=Decimal(0), seen=opened)
    row.refresh_from_db()
    assert row.offset_x == -1


@pytest.mark.parametrize(
    ("kept", "measured", "field"),
    [
        ((0, 0), (Decimal("10.1"), 0), "right"),
        ((0, 0), (0, Decimal(-11)), "low"),
        ((-8, 0), (Decimal(3), 0), "right"),
        ((0, 9), (0, Decimal(-2)), "low"),
    ],
)
def test_a_printer_that_misses_by_more_than_it_may_is_refused_beside_its_figure(
    kept: tuple[int, int], measured: tuple[Decimal, Decimal], field: str
) -> None:
    row = made(offset_x=Decimal(kept[0]), offset_y=Decimal(kept[1]))
    with pytest.raises(Refused, match="10 mm") as refused:
        services.calibrate(sheet=row, right=measured[0], low=measured[1])
    assert refused.value.field == field
    row.refresh_from_db()
    assert (row.offset_x, row.offset_y) == kept


def test_own_sheets_come_by_name() -> None:
    made("Stall")
    made("Fair", columns=1)
    found = selectors.own()
    assert [name for name, _ in found] == ["Fair", "Stall"]
    assert found[0][1] == Sheet(**{**SAID, "columns": 1})  # type: ignore[arg-type]


def test_who_is_told_what_stands_there_now_reads_the_workshops_measure() -> None:
    accounting.set_up(units="us")
    row = made(width=Decimal("66.675"))
    with pytest.raises(services.ChangedMeanwhile, match=r"columns 2, rows 7, width 2\.625 in, height 1\.5 in"):
        services.change(sheet=row, name="Stall", seen="another", **{**SAID, "left": Decimal(3)})  # type: ignore[arg-type]


def test_a_miss_that_cannot_be_is_refused_in_inches() -> None:
    accounting.set_up(units="us")
    row = made(offset_x=Decimal("-7.62"))
    with pytest.raises(Refused, match=r"With the .0\.3 in that are kept this makes .0\.5 in.* 0\.39 in at most"):
        services.calibrate(sheet=row, right=Decimal("5.08"), low=Decimal(0))
