"""The commands: their answers for the demonstration year in words and as JSON, and how they refuse."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import date
from decimal import Decimal
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command, load_command_class
from django.db.models import Sum

from costing.make.steps.agenda import selectors as dues
from costing.models import Batch
from inventory.base.chain import selectors as chain
from inventory.base.chain.rules import Head
from inventory.ledger.usage import selectors as usage
from inventory.models import ChainLink, Kind, Material, Movement
from tests.workshop.documents import reading
from workshop.documents.type import cuts

pytestmark = pytest.mark.usefixtures("demo")
YEAR = [f"2025-{month:02d}" for month in range(1, 13)]
COMMANDS = ("due", "restock", "price", "label", "usage", "stock_value", "check_books", "open")

# Book and full cost as worked out by hand from the demonstration's slips, skin by skin.
SKIN_COSTS = {
    "H01": ("20.23", "186.75", "8.25"),
    "H02": ("20.23", "181.75", "8.00"),
    "H03": ("20.23", "206.75", "9.25"),
    "H04": ("44.70", "232.39", "9.31"),
    "H05": ("36.82", "85.49", "2.43"),
    "H06": ("9.70", "190.72", "8.98"),
    "H07": ("37.86", "169.38", "6.50"),
    "H08": ("37.86", "222.71", "9.17"),
    "H09": ("4.65", "36.31", "1.58"),
    "H10": ("4.65", "59.65", "2.75"),
    "H11": ("4.65", "59.65", "2.75"),
    "H12": ("4.65", "36.31", "1.58"),
}

CLOSING = {
    "SALT": ("60.82", "33.67"),
    "ALUMK": ("0.56", "3.67"),
    "SODACRYS": ("1.74", "5.20"),
    "BICARB": ("1.12", "4.13"),
    "CITRIC": ("0.824", "6.99"),
    "LIME": ("12", "12.04"),
    "BARK": ("5", "16.27"),
    "VINEGAR": ("1.2", "2.52"),
    "FLOUR": ("1.04", "0.99"),
    "EGG": ("2", "0.52"),
    "OILN": ("0.83", "12.13"),
    "OILT": ("0.34", "17.56"),
    "GLOVE": ("82", "9.55"),
    "TAG": ("16", "1.12"),
    "CORD": ("72", "7.65"),
    "CARECARD": ("8", "0.96"),
    "BOX": ("5", "13.83"),
    "LUMBER": ("4.8", "0.00"),
    "SCREW": ("34", "0.00"),
}


def said(*words: str) -> str:
    out = StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


def answer(*words: str) -> Any:
    return json.loads(said(*words, "--json"))


def leaves(shape: object) -> list[object]:
    if isinstance(shape, dict):
        return [leaf for value in shape.values() for leaf in leaves(value)]
    if isinstance(shape, list):
        return [leaf for value in shape for leaf in leaves(value)]
    return [shape]


# What every reader of the answer may count on; the rest is beside it.
ALUM = {
    "material": "ALUMK",
    "name": "Potash alum",
    "on_hand": "0.56",
    "unit": "kg",
    "needed": "1.92",
    "short": "1.36",
    "runs_out_on": "2026-01-12",
    "order_by": "2025-12-31",
    "packs": "1",
    "pack": "2",
    "reason": "0.56 kg left; B5 needs 1.92 kg, 1.36 kg short.",
    "state": "order_now",
    "action": "Order one 2 kg pack today",
    "overdue_days": "0",
    "risk": "0",
    "risk_in_a_week": "1",
    "service": "0.95",
    "on_order": [],
    "reorder_point": "1.02",
}


def test_restock_names_the_alum_alone_and_the_day_to_order() -> None:
    found = answer("restock")
    (alum,) = found["alerts"]
    assert found["on"] == "2025-12-31"
    assert {name: alum[name] for name in ALUM} == ALUM
    assert alum["advice"] == {
        "packs": "1",
        "quantity": "2",
        "cost": "11.60",
        "carriage": None,
        "supplier": "Utuharju Chemicals",
        "why": "wanted",
    }
    assert alum["demand"]["planned"] == "1.92"
    assert set(alum["band"][12]) == {"day", "p10", "p50", "p90"}
    assert [alum["band"][at]["p50"] for at in (0, 11, 12)] == ["0.56", "0.56", "-1.36"]
    assert alum["band"][12]["day"] == "2026-01-12"


def test_restock_in_words_says_what_to_buy_and_by_when() -> None:
    assert said("restock") == (
        "Potash alum: Order one 2 kg pack today. 0.56 kg left; B5 needs 1.92 kg, 1.36 kg short. "
        "Delivery takes 9 days, 3 days to spare: order by 31 Dec 2025. About 11.60 EUR.\n"
    )


def test_restock_without_the_plan_goes_by_the_reorder_point() -> None:
    Batch.objects.get(number="B5").delete()
    (alum,) = answer("restock")["alerts"]
    assert (alum["material"], alum["short"], alum["reorder_point"]) == ("ALUMK", "0", "1.02")
    assert alum["reason"] == "0.56 kg left; the reorder point is 1.1 kg: one usual batch."


def test_restock_tells_all_or_one_material() -> None:
    every = answer("restock", "--all")["alerts"]
    assert len(every) == Material.objects.count()
    assert {row["state"] for row in every} == {"order_now", "fine"}
    assert answer("restock", "--material", "salt")["alerts"] == [row for row in every if row["material"] == "SALT"]


@pytest.mark.parametrize(
    ("words", "names"),
    [
        (("--material", "NOPE"), "There is no material NOPE"),
        (("--service", "1"), "no service level"),
        (("--service", "often"), "no service level"),
        (("--on", "tomorrow"), "is not a day"),
    ],
)
def test_restock_refuses_what_it_cannot_read(words: tuple[str, ...], names: str) -> None:
    with pytest.raises(CommandError, match=names):
        said("restock", *words)


def test_a_higher_service_never_orders_later() -> None:
    often = {row["material"]: row["order_by"] for row in answer("restock", "--all")["alerts"]}
    surer = {row["material"]: row["order_by"] for row in answer("restock", "--all", "--service", "99%")["alerts"]}
    assert all((surer[code] or "9999") <= (often[code] or "9999") for code in often)


@pytest.mark.thorough
def test_restock_seen_from_another_day_reads_the_shelf_of_that_day() -> None:
    alum = next(row for row in answer("restock", "--on", "2025-01-05", "--all")["alerts"] if row["material"] == "ALUMK")
    assert (alum["on_hand"], alum["short"], alum["order_by"]) == ("0.6", "1.32", "2025-12-31")


def test_value_at_risk_in_the_taw_tub_after_mixing_is_book_and_own_hours() -> None:
    # 3 skins of 12.00, materials of 11 and 20 January, 528 minutes at 16.00 an hour: 52.72 + 8.80 × 16.
    assert dues.risk_of(Batch.objects.get(number="B1"), date(2025, 1, 20)) == Decimal("193.52")


def test_due_names_the_first_turn_of_the_taw_tub_and_what_a_delay_risks() -> None:
    [group] = [group for group in answer("due", "--on", "2025-01-20")["groups"] if group["place"] == "Taw tub"]
    [turn] = group["tasks"]
    told = {name: turn[name] for name in ("batch", "step", "words", "state", "since", "risk", "skins")}
    assert told == {
        "batch": "B1",
        "step": "Bath",
        "words": "Turn",
        "state": "coming",
        "since": "2025-01-21",
        "risk": "193.52",
        "skins": ["H01", "H02", "H03"],
    }
    assert (group["risk"], group["minutes"]) == ("193.52", "0")
    assert turn["cautions"][0] == "Open every fold: where skin lies on skin it stays raw."


def test_price_of_the_rug_at_the_card_fair() -> None:
    found = answer("price", "H03")
    assert found["channel"] == "Fair, card"
    assert (found["book_cost"], found["full_cost"], found["hours"]) == ("20.23", "206.75", "9.25")
    assert found["floors"] == {"cash": "20.63", "wage": "171.49", "full": "210.76"}
    assert found["per_sq_ft"] == {"book": "1.86", "full": "19.02"}
    assert found["area"] == {"dm2": "101", "sq_ft": "10.87"}
    assert (found["list_price"], found["earned_per_hour"]) == ("185.00", "17.43")
    assert found["parts"] == {
        "skin_price": "12.00",
        "materials": "8.23",
        "paid_help": "0.00",
        "own_time": "148.00",
        "overhead": "37.00",
        "frame_wear": "1.52",
    }


def test_price_in_words_says_the_same() -> None:
    lines = said("price", "h03").splitlines()
    assert lines == [
        "H03: book cost 20.23 EUR, full cost 206.75 EUR, 9.25 h of work.",
        "About 101 dm2 (10.87 sq ft) by hand: 1.86 EUR book and 19.02 EUR full a sq ft.",
        "Least at Fair, card: 20.63 EUR loses no cash, 171.49 EUR pays the hours, 210.76 EUR pays everything.",
        "At the list price of 185.00 EUR it earns 17.43 EUR an hour.",
    ]


@pytest.mark.parametrize("channel", ["Savupirtti Craft Room", "savupirtti", "CRAFT"])
def test_price_at_the_gallery_by_any_part_of_its_name(channel: str) -> None:
    found = answer("price", "H03", "--channel", channel)
    assert (found["channel"], found["floors"]["full"]) == ("Savupirtti Craft Room", "318.08")


@pytest.mark.parametrize("tag", SKIN_COSTS)
def test_price_of_every_skin_the_lost_one_too(tag: str) -> None:
    found = answer("price", tag)
    assert (found["book_cost"], found["full_cost"], found["hours"]) == SKIN_COSTS[tag]


def test_pouches_of_one_skin_add_up_to_its_book_cost() -> None:
    books = [Decimal(answer("price", f"H08-{piece}")["book_cost"]) for piece in (1, 2, 3)]
    assert sum(books) == Decimal("37.86")
    assert set(books) == {Decimal("12.62")}


def test_price_of_a_skin_in_salt_has_no_area_and_no_list_price() -> None:
    found = answer("price", "H13")
    assert (found["book_cost"], found["area"], found["list_price"], found["earned_per_hour"]) == (
        "9.76",
        None,
        None,
        None,
    )


def test_stock_value_holds_every_line_of_the_closing_stock() -> None:
    found = answer("stock_value")
    lines = {line["material"]: (line["quantity"], line["value"]) for line in found["materials"]}
    assert lines == CLOSING
    parts = ("consumables", "raw_skins", "in_work", "finished")
    assert [found[name] for name in ("on", *parts, "total")] == [
        "2025-12-31",
        "148.80",
        "19.52",
        "0.00",
        "37.50",
        "205.82",
    ]
    assert Decimal(found["total"]) == sum(Decimal(found[name]) for name in parts)


def test_stock_value_of_the_first_day_is_the_opening_stock() -> None:
    found = answer("stock_value", "--on", "2025-01-01")
    assert (found["consumables"], found["total"]) == ("42.89", "42.89")


def test_stock_value_in_words_lines_up_and_ends_with_the_total() -> None:
    lines = said("stock_value").splitlines()
    assert len({len(line) for line in lines[1:18]}) == 1
    assert lines[-1].split()[0] == "total"


@pytest.mark.parametrize("month", YEAR)
def test_usage_adds_up_and_its_used_value_is_what_the_ledger_put_in_work(month: str) -> None:
    found = answer("usage", month)
    for line in found["lines"]:
        number = {name: Decimal(line[name]) for name in line if name not in ("material", "name", "unit")}
        assert number["opening"] + number["in"] - number["used"] - number["other"] == number["closing"]
        moved = number["opening_value"] + number["in_value"] - number["used_value"] - number["other_value"]
        assert moved == number["closing_value"]
    used = Movement.objects.filter(month=usage.month_number(month), kind=Kind.USE).aggregate(v=Sum("value"))["v"]
    assert Decimal(found["used_value"]) == -(used or Decimal(0))


def test_usage_closes_each_month_where_the_next_one_opens() -> None:
    closed: dict[str, tuple[str, str]] = {}
    for month in YEAR:
        lines = answer("usage", month)["lines"]
        for line in lines:
            opened = closed.get(line["material"])
            assert opened in (None, (line["opening"], line["opening_value"])), (month, line["material"])
        closed.update({line["material"]: (line["closing"], line["closing_value"]) for line in lines})
    assert closed == CLOSING


def test_usage_of_january_in_words() -> None:
    lines = said("usage", "2025-01").splitlines()
    assert lines[0] == "Used in 2025-01: 17.27 EUR."
    assert "  Potash alum: 1.44 kg (9.44), 1.16 kg remaining" in lines


@pytest.mark.thorough
def test_usage_as_csv_and_pdf_says_what_the_answer_says(tmp_path: Path, type_is_cut: None) -> None:
    table, paper = tmp_path / "use.csv", tmp_path / "use.pdf"
    found = answer("usage", "2025-01", "--csv", str(table), "--pdf", str(paper))
    rows = table.read_text("utf-8").splitlines()
    assert len(rows) == 1 + len(found["lines"])
    alum = next(line for line in found["lines"] if line["material"] == "ALUMK")
    assert next(row for row in rows if ",ALUMK," in row) == ",".join(
        ["2025-01", *alum.values(), found["books"]["check_value"]]
    )
    assert "17.27" in reading.words(paper.read_bytes())
    assert f"Check value {chain.head().value} after" in reading.words(paper.read_bytes())
    assert sorted(path.name for path in tmp_path.iterdir()) == ["use.csv", "use.pdf"]


@pytest.mark.parametrize("paper", ["care", "ticket"])
def test_label_writes_a_paper_with_the_article_in_its_bars(paper: str, tmp_path: Path, type_is_cut: None) -> None:
    target = tmp_path / "paper.pdf"
    found = answer("label", paper, "H03", "-o", str(target))
    content = target.read_bytes()
    about = {"paper": paper, "name": "H03", "article": "H03", "copies": "1", "labels": "1", "pages": "1"}
    assert found == {**about, "file": str(target), "bytes": str(len(content))}
    assert reading.barcodes(content) == ["H03"]


def test_label_overwrites_its_own_earlier_print_with_the_same_bytes(tmp_path: Path, type_is_cut: None) -> None:
    target = tmp_path / "paper.pdf"
    call_command("label", "care", "H03", "-o", str(target), stdout=StringIO())
    first = target.read_bytes()
    call_command("label", "care", "H03", "-o", str(target), stdout=StringIO())
    assert target.read_bytes() == first


def test_check_books_finds_the_demonstration_clean() -> None:
    head = chain.head()
    told = {"value": head.value, "digest": head.digest, "entries": str(head.position)}
    assert answer("check_books") == {"differences": [], "check_value": told, "came_from": None, "was": None}
    assert said("check_books") == (
        "The books are clean: every balance and cost agrees with the entries.\n"
        f"Check value {head.value} after {head.position} entries.\n"
    )


@pytest.mark.thorough
def test_check_books_says_after_which_entry_a_value_was_theirs() -> None:
    first = Head(1, ChainLink.objects.get(position=1).digest).value
    more = chain.head().position - 1
    assert said("check_books", "--was", first).splitlines()[-1] == (
        f"{first} is the check value after 1 entry; {more} more since then."
    )
    with pytest.raises(CommandError, match="do not know that check value"):
        said("check_books", "--was", "0123 4567 89ab cdef")
    with pytest.raises(CommandError, match="is not a check value"):
        said("check_books", "--was", "yes")


@pytest.mark.thorough
def test_results_say_the_check_value_in_words_and_as_data() -> None:
    head = chain.head()
    assert answer("results", "2025")["books"]["check_value"] == head.value
    assert f"Check value {head.value} after {head.position} entries" in said("results", "2025")


@pytest.mark.thorough
def test_check_books_ends_with_a_refusal_when_a_balance_was_changed_by_hand() -> None:
    Material.objects.filter(code="ALUMK").update(value=Decimal("3.68"))
    out = StringIO()
    with pytest.raises(CommandError, match=r"^\d+ difference"):
        call_command("check_books", stdout=out)
    assert "Potash alum" in out.getvalue() or "ALUMK" in out.getvalue()
    assert "3.68" in out.getvalue()


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    "words",
    [
        ("due", "--on", "2025-01-23"),
        ("restock",),
        ("price", "H03"),
        ("price", "H13"),
        ("usage", "2025-01"),
        ("stock_value",),
        ("check_books",),
    ],
    ids=" ".join,
)
def test_json_holds_numbers_as_text_only(words: tuple[str, ...]) -> None:
    kinds = {type(leaf) for leaf in leaves(answer(*words))}
    assert kinds <= {str, bool, type(None)}


@pytest.mark.parametrize(
    ("words", "refusal"),
    [
        (("restock", "--on", "31.12.2025"), r"^'31\.12\.2025' is not a day\. Write it as 2025-12-31\.$"),
        (("due", "--on", "soon"), r"^'soon' is not a day\. Write it as 2025-12-31\.$"),
        (("restock", "--on", "2025-02-30"), r"^'2025-02-30' is not a day"),
        (("stock_value", "--on", "yesterday"), r"^'yesterday' is not a day"),
        (("usage", "2025-13"), r"^'2025-13' is not a month\. Write year and month as 2025-01\.$"),
        (("usage", "January"), r"^'January' is not a month"),
        (("price", "H99"), r"^There is no article H99 and no skin with that tag"),
        (("price", "H03", "--channel", "market"), r"No single channel fits .*Fair, cash"),
        (("price", "H03", "--channel", "fair"), r'"Fair, card", "Fair, cash"\.$'),
        (("label", "care", "H99", "-o", "{tmp}/paper.pdf"), r"^There is no article H99"),
        (("label", "ticket", "H06", "-o", "{tmp}/paper.pdf"), r"^H06 is a customer's own skin and not for sale"),
        (("label", "care", "H03", "-o", "{tmp}/none/paper.pdf"), r"^There is no folder .*none\. Make it first"),
        (("label", "care", "H03", "-o", "{tmp}"), r"is a folder\. Name a file in it"),
        (("usage", "2025-01", "--csv", "{tmp}/use.csv", "--pdf", "{tmp}/none/use.pdf"), r"^There is no folder"),
        (("usage", "2025-1", "--csv", "{tmp}/use.csv"), r"is not a month"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_what_cannot_be_answered_is_refused_and_writes_nothing(
    words: tuple[str, ...], refusal: str, tmp_path: Path, type_is_cut: None
) -> None:
    out = StringIO()
    with pytest.raises(CommandError, match=refusal):
        call_command(*(word.replace("{tmp}", str(tmp_path)) for word in words), stdout=out)
    assert out.getvalue() == ""
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_written_to_is_refused(tmp_path: Path, type_is_cut: None) -> None:
    """A name longer than any file system takes stands for a full or locked disk."""
    with pytest.raises(CommandError, match="cannot be written"):
        call_command("label", "care", "H03", "-o", str(tmp_path / ("x" * 300)))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_explains_itself(name: str) -> None:
    command = load_command_class("workshop", name)
    parser = command.create_parser("manage.py", name)
    assert command.help
    assert parser.format_help()
    own = [action for action in parser._actions if action.help and action.dest in ("json", "on", "month", "article")]
    assert own or name == "open"


class Machine:
    """The commands as a maker starts them: another process, its own data folder, SQLite."""

    def __init__(self, data: Path) -> None:
        self.data = data
        self.env = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
        self.env["TAWERY_DATA"] = str(data)

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        start = [sys.executable, "-W", "error::DeprecationWarning:workshop", str(settings.BASE_DIR / "manage.py")]
        return subprocess.run([*start, *words], env=self.env, capture_output=True, text=True, check=False, timeout=120)


@pytest.fixture(scope="module")
def machine(tmp_path_factory: pytest.TempPathFactory, type_is_cut: None) -> Machine:
    made = Machine(tmp_path_factory.mktemp("machine") / "data")
    shutil.copytree(cuts.folder(), made.data / "fonts")  # cutting the type anew takes seconds
    done = made.run("open", "--no-serve")
    assert (done.returncode, done.stderr) == (0, "")
    return made


@pytest.mark.thorough
@pytest.mark.slow
@pytest.mark.parametrize(
    ("words", "beginning"),
    [
        (("restock",), "Potash alum: Order one 2 kg pack today. 0.56 kg left"),
        (("price", "H03"), "H03: book cost 20.23 EUR"),
        (("usage", "2025-01"), "Used in 2025-01: 17.27 EUR."),
        (("stock_value", "--json"), '{\n  "on": "2025-12-31"'),
        (("check_books",), "The books are clean"),
        (("label", "care", "H03", "-o", "{tmp}/care.pdf"), "Wrote the care paper of H03"),
    ],
    ids=lambda value: value[0] if isinstance(value, tuple) else "",
)
def test_a_command_answers_on_stdout_and_ends_with_0(
    machine: Machine, words: tuple[str, ...], beginning: str, tmp_path: Path
) -> None:
    done = machine.run(*(word.replace("{tmp}", str(tmp_path)) for word in words))
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith(beginning)


@pytest.mark.thorough
@pytest.mark.slow
@pytest.mark.parametrize(
    ("words", "code", "refusal"),
    [
        (("price", "H99"), 1, "CommandError: There is no article H99"),
        (("usage", "2025-13"), 1, "CommandError: '2025-13' is not a month"),
        (("label", "care", "H03", "-o", "/"), 1, "CommandError: / is a folder"),
        (("label", "poster", "H03", "-o", "x.pdf"), 2, "invalid choice: 'poster'"),
        (("restock", "--on", "soon"), 1, "CommandError: 'soon' is not a day"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_a_refusal_goes_to_stderr_in_plain_words_with_its_exit_code(
    machine: Machine, words: tuple[str, ...], code: int, refusal: str
) -> None:
    done = machine.run(*words)
    assert (done.returncode, done.stdout) == (code, "")
    assert refusal in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.slow
def test_a_command_before_the_first_opening_says_to_open(tmp_path: Path) -> None:
    done = Machine(tmp_path / "never").run("restock")
    assert (done.returncode, done.stdout) == (1, "")
    assert "manage.py open --no-serve` first; with --empty for a workshop of your own" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.thorough
@pytest.mark.slow
def test_check_books_ends_with_1_on_a_real_machine_with_a_broken_balance(machine: Machine) -> None:
    with closing(sqlite3.connect(machine.data / "workshop.sqlite3")) as books, books:
        books.execute("UPDATE inventory_material SET on_hand = on_hand + 1 WHERE code = 'TAG'")
    try:
        done = machine.run("check_books")
    finally:
        with closing(sqlite3.connect(machine.data / "workshop.sqlite3")) as books, books:
            books.execute("UPDATE inventory_material SET on_hand = on_hand - 1 WHERE code = 'TAG'")
    assert done.returncode == 1
    assert "TAG" in done.stdout or "Skin tags" in done.stdout
    assert "difference" in done.stderr
