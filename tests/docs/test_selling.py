"""The pages about selling: their buttons are on pages of the program, their figures those of the demonstration's year."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

from costing.make.losses import services as losses
from costing.models import Sale
from costing.report.year import report as year_report
from costing.report.year.profit import selectors as results
from costing.sell.sales.lines.rules import of_sales
from inventory.models import Skin
from tests.costing.report import figures
from tests.docs import pages
from tests.docs.test_shed import words_of_the_program

HOW_TO = {
    name: pages.text(f"how-to/{name}.md")
    for name in ("sell-and-credit", "a-day-at-a-fair", "take-a-job", "close-the-year")
}

PROFITS = pages.one_line(pages.text("explanation/two-profits.md"))
YEAR = (date(2025, 1, 1), date(2025, 12, 31))
FAIR = pages.one_line(HOW_TO["a-day-at-a-fair"])


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("name", sorted(HOW_TO))
def test_every_button_and_box_that_a_page_names_is_on_a_page(name: str) -> None:
    program = words_of_the_program()
    named = re.findall(r"(?<!\*)\*{1,2}([^*\n]+(?:\n[^*\n]+)?)\*{1,2}(?!\*)", HOW_TO[name])
    assert named
    for words in named:
        assert pages.one_line(words).lower() in program.lower(), words


@pytest.mark.slow
def test_the_two_profits_and_all_between_them_are_those_of_the_year(demo: None) -> None:
    year = results.year(2025)
    told = {
        "earned": year.stock_profit,
        "purse": year.cash_profit,
        "bridge": year.bridge.difference,
        "turnover": year.turnover,
        "materials": year.stock.materials,
        "skins": year.stock.skins,
        "selling": year.selling.total,
        "overheads": year.overheads.spent,
        "borne": year.overheads.recovered,
        "short": year.overheads.short,
        "opening": year.stock.opening,
        "closing": year.stock.closing,
        "used": year.stock.used,
        "bought": year.stock.materials + year.stock.skins,
        "sold": year.gone.sold,
        "spoiled": year.gone.spoiled,
        "boxes": year.gone.boxes,
        "counted": year.gone.differences,
        "per hour": year.per_hour,
        "per making hour": year.per_making_hour,
        "hours": Decimal("70.55"),
    }
    assert (year.making_hours, year.stall_hours, year.other_hours) == (Fraction(told["hours"]), 24, 22)
    assert {name for name, value in told.items() if f"{value:,.2f}" not in PROFITS} == set()


@pytest.mark.slow
def test_the_hours_paid_best_and_worst_are_told(demo: None) -> None:
    earned = {sold.what: of_sales([sold]).per_hour for sold in figures.pieces(*YEAR)}
    assert earned["H04"] == max(filter(None, earned.values()))
    assert f"{earned['H04']}" in PROFITS
    assert f"{earned['H07']}" in PROFITS


@pytest.mark.slow
def test_spread_or_written_off_the_years_profit_is_the_same(demo: None) -> None:
    losses.spread(skin=Skin.objects.get(tag="H05"), spread=True)
    year = results.year(2025)
    assert (year.stock_profit, year.cash_profit, year.stock.used) == (
        Decimal("268.41"),
        Decimal("105.48"),
        Decimal("219.07"),
    )


@pytest.mark.slow
def test_the_spring_fair_left_what_the_page_says(demo: None) -> None:
    (day,) = [row for row in year_report.at(2025).table("fairs").rows if row["fair"] == "Spring fair"]
    assert day["stall_hours"] == 7
    for name in ("takings", "goods", "costs", "left", "per_stall_hour"):
        assert f"{day[name]:.2f}" in FAIR
    found = StringIO()
    call_command("results", "2025", "--json", stdout=found)
    assert '"break_even": "53.35"' in found.getvalue()
    assert "53.35" in FAIR


@pytest.mark.thorough
@pytest.mark.slow
def test_the_commands_of_the_pages_run(demo: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for page in HOW_TO.values():
        for command in re.findall(r"manage\.py (.+)$", page, re.MULTILINE):
            call_command(*command.split(), stdout=StringIO())
            for file in re.findall(r"\S+\.(?:pdf|xlsx)", command):
                assert (tmp_path / file).stat().st_size
    assert Sale.objects.filter(number="INV-002").exists()
