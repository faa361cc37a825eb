"""Units, substances, roles, rooms and worked figures in docs/reference are those of the program."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import resolve, reverse

from costing.make.baths.chemistry.bath import Line, bath_facts
from inventory import factors, money, substances, units
from inventory.errors import Refused
from inventory.permits import ALLOWED, ROLES, Act
from tests.docs import pages
from workshop.answers import daily as answers
from workshop.context import ROOMS
from workshop.documents.labels import hazards

UNITS = pages.sections(pages.text("reference/units.md"))
SUBSTANCES = pages.sections(pages.text("reference/substances.md"))
SUBSTANCE_PAGE = pages.text("reference/substances.md")


def choices(cell: str) -> list[str]:
    return re.findall(r"`(\w+)`", cell)


def unit_rows() -> list[list[str]]:
    return [row for heading, part in UNITS.items() if "refused" not in heading for row in pages.rows(part)]


def test_every_unit_offered_stands_on_its_page_with_its_exact_factor_and_spellings() -> None:
    told = {}
    for name, one, counted, spellings in unit_rows():
        unit = name.strip("`")
        amount, base = one.split(maxsplit=1)
        told[unit] = (Decimal(amount), units.canonical(base), units.canonical(counted))
        assert {units.canonical(word) for word in spellings.split(", ") if word} <= {unit}
    assert told == {unit: (units.factor(unit), units.metric_of(unit), units.base_of(unit)) for unit in units.KNOWN}


def test_every_unit_understood_but_not_offered_is_told() -> None:
    extra = set(factors._spellings().values()) - set(units.KNOWN)
    assert extra <= set(pages.ticked(pages.text("reference/units.md")))


def test_every_word_refused_stands_on_the_page_of_units_with_its_choices() -> None:
    told = {word: row[1] for row in pages.rows(UNITS["Words that are refused"]) for word in row[0].split(", ")}
    assert {word.replace(" ", "_") for word in told} == set(factors._CHOICES)
    for word, cell in told.items():
        with pytest.raises(Refused, match=f"say which: {', '.join(choices(cell))}\\.$"):
            units.canonical(word)


def test_every_substance_stands_on_its_page_with_its_contents_and_caution() -> None:
    told = {row[0].strip("`"): row for row in pages.rows(SUBSTANCE_PAGE.split("## ")[0])}
    cautions = dict(pages.rows(SUBSTANCES["Usual cautions"]))
    assert list(told) == list(substances.SUBSTANCES)
    for slug, substance in substances.SUBSTANCES.items():
        _, name, formula, mass, *contents = told[slug]
        assert (name, formula, Decimal(mass)) == (substance.name, substance.formula, substance.molar_mass)
        assert contents == [
            content(Fraction(substance.aluminium_per_mol), substance, 3),
            content(Fraction(substance.alkali_per_mol), substance, 3),
            gas(substance),
        ]
        assert cautions[substance.name] == substance.hazard


def test_the_words_that_labels_print_by_themselves_stand_with_whose_they_are() -> None:
    """A published classification by its name, or from memory; and the codes it names are those of the words."""
    told = {name: (words, source) for name, words, source in pages.rows(SUBSTANCES["Whose words a label carries"])}
    assert list(told) == [substance.name for substance in substances.SUBSTANCES.values()]
    for slug, substance in substances.SUBSTANCES.items():
        words, source = told[substance.name]
        assert words == (" ".join(hazards.WORDS[slug]) or "–")
        assert source.casefold() == (substance.source or "From memory").casefold()
        named = set(re.findall(r"H\d{3}", substance.source))
        assert not named or named == set(re.findall(r"H\d{3}", words))


def gas(substance: substances.Substance) -> str:
    if not substance.co2_per_mol:
        return "–"
    return f"{money.half_up(substances.co2_litres(Decimal(1000), substance.slug), 0):f}"


def content(each: Fraction, substance: substances.Substance, places: int) -> str:
    if not each:
        return "–"
    return f"{money.half_up(1000 * each / Fraction(substance.molar_mass), places):f}"


def test_every_loose_word_stands_on_the_page_of_substances_with_its_choices() -> None:
    told = {word: row[1] for row in pages.rows(SUBSTANCES["Loose words"]) for word in row[0].split(", ")}
    assert {word.replace(" ", "_") for word in told} == set(substances._CHOICES)
    for word, cell in told.items():
        with pytest.raises(Refused, match=f"say which: {', '.join(choices(cell))}\\.$"):
            substances.substance_slug(word)


def test_examples_of_substances_come_out() -> None:
    bath = [Line("a", "potash_alum", Decimal(80)), Line("s", "washing_soda_crystals", Decimal(20))]
    worked = [
        substances.aluminium_equal(Decimal(1000), "potash_alum", "aluminium_sulphate_14"),
        substances.alkali_equal(Decimal(100), "soda_ash", "washing_soda_crystals"),
        bath_facts(bath, Decimal(1)).basicity,
        substances.co2_litres(Decimal(100), "washing_soda_crystals"),
    ]
    examples = [row[2] for row in pages.rows(SUBSTANCES["What is worked out from it"])]
    assert all(str(figure) in example for figure, example in zip(worked, examples, strict=True))


def test_the_table_of_roles_is_the_table_of_permits() -> None:
    acts = {
        "Work in the shed": Act.SHED,
        "Goods": Act.GOODS,
        "Prices": Act.PRICES,
        "Books": Act.BOOKS,
        "Set-up": Act.SETUP,
        "Money, to read": Act.MONEY,
    }
    told = {}
    for what, *cells in pages.rows(pages.text("reference/roles.md")):
        name = what.split("**")[1]
        told[acts[name]] = [role for role, cell in zip(ROLES, cells, strict=True) if cell == "yes"]
    assert told == {act: [role for role in ROLES if act in ALLOWED[role]] for act in Act}


def test_the_rooms_are_those_of_the_frame_and_their_addresses_exist() -> None:
    page = pages.sections(pages.text("reference/pages.md"))
    rooms = pages.text("reference/pages.md").split("## ")[0]
    assert [row[0].strip("*") for row in pages.rows(rooms)] == [label for label, _ in ROOMS]
    for cell, _ in pages.rows(page["Addresses worth keeping"]):
        for address in re.findall(r"`(/[^`?]*)", cell):
            assert resolve(address)


@pytest.mark.slow
def test_each_room_has_the_main_button_that_its_page_names(demo: None, client: Client) -> None:
    client.force_login(User.objects.get(groups__name="owner"))
    buttons = {row[0].strip("*"): row[-1] for row in pages.rows(pages.text("reference/pages.md").split("## ")[0])}
    for label, name in ROOMS:
        head = client.get(reverse(name)).content.decode().partition('<div class="head">')[2]
        shown = re.search(r'<a class="btn"[^>]*>([^<]+)', head)
        assert shown is not None, label
        assert shown[1].strip() == buttons[label]


def test_the_worked_figures_of_h03_are_those_of_the_command(demo: None) -> None:
    page = pages.one_line(pages.text("reference/cost-rules.md"))
    price = answers.price_answer("H03", None)
    figures = [
        *(price[name] for name in ("book_cost", "full_cost", "hours", "earned_per_hour")),
        *price["floors"].values(),
        *price["per_sq_ft"].values(),
        *price["per_dm2"].values(),
        *price["parts"].values(),
        price["area"]["sq_ft"],
        answers.price_answer("H03", "craft")["floors"]["full"],
        *(answers.price_answer(f"H08-{number}", None)["book_cost"] for number in (1, 2, 3)),
    ]
    assert [figure for figure in figures if not re.search(rf"(?<![\d.]){re.escape(figure)}(?![\d]|\.\d)", page)] == []
