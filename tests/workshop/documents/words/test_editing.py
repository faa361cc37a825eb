"""What a maker may make of a phrase: no place lost or made up, nothing that no paper prints, and what is too long is said."""

from __future__ import annotations

import pytest

from inventory.errors import Refused
from workshop.documents.words import editing
from workshop.documents.words.rules import LANGUAGES, OWN_LINES, places, shipped

PAGE = "kit.page"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("page {number}", r"\{count\} is missing"),
        ("page", r"\{count\}, \{number\} is missing"),
        ("{number} of {count}, {day}", r"\{day\} is not known; here there is \{count\}, \{number\}"),
        ("{number} {count} " + "x" * 300, "longer than 200"),
        ("{number}\n{count}", "stands on one line"),
        ("{number} 🐑 {count}", "“🐑” cannot be printed"),
        ("{number} ❤️ {count}", "cannot be printed"),
        ("{number} \ue000 {count}", "cannot be printed"),
        ("{number} \x07 {count}", "control character"),
        ("{number} \u202e {count}", "control character"),
    ],
)
def test_what_a_paper_could_not_print_is_refused_in_words(text: str, says: str) -> None:
    with pytest.raises(Refused, match=says) as refused:
        editing.chosen("fi", PAGE, text)
    assert refused.value.field == "text"


@pytest.mark.parametrize("key", ["kit.pgae", "suggest.care", "", "x" * 300, "kit"])
def test_a_phrase_that_no_paper_has_is_refused(key: str) -> None:
    with pytest.raises(Refused, match="No paper has") as refused:
        editing.chosen("fi", key, "x")
    assert refused.value.field == "key"


def test_a_key_that_is_nearly_one_is_told() -> None:
    with pytest.raises(Refused, match=r"did you mean kit\.page\?"):
        editing.chosen("fi", "kit.pgae", "x")


@pytest.mark.parametrize(
    "text", ["{count}: {number}", "{number} {or so} {} { {count} }", "{number}/{count} № 7 © → ½ ₂"]
)
def test_any_order_and_braces_of_ones_own_are_kept(text: str) -> None:
    assert editing.chosen("fi", PAGE, f"  {text} ") == text


def test_what_came_with_the_program_is_no_change() -> None:
    assert editing.chosen("fi", PAGE, shipped("fi")[PAGE]) == ""
    assert editing.chosen("fi", PAGE, "") == ""
    assert editing.chosen("en", PAGE, "{number}  of  {count}") == "{number} of {count}"


def test_a_line_of_ones_own_takes_many_lines_and_no_place() -> None:
    assert editing.chosen("de", "terms.job", "Erstens\r\nZweitens") == "Erstens\nZweitens"
    assert len(editing.chosen("de", "terms.job", "x" * 2000)) == 2000
    with pytest.raises(Refused, match="longer than 2000"):
        editing.chosen("de", "terms.job", "x" * 2001)
    with pytest.raises(Refused, match="nothing is filled in here"):
        editing.chosen("de", "terms.job", "for {price}")


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_phrase_stands_in_a_section_and_its_own_words_are_taken(language: str) -> None:
    sections = editing.sections(language, {})
    found = [entry for section in sections for entry in section.entries]
    assert sorted(entry.key for entry in found) == sorted(key for key in shipped("en") if "suggest." not in key)
    assert sections[0].name == editing.OWN
    assert {entry.key for entry in sections[0].entries} == set(OWN_LINES)
    for entry in found:
        # What came with the program must pass the same checks, or the maker could not change a letter of it.
        changed = f"{entry.text}." if entry.text else "x"
        assert editing.chosen(language, entry.key, changed) == changed


def test_own_lines_come_empty_and_a_suggestion_has_no_place() -> None:
    assert {shipped(language).get(key, "") for key in OWN_LINES for language in LANGUAGES} == {""}
    assert editing.entry("en", "own.care").suggestion
    assert not any(places(shipped("en").get(key, "")) for key in OWN_LINES.values())


def test_a_phrase_that_the_language_has_not_is_still_english() -> None:
    entry = editing.Entry("invoice.due_date", "Due date", "", "")
    assert (entry.text, entry.missing, entry.label) == ("Due date", True, "Due date")
    assert not editing.Entry("terms.job", "", "", "").missing
