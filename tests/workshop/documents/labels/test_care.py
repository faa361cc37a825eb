"""What labels say of a piece: by method, hair and language, and nothing that only its maker can know."""

from __future__ import annotations

from itertools import product

import pytest

from inventory.articles.models import Hair, Method, Use
from inventory.errors import Refused
from tests.workshop.documents.examples import care_label
from workshop.documents.labels import care
from workshop.documents.words.rules import LANGUAGES, Words, shipped

# What only the maker can know, or what a buyer cannot do, by the words for it.
ASKED_OF_THE_BUYER = ("ask ", "supplier", "not sure", "data sheet", "at your own risk")
EVERY = list(product(care.METHODS, ("on", "off", ""), LANGUAGES))


def said(**label: object) -> str:
    return "\n".join(para.words for para in care.paras(care.said(care_label(**label))))


def test_every_method_and_use_of_the_records_has_words() -> None:
    assert list(care.METHODS) == Method.values
    for use, hair in product(Use.values, Hair.values):
        assert care.method_line(care_label(hair=hair), Words())
        assert Words()(f"care.use.{use}") in said(use=use)


@pytest.mark.parametrize(("method", "hair", "language"), EVERY)
def test_a_label_says_what_never_and_why_in_its_own_language(method: str, hair: str, language: str) -> None:
    words, table = Words(language), shipped(language)
    text = said(method=method, hair=hair, words=words)
    for key in ("never", "why", "do"):
        for line in table[f"care.{method}.{key}"].splitlines():
            assert line in text
    about_hair = [table[f"care.hair.{name}"] for name in ("comb", "moth", "store")]
    assert all((line in text) == (hair == "on") for line in about_hair)
    assert (table["care.hair.off"] in text) == (hair == "off")
    line = care.method_line(care_label(method=method, hair=hair), words)
    assert table[f"care.{method}.name"].casefold() in line.casefold()
    assert (table["care.hair_on"].casefold() in line.casefold()) == (hair == "on")


@pytest.mark.parametrize("method", care.METHODS)
def test_a_label_asks_nothing_that_only_the_maker_knows(method: str) -> None:
    text = said(method=method).casefold()
    assert [words for words in ASKED_OF_THE_BUYER if words in text] == []


@pytest.mark.parametrize("method", ["alum_tawed", "synthetic"])
def test_what_water_harms_is_never_to_be_washed(method: str) -> None:
    """TRADE.md: alum comes out in water. What a ready-made tan bears only its maker knows, so the label is careful."""
    text = said(method=method)
    assert text.startswith("Never wash or soak it")
    assert "By hand" not in text
    assert "soap" not in text


def test_smoke_alone_lets_it_be_washed_by_hand() -> None:
    assert "by hand, cool, with a little mild soap" in said(method="oil_smoked")
    assert "soap" not in said(method="bark")


@pytest.mark.parametrize("species", ["reindeer", "poro", "moose"])
def test_brittle_hair_is_not_combed(species: str) -> None:
    text = said(species=(species,))
    assert "do not comb" in text
    assert "comb it with" not in text


def test_the_second_language_says_the_prohibition_first() -> None:
    lines = [para.words for para in care.paras(care.said(care_label(second=Words("fi"))), lines=care.LEAST)]
    assert lines == [
        "Never wash or soak it, by hand or by machine.",
        "FI · Älä koskaan pese tai liota, käsin tai koneessa.",
    ]


def test_lines_of_the_makers_own_are_printed() -> None:
    assert "Bring it back, we oil it." in said(words=Words("en", {"own.care": "Bring it back, we oil it."}))


def test_an_unknown_method_is_refused_with_the_choices() -> None:
    with pytest.raises(Refused, match=r"“tea”\. Choose one of: alum_tawed, bark") as refused:
        care_label(method="tea")
    assert refused.value.field == "method"
    assert all(method in str(refused.value) for method in care.METHODS)


# Regulation (EU) 1007/2011, article 12(1), read: the European Commission's and the national authorities' pages (English,
# German, French, Swedish). The Finnish and Spanish words were not read, so they are not printed.
TEXTILE = {
    "en": "Contains non-textile parts of animal origin",
    "de": "Enthält nichttextile Teile tierischen Ursprungs",
    "fr": "Contient des parties non textiles d'origine animale",
    "sv": "Innehåller icke-textila delar av animaliskt ursprung",
}


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_words_for_a_textile_article_are_the_laws_own(language: str) -> None:
    words = Words(language)
    if language in TEXTILE:
        assert care.law_lines(care_label(textile=True, words=words)) == (TEXTILE[language],)
    else:
        with pytest.raises(Refused, match="the law's words for it are not known in"):
            care_label(textile=True, words=words)
    assert care.law_lines(care_label(words=words)) == ()


def test_the_maker_may_supply_the_laws_words() -> None:
    words = Words("fi", {"care.textile": "Sanat lain mukaan"})
    assert care.law_lines(care_label(textile=True, words=words)) == ("Sanat lain mukaan",)


def test_fur_says_its_country_in_english() -> None:
    """16 CFR 301.12 asks for these words: "Fur origin: " and the country."""
    assert care.law_lines(care_label(fur_origin=True, words=Words("fi"))) == ("Fur origin: Finland",)
    with pytest.raises(Refused, match="Enter the origin of its skin"):
        care_label(fur_origin=True, origin="")


def test_a_label_carries_what_product_safety_law_asks() -> None:
    """Regulation (EU) 2023/988, article 9(5) and (6): an identifying number, name, postal and electronic address."""
    label = care_label()
    assert care.numbers(label) == "No. H03 · batch B1 · finished 22 Feb 2025"
    assert label.address == "K. Routamo, Tawyard Lane 4, 99999 Utuharju"
    assert care.numbers(care_label(batch="", finished=None)) == "No. H03"
