"""Words on papers and the ticks of translations come back from a folder; a bad row is named."""

from __future__ import annotations

from pathlib import Path

import pytest

from costing.models import Customer
from costing.sell.customers import services as customers
from inventory.base import selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.base.wording import services as wording
from inventory.models import CheckedLanguage, Phrase
from tests.factories import owner
from tests.workshop.transfer import folders
from tests.workshop.transfer.test_round_trip import passing
from workshop.documents.words import services as words
from workshop.documents.words.rules import ENGLISH, MOVED, shipped
from workshop.transfer.format.problems import FolderRefused
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = pytest.mark.django_db
FILES = ("words.csv", "languages.csv", "customers.csv", "workshop.csv")
SPOKEN = {file: folders.SELLING[file] for file in FILES}


def test_words_ticks_and_languages_come_back(tmp_path: Path) -> None:
    with passing():
        accounting.set_up(paper_language="sv")
        words.change(language="fi", key="kit.page", text='=s. "{number}", {count}')
        words.change(language="en", key="terms.job", text="+ one\ntwo")
        wording.tick(language="fi", by=owner())
        customers.write(name="Ella", language="fi")
        saved = save(tmp_path / "one")
        assert (saved.rows["words.csv"], saved.rows["languages.csv"]) == (2, 1)
    with passing():
        load(tmp_path / "one")
        said = {(row.language, row.key): row.text for row in Phrase.objects.all()}
        assert said == {("fi", "kit.page"): '=s. "{number}", {count}', ("en", "terms.job"): "+ one\ntwo"}
        assert CheckedLanguage.objects.get().who == "owner"
        assert Customer.objects.get().language == "fi"
        assert workshop.current().paper_language == "sv"
        save(tmp_path / "two")
    for file in FILES:
        assert (tmp_path / "one" / file).read_bytes() == (tmp_path / "two" / file).read_bytes()


@pytest.mark.thorough(but=3)
@pytest.mark.parametrize(
    ("file", "column", "cell", "says"),
    [
        ("words.csv", "key", "kit.pgae", "did you mean kit.page?"),
        ("words.csv", "key", "suggest.care", "No paper has the phrase"),
        ("words.csv", "key", "", "missing"),
        ("words.csv", "language", "tlh", "en, fi"),
        ("words.csv", "text", "page {number}", "{count} is missing"),
        ("words.csv", "text", "{number} {count} {x}", "{x} is not known"),
        ("words.csv", "text", "{number} {count} " + "x" * 300, "longer than 200"),
        ("words.csv", "text", "{number} {count} 🐑", "cannot be printed"),
        ("words.csv", "text", "{number} {count} \x07", "control"),
        ("words.csv", "text", "", "missing"),
        ("languages.csv", "language", "en", "English came whole"),
        ("languages.csv", "at", "yesterday", "moment"),
        ("customers.csv", "language", "xx", "en, fi"),
    ],
)
def test_a_bad_row_is_named_by_its_place(tmp_path: Path, file: str, column: str, cell: str, says: str) -> None:
    folder = folders.write(tmp_path, SPOKEN)
    row = 3 if file == "words.csv" else 2
    folders.change(folder, file, row, column, cell)
    with pytest.raises(FolderRefused) as refused:
        load(folder)
    found = [each for each in refused.value.problems if each.file == file]
    assert any(says in each.reason for each in found), [each.reason for each in refused.value.problems]
    assert {(each.row, each.column) for each in found} == {(row, column)}


def test_a_phrase_said_twice_is_refused(tmp_path: Path) -> None:
    folder = folders.write(tmp_path, SPOKEN)
    folders.change(folder, "words.csv", 3, "language", "en")
    folders.change(folder, "words.csv", 3, "key", "terms.warranty")
    with pytest.raises(FolderRefused, match="row 2 already"):
        load(folder)


def test_a_phrase_that_became_one_with_another_is_said_there(tmp_path: Path) -> None:
    folder = folders.write(tmp_path, SPOKEN)
    folders.change(folder, "words.csv", 3, "key", "invoice.how.cash")
    folders.change(folder, "words.csv", 3, "text", "käteisellä")
    load(folder)
    assert Phrase.objects.get(language="fi").key == "paid_by.cash"
    assert all(new in shipped(ENGLISH) and old not in shipped(ENGLISH) for old, new in MOVED.items())
