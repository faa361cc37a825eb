"""The demonstration's year read back: every golden figure of its results, by selector, command, page and file."""

from __future__ import annotations

import csv
import html
import json
import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from fractions import Fraction
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pypdf
import pytest
from django.core.management import CommandError, call_command
from django.http import HttpResponse
from django.test import Client
from openpyxl import load_workbook

from costing.make.labour import services as labour
from costing.models import Sale
from costing.report.disposals import selectors as disposals
from costing.report.year import look_again, report as year_report, selectors as years
from costing.report.year.profit import selectors as results
from costing.report.year.throughput import selectors as waiting
from costing.sell.payments import selectors as money
from costing.sell.sales.lines.rules import of_sales
from costing.sell.sales.terms import services as terms
from inventory.base.accounting import services as accounting
from inventory.base.spreadsheets import formula_start
from inventory.errors import Refused
from inventory.models import Kind, Movement
from inventory.report import Form, Report
from tests.costing.report import figures
from workshop.reports import files

pytestmark = [pytest.mark.usefixtures("demo", "type_is_cut"), pytest.mark.slow, pytest.mark.thorough]
D = Decimal
FIRST, LAST = date(2025, 1, 1), date(2025, 12, 31)


def on(month: int, day: int, year: int = 2025) -> date:
    return date(year, month, day)


class TestTheDemonstration:
    """Figures of the worked year; the arithmetic behind each stands in `costing.results`."""

    def test_both_profits_and_the_bridge_come_out(self) -> None:
        year = results.year(2025)
        assert year.turnover == D("1125.90")
        assert year.selling.total == D("254.42")
        assert (year.selling.fees, year.selling.postage) == (D("70.82"), D("16.60"))
        assert (year.selling.pitches, year.selling.fuel) == (D(125), D(42))
        assert (year.stock_profit, year.cash_profit) == (D("268.41"), D("105.48"))
        assert (year.bridge.difference, year.bridge.stock, year.bridge.miss) == (D("162.93"), D("162.93"), 0)
        assert (year.per_hour, year.per_making_hour, year.hours) == (D("2.30"), D("3.80"), Fraction("116.55"))
        assert (year.overheads.recovered, year.overheads.short) == (D("282.20"), D("101.80"))

    def test_what_left_the_stock_is_told_to_the_cent(self) -> None:
        year = results.year(2025)
        assert (year.stock.opening, year.stock.materials, year.stock.skins) == (D("42.89"), D(236), D(146))
        assert (year.stock.closing, year.stock.used) == (D("205.82"), D("219.07"))
        gone = year.gone
        assert (gone.sold, gone.spoiled, gone.boxes, gone.differences) == (
            D("171.89"),
            D("36.82"),
            D("7.97"),
            D("2.39"),
        )
        assert (gone.own_use, gone.given, gone.other, gone.sharing) == (0, 0, 0, 0)
        assert year.unaccounted == 0
        held = year.parts
        assert (held.consumables, held.raw_skins, held.in_work, held.finished) == (
            D("148.80"),
            D("19.52"),
            0,
            D("37.50"),
        )
        assert held.with_others == D("20.23"), "the rug at the gallery is still the maker's"

    def test_the_year_before_and_the_year_after_hang_on_to_it(self) -> None:
        before, after = results.year(2024), results.year(2026)
        assert (before.stock.closing, before.turnover) == (0, 0)
        assert (after.stock.opening, after.stock.closing) == (D("205.82"), D("205.82"))
        assert before.unaccounted == after.unaccounted == after.bridge.miss == 0

    @pytest.mark.parametrize(
        ("piece", "taken", "selling_cost", "left", "hours", "per_hour", "against_full"),
        [
            ("H01", "170.00", "0", "149.77", "8.25", "18.15", "-16.75"),
            ("H05", "10.00", "0", "-26.82", "2.43", "-11.02", "-75.49"),
            ("J-01", "165.00", "0", "155.30", "8.98", "17.30", "-25.72"),
            ("H02", "197.90", "26.86", "150.81", "8.00", "18.85", "-10.71"),
            ("H04", "240.00", "4.56", "190.74", "9.31", "20.49", "3.06"),
            ("H07", "140.00", "51.60", "50.55", "6.50", "7.78", "-80.98"),
            ("H09", "32.00", "0", "27.36", "1.58", "17.28", "-4.31"),
            ("CUSH1", "95.00", "1.81", "83.90", "5.50", "15.25", "-26.10"),
            ("H12", "0", "10.56", "-10.56", "0", None, "-10.56"),
        ],
    )
    def test_a_piece_left_what_the_worked_year_says(
        self, piece: str, taken: str, selling_cost: str, left: str, hours: str, per_hour: str | None, against_full: str
    ) -> None:
        row = figures.by("piece", FIRST, LAST)[piece]
        assert (row.taken, row.selling, row.left, row.hours) == (D(taken), D(selling_cost), D(left), D(hours))
        assert row.per_hour == (None if per_hour is None else D(per_hour))
        assert row.against_full == D(against_full)

    def test_two_pouches_of_one_skin_left_what_one_line_says(self) -> None:
        sold = [row for row in figures.pieces(FIRST, LAST) if row.what.startswith("H08")]
        both = of_sales(sold)
        assert (both.taken, both.left, both.hours, both.per_hour) == (D(76), D("50.76"), D("6.11"), D("8.31"))
        assert both.against_full == D("-72.47")

    def test_every_group_makes_up_the_whole(self) -> None:
        whole = of_sales(figures.pieces(FIRST, LAST))
        assert (whole.taken, whole.book) == (D("1125.90"), D("208.71"))
        for group in results.GROUPS:
            parts = figures.by(group, FIRST, LAST).values()
            for name in ("count", "taken", "selling"):
                assert sum(getattr(part, name) for part in parts) == getattr(whole, name), (group, name)

    def test_the_best_paid_species_stands_first(self) -> None:
        species = figures.by("species", FIRST, LAST)
        assert list(species) == ["sheep", "reindeer", "rabbit", "goat"]
        assert species["goat"].per_hour == D("8.03")

    def test_a_channel_left_what_its_lines_say_also_where_that_is_half_a_cent(self) -> None:
        """149.77 + 27.36 + 50.76: of 278.00 in cash 50.115 had been paid, so 227.885 was left."""
        assert figures.by("channel", FIRST, LAST)["Fair, cash"].left == D("227.89")

    def test_fairs_left_what_the_worked_year_says(self) -> None:
        rows = {row["fair"]: row for row in year_report.at(2025).table("fairs").rows}
        assert {name: (row["left"], row["per_stall_hour"]) for name, row in rows.items()} == {
            "Spring fair": (D("102.77"), D("14.68")),
            "Midsummer fair": (D("122.74"), D("13.64")),
            "Christmas market": (D("110.02"), D("13.75")),
        }
        assert rows["Spring fair"]["break_even"] == D("53.35")
        assert rows["Christmas market"]["goods"] == D("39.17")

    def test_the_deposit_was_held_in_spring(self) -> None:
        assert [money.deposits_held(day) for day in (on(3, 1), on(4, 1), on(5, 24))] == [0, D(66), 0]

    def test_what_was_let_go_stands_by_reason(self) -> None:
        found = {(row["kind"], row["reason"]): (row["count"], row["amount"]) for row in disposals.summed(FIRST, LAST)}
        assert found[("discount", "Spring fair")] == (1, D(15))
        assert {key[0]: value for key, value in found.items()} == {
            "discount": (1, D(15)),
            "return": (1, D("39.90")),
            "spoiled": (1, D("36.82")),
            "deposit taken": (1, D(66)),
        }

    def test_a_rug_lay_longer_than_hands_were_on_it(self) -> None:
        found = {row["piece"]: row for row in waiting.hands(FIRST, LAST).waited}
        rug = found["H01"]
        assert (rug["date_in"], rug["to_finish"], rug["days"], rug["hours"]) == (on(1, 11), 42, 91, D("8.25"))
        assert rug["left_on"] == on(4, 12)
        assert (found["H03"]["left_on"], found["H03"]["days"]) == (None, 354)
        assert found["H12"]["left_on"] is None, "it came back"

    def test_skins_salted_without_a_minute_are_asked_after(self) -> None:
        found = waiting.hands(FIRST, LAST).unlogged
        assert [(row["tag"], row["minutes"], row["usual_low"]) for row in found] == [("H13", 0, None), ("H14", 0, None)]
        labour.log(on=on(12, 13), task="flesh, salt", minutes=D(20), tags=["H13", "H14"])
        assert waiting.hands(FIRST, LAST).unlogged == []

    def test_turnover_stands_against_the_limit_of_the_terms(self) -> None:
        terms.set_terms(turnover_limit=D(1000))
        standing = years.against_limit(LAST)
        assert standing is not None
        assert (standing.turnover, standing.used_percent, standing.left) == (D("1125.90"), D("112.6"), 0)
        assert standing.passed_on == on(11, 29)
        terms.set_terms(turnover_limit=D(1000), rolling=True)
        rolling = years.against_limit(on(4, 24, 2026))
        assert rolling is not None
        assert (rolling.first, rolling.turnover) == (on(4, 25), D("955.90"))
        terms.set_terms(turnover_limit=None)
        assert years.against_limit(LAST) is None


def told(answer: HttpResponse) -> str:
    words = re.sub(r"<(style|script|svg)\b.*?</\1>|<[^>]+>", " ", answer.content.decode(), flags=re.DOTALL)
    return " ".join(html.unescape(words).replace("\u00a0", " ").replace("\u202f", " ").split())


def first_cells(answer: HttpResponse) -> list[str]:
    """The first cell of each row of the table, its mark-up left out."""
    body = answer.content.decode().split("<tbody")[1].split("</tbody>")[0]
    cells = [re.search(r"<td[^>]*>(.*?)</td>", row, re.DOTALL) for row in body.split("<tr")[1:]]
    return [re.sub(r"<[^>]+>", "", cell[1]).strip() for cell in cells if cell]


def asked(*words: str) -> str:
    out = StringIO()
    call_command("results", *words, stdout=out)
    return out.getvalue()


class TestTheCommand:
    def test_json_carries_every_golden_figure_as_a_string(self) -> None:
        found = json.loads(asked("2025", "--json"))
        assert found["turnover"] == {
            "gross": "1165.80",
            "returns": "-39.90",
            "net": "1125.90",
            "tips": "0.00",
            "tax": "0.00",
            "received": "1125.90",
        }
        assert found["selling"]["total"] == "254.42"
        assert found["profit"] == {"stock_basis": "268.41", "cash_basis": "105.48"}
        assert (found["bridge"]["difference"], found["bridge"]["stock"], found["holds"]) == ("162.93", "162.93", True)
        assert found["conservation"]["accounted"] == found["conservation"]["used"] == "219.07"
        assert found["stock_parts"]["with_others"] == "20.23"
        assert found["earned"] == {"per_hour": "2.30", "per_making_hour": "3.80"}
        assert found["hours"] == {"making": "70.55", "stall": "24.00", "other": "22.00", "total": "116.55"}
        assert (found["overheads"]["recovered"], found["overheads"]["short"]) == ("282.20", "101.80")
        assert found["fairs"][0]["per_stall_hour"] == "14.68"
        assert {row["piece"]: row["against_full"] for row in found["pieces"]}["H04"] == "3.06"
        assert [row["species"] for row in found["by"]["species"]] == ["sheep", "reindeer", "rabbit", "goat"]

    def test_no_number_leaves_as_a_number(self) -> None:
        def numbers(part: object) -> list[object]:
            if isinstance(part, dict):
                return [each for value in part.values() for each in numbers(value)]
            if isinstance(part, list):
                return [each for value in part for each in numbers(value)]
            return [part] if isinstance(part, int | float) and not isinstance(part, bool) else []

        assert numbers(json.loads(asked("2025", "--json"))) == []

    def test_in_words_it_says_both_profits_and_where_the_stock_went(self) -> None:
        said = asked("2025")
        assert "Profit 268.41 EUR with stock, 105.48 EUR on the cash basis." in said
        assert "sold 171.89, spoiled 36.82, boxes 7.97, differences 2.39" in said
        assert "all of it is accounted for" in said
        assert "Profit per hour 2.30, per hour of making 3.80." in said

    @pytest.mark.parametrize("year", ["25", "two", "20255", "0001", "²025"])
    def test_what_is_no_year_is_refused(self, year: str) -> None:
        with pytest.raises(CommandError, match="is not a year"):
            asked(year)

    def test_a_year_without_anything_answers_with_nothing_earned(self) -> None:
        found = json.loads(asked("1999", "--json"))
        assert (found["turnover"]["net"], found["earned"]["per_hour"], found["pieces"]) == ("0.00", None, [])
        assert (found["state"], found["written"], found["stocked"]) == ("over", False, False)
        assert asked("1999") == "Nothing is entered in 1999.\n"

    def test_files_are_written_beside_the_answer(self, tmp_path: Path) -> None:
        book, paper = tmp_path / "y.xlsx", tmp_path / "y.pdf"
        asked("2025", "--xlsx", str(book), "--pdf", str(paper))
        assert load_workbook(book).sheetnames[:2] == ["Results 2025", "Costs by heading"]
        assert paper.read_bytes().startswith(b"%PDF")

    def test_two_forms_in_one_file_are_refused_before_anything_is_written(self, tmp_path: Path) -> None:
        one = tmp_path / "year"
        with pytest.raises(CommandError, match="named for two forms"):
            asked("2025", "--xlsx", str(one), "--pdf", str(one))
        assert not one.exists()


class TestThePages:
    def test_the_year_shows_the_profits_the_bridge_and_the_ledger_that_adds_up(self, client: Client) -> None:
        page = client.get("/books/results/2025/")
        said = told(page)
        assert "Your year made 268.41 € of profit with stock counted, 105.48 € in cash." in said
        assert "An hour earned 2.30 €. The making hour 3.80 €." in said
        assert "Turnover after credits 1125.90 –" in said.replace("1 125.90", "1125.90")
        assert "Left the stock 219.07" in said
        assert "Accounted for 219.07" in said
        assert "Finished, on consignment 20.23" in said
        assert "the bridge: 162.93 € between them" in said
        assert 'id="bridge-title"' in page.content.decode()
        assert "do not agree" not in said
        assert "Check with your accountant" in said
        rows = client.get("/books/results/2025/costs.csv").content.decode().splitlines()
        assert rows[:2] == ["line,heading,amount,paid", ",Stock used,219.07,382.00"]

    def test_figures_that_do_not_agree_are_not_hidden(self, client: Client) -> None:
        # Behind the services' back: what was put in work is called a box, and the skins bear it all the same.
        row = Movement.objects.filter(kind=Kind.USE).order_by("pk")[0]
        Movement.objects.filter(pk=row.pk).update(kind=Kind.SOLD)
        year = results.year(2025)
        assert year.unaccounted == row.value < 0
        page = told(client.get("/books/results/2025/"))
        assert "These figures do not agree with each other." in page
        assert f"Unaccounted for −{-year.unaccounted:.2f}" in page

    def test_books_lead_to_the_results_of_the_year_shown(self, client: Client) -> None:
        assert 'href="/books/results/2025/"' in client.get("/books/?month=2025-04").content.decode()

    def test_pieces_sort_by_what_they_left_and_narrow_by_species(self, client: Client) -> None:
        assert first_cells(client.get("/books/results/2025/pieces/"))[0] == "H04"
        assert first_cells(client.get("/books/results/2025/pieces/?sort=left"))[0] == "H05"
        rabbits = client.get("/books/results/2025/pieces/?species=rabbit&sort=-left")
        assert first_cells(rabbits) == ["CUSH1", "H09", "H12"]
        assert "Contribution 100.70 € for 7.08 hours of yours" in told(rabbits)
        assert first_cells(client.get("/books/results/2025/pieces/?words=inv-003")) == ["H07"]

    def test_what_has_no_hour_sorts_beside_what_has(self, client: Client) -> None:
        rows = [first_cells(client.get(f"/books/results/2025/pieces/?sort={way}per_hour")) for way in ("", "-")]
        assert sorted(rows[0]) == sorted(rows[1])
        assert (rows[0][:2], rows[1][-2:]) == (["H12", "H05"], ["H05", "H12"])

    @pytest.mark.parametrize(
        ("table", "row"),
        [
            ("by_species", "goat 3 216.00 51.60 63.09 101.31 12.61 8.03 −153.45"),
            ("by_method", "Bark-tanned 3 216.00"),
            ("by_channel", "Savupirtti Craft Room 1 140.00 51.60 37.85 50.55 6.50 7.78 −80.98"),
            ("by_fair", "Spring fair 12 Apr 2025 1 170.00"),
            ("fairs", "Spring fair 12 Apr 2025 170.00 20.23 47.00 102.77 7.00 14.68 53.35"),
            ("given", "discount Spring fair 1 15.00"),
            ("waiting", "H01 rug 11 Jan 2025 22 Feb 2025 12 Apr 2025 42 91 8.25"),
        ],
    )
    def test_each_table_has_its_page_and_its_csv(self, client: Client, table: str, row: str) -> None:
        assert row in told(client.get(f"/books/results/2025/{table}/"))
        answer = client.get(f"/books/results/2025/{table}.csv")
        assert answer["Content-Type"] == "text/csv; charset=utf-8"
        assert row.split()[0] in answer.content.decode()

    def test_a_csv_holds_what_the_whole_report_holds(self, client: Client) -> None:
        whole = year_report.at(2025, files=True)
        for table in whole.tables(Form.CSV):
            answer = client.get(f"/books/results/2025/{table.name}.csv")
            assert answer.content == files.table_csv(whole, table.name), table.name

    def test_a_csv_of_what_is_sold_reads_no_stock(self, client: Client, django_assert_max_num_queries: Any) -> None:
        client.get("/")
        for name in ("pieces", "by_fair", "given"):
            with django_assert_max_num_queries(20):
                client.get(f"/books/results/2025/{name}.csv")

    def test_what_is_still_here_is_found_by_those_words(self, client: Client) -> None:
        rows = waiting.hands(FIRST, LAST).waited
        here = [row["piece"] for row in rows if row["left_on"] is None]
        assert 0 < len(here) < len(rows)
        assert first_cells(client.get("/books/results/2025/waiting/?words=still+here")) == here

    def test_skins_without_hours_have_their_page(self, client: Client) -> None:
        assert "Hours probably not logged in 2025" in told(client.get("/books/results/2025/unlogged/"))

    def test_paper_leaves_out_what_was_finished_before_and_only_stayed(self) -> None:
        def printed(number: int) -> tuple[list[str], str]:
            table = next(each for each in year_report.at(number).tables(Form.PAPER) if each.name == "moved")
            return [str(row["piece"]) for row in table.rows], table.note

        rows = year_report.at(2025).table("waiting").rows
        stayed = [row for row in rows if row["left_on"] is None]
        assert printed(2025) == ([str(row["piece"]) for row in rows], ""), "all of it happened in the year"
        accounting.pin_today(on=date(2026, 12, 31))
        left_out = f"Without {len(stayed)} pieces that were finished before 2026 and stayed:"
        assert printed(2026) == ([], f"{left_out} the page of the year and its workbook list all.")
        assert len(year_report.at(2026).table("waiting").rows) == len(stayed)

    def test_a_page_names_a_few_that_wait_and_leads_to_all(
        self, client: Client, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        accounting.pin_today(on=date(2026, 12, 31))
        monkeypatch.setattr(look_again, "NAMED", 1)
        answer = client.get("/books/results/2026/")
        stayed = len(year_report.at(2026).table("waiting").rows)
        assert f"{stayed} pieces waited more than 200 days for a buyer:" in told(answer)
        assert f"and {stayed - 1} more" in told(answer)
        assert 'href="/books/results/2026/waiting/?words=still%20here"' in answer.content.decode()
        assert len(first_cells(client.get("/books/results/2026/waiting/?words=still%20here"))) == stayed

    @pytest.mark.parametrize("path", ["nothing/", "summary/", "moved/"])
    def test_a_table_that_is_not_there_is_not_found(self, client: Client, path: str) -> None:
        assert client.get(f"/books/results/2025/{path}").status_code == 404

    @pytest.mark.parametrize("asked_for", ["?species=unicorn", "?words=" + "x" * 500, "?sort=nothing", "?page=99"])
    def test_an_address_that_makes_no_sense_narrows_nothing(self, client: Client, asked_for: str) -> None:
        assert len(first_cells(client.get(f"/books/results/2025/pieces/{asked_for}"))) == 11

    @pytest.mark.parametrize("path", ["", "pieces/", "pieces.csv"])
    def test_strangers_are_sent_to_sign_in(self, path: str) -> None:
        assert Client().get(f"/books/results/2025/{path}").status_code == 302

    def test_the_limit_is_drawn_and_said(self, client: Client) -> None:
        terms.set_terms(turnover_limit=D(1000))
        said = told(client.get("/books/results/2025/"))
        assert "112.6 % of the limit (calendar year from 1 Jan 2025)" in said
        assert "limit passed on 29 November 2025" in said

    @pytest.mark.parametrize("path", ["books/results/1999/", "books/results/1999/pieces/", "books/results/1999.pdf"])
    def test_a_year_without_entries_stands_too(self, client: Client, path: str) -> None:
        assert client.get(f"/{path}").status_code == 200

    @pytest.mark.parametrize("number", ["0", "1", "99999"])
    def test_what_is_no_year_is_refused_in_words(self, client: Client, number: str) -> None:
        assert "is not a year" in told(client.get(f"/books/results/{number}/", follow=True))


class TestTheFiles:
    def test_the_workbook_holds_numbers_days_and_texts_as_what_they_are(self, client: Client) -> None:
        answer = client.get("/books/results/2025.xlsx")
        assert answer["Content-Disposition"] == 'attachment; filename="results-2025.xlsx"'
        book = load_workbook(BytesIO(answer.content))
        pieces = {row[0].value: row for row in book["Pieces"].iter_rows(min_row=2)}
        heads = [cell.value for cell in book["Pieces"][1]]
        rug = pieces["H01"]
        assert rug[heads.index("Left")].value == 149.77
        assert rug[heads.index("Left")].number_format == "#,##0.00"
        assert rug[heads.index("Day")].value.date() == on(4, 12)
        figures = {(row[0].value, row[1].value): row[2].value for row in book["Results 2025"].iter_rows(min_row=2)}
        assert figures[("profit", "stock_basis")] == 268.41
        kinds = {cell.data_type for sheet in book for row in sheet.iter_rows() for cell in row}
        assert "f" not in kinds

    def test_the_workbooks_figures_are_exact_decimals_in_the_file(self) -> None:
        archive = ZipFile(BytesIO(files.workbook(year_report.at(2025, files=True))))
        assert b"<v>268.41</v>" in archive.read("xl/worksheets/sheet1.xml")

    @pytest.mark.parametrize("write", [files.workbook, lambda found: files.table_csv(found, "given")])
    def test_a_text_with_a_control_sign_is_never_written(self, write: Callable[[Report], bytes]) -> None:
        # No service takes such a text; a row changed behind them must not reach a spreadsheet.
        Sale.objects.filter(kind="credit").update(reason="a\x07")
        with pytest.raises(Refused, match="control character"):
            write(year_report.at(2025, files=True))

    def test_a_text_that_is_a_formula_is_marked_as_text(self) -> None:
        Sale.objects.filter(kind="credit").update(reason="=1+1")
        found = year_report.at(2025, files=True)
        lines = files.table_csv(found, "given").decode().splitlines()
        assert any("'=1+1" in line for line in lines)
        assert not [cell for row in csv.reader(lines) for cell in row if formula_start(cell)]
        book = load_workbook(BytesIO(files.workbook(found)))
        said = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value == "=1+1"]
        assert said
        assert {(cell.data_type, cell.quotePrefix) for cell in said} == {("s", True)}

    def test_a_csv_says_what_the_page_says(self, client: Client) -> None:
        lines = client.get("/books/results/2025/fairs.csv").content.decode().splitlines()
        assert lines[0] == "fair,on,takings,goods,costs,left,stall_hours,per_stall_hour,break_even"
        assert lines[1] == "Spring fair,2025-04-12,170.00,20.23,47.00,102.77,7.00,14.68,53.35"
        summary = client.get("/books/results/2025/summary.csv").content.decode().splitlines()
        assert "profit,stock_basis,268.41,EUR" in summary
        assert "hours,total,116.55,h" in summary

    def test_each_thing_of_the_stock_comes_to_the_stock_at_last(self, client: Client) -> None:
        rows = list(csv.DictReader(client.get("/books/results/2025/stock.csv").content.decode().splitlines()))
        assert sum(D(row["value"]) for row in rows) == D("205.82")
        rug = next(row for row in rows if row["what"].startswith("H03"))
        assert (rug["part"], rug["place"], rug["value"]) == ("finished", "Savupirtti Craft Room", "20.23")
        assert (rug["realisable"], rug["lower"]) == ("120.25", "20.23"), "185.00 less the 35 % that the gallery keeps"
        book = load_workbook(BytesIO(client.get("/books/results/2025.xlsx").content))
        assert book["Stock on 2025-12-31"].max_row == len(rows) + 1
        assert 'href="/books/results/2025/stock.csv"' in client.get("/books/results/2025/").content.decode()

    def test_how_often_skins_were_lost_stands_in_each_file(self, client: Client) -> None:
        rows = list(csv.DictReader(client.get("/books/results/2025/losses.csv").content.decode().splitlines()))
        deer = next(row for row in rows if row["by"] == "species" and row["of_what"] == "reindeer")
        assert (deer["lost"], deer["of"], deer["percent"]) == ("1", "3", "33.3"), (
            "H05 slipped, H04 and H06 came through"
        )
        assert {row["by"] for row in rows} == {"step", "species", "supplier"}
        book = load_workbook(BytesIO(client.get("/books/results/2025.xlsx").content))
        assert book["Losses, all years"].max_row == len(rows) + 1
        paper = pypdf.PdfReader(BytesIO(client.get("/books/results/2025.pdf").content))
        said = " ".join(" ".join(page.extract_text() for page in paper.pages).split())
        assert "Losses, all years" in said
        assert 'href="/books/results/2025/losses.csv"' in client.get("/books/losses/").content.decode()

    def test_the_limit_stands_in_each_file(self, client: Client) -> None:
        terms.set_terms(turnover_limit=D(1000))
        summary = client.get("/books/results/2025/summary.csv").content.decode().splitlines()
        assert {
            "limit,turnover,1125.90,EUR",
            "limit,left,0.00,EUR",
            "limit,used,112.6,%",
            "limit,passed_on,2025-11-29,",
        } <= set(summary)
        paper = pypdf.PdfReader(BytesIO(client.get("/books/results/2025.pdf").content))
        said = " ".join(" ".join(page.extract_text() for page in paper.pages).split())
        assert "Turnover against the limit 112.6 % used, calendar year from 1 Jan 2025. Passed on 29 Nov 2025." in said
        book = load_workbook(BytesIO(client.get("/books/results/2025.xlsx").content))
        figures = {(row[0].value, row[1].value): row[2].value for row in book["Results 2025"].iter_rows(min_row=2)}
        assert figures[("limit", "passed_on")].date() == on(11, 29)
        terms.set_terms(turnover_limit=None)
        assert "limit," not in client.get("/books/results/2025/summary.csv").content.decode()

    def test_an_unknown_csv_names_those_there_are(self, client: Client) -> None:
        assert "there is summary, costs, equipment, contractors, pieces, by_species" in told(
            client.get("/books/results/2025/nothing.csv", follow=True)
        )

    def test_the_paper_shows_the_bridge_and_the_ledgers(self, client: Client) -> None:
        answer = client.get("/books/results/2025.pdf")
        pages = [page.extract_text() for page in pypdf.PdfReader(BytesIO(answer.content)).pages]
        said = " ".join(" ".join(pages).split())
        for words in (
            "Results 2025",
            "105.48 €",
            "+162.93 €",
            "268.41 €",
            "Accounted for 219.07",
            "Closing stock 205.82",
        ):
            assert words in said
        assert "H12 INV-004 CN-001 0.00 10.56 0.00 −10.56 0.00 – −10.56" in said
        assert files.paper(year_report.at(2025, files=True)) == answer.content, "the same year gives the same bytes"
