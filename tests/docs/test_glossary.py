"""The words: the glossary says what the list says, and what the list replaced is in no page, template or message."""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from tests.docs import pages

LIST = tomllib.loads((pages.ROOT / "workshop" / "words.toml").read_text("utf-8"))
APPS = ("workshop", "costing", "inventory")
FILES = [path for app in APPS for path in sorted((pages.ROOT / app).rglob("*.*"))]
TEMPLATES = [path for path in FILES if path.suffix == ".html"]
MODULES = [path for path in FILES if path.suffix == ".py" and "migrations" not in path.parts]
# Records and the changelog tell what was; the glossary names the words it replaced.
DOCS = [
    page for page in pages.PAGES if "decisions" not in page.parts and page.name not in ("changelog.md", "glossary.md")
]
FROM = {"trade", "IAS 2", "EN 16931", "Directive 2006/112/EC", "textbook", "web", "own"}
BANNED = [phrase for entry in LIST["word"] for phrase in entry["instead"]]
# An address or a file keeps its name: what stands beside a slash is no word of a sentence.
FOUND = re.compile(r"(?<![\w/-])(" + "|".join(map(re.escape, BANNED)) + r")(?![\w/-])", re.IGNORECASE)
TAG = re.compile(r"\{% comment %\}.*?\{% endcomment %\}|\{[%#].*?[%#]\}|\{\{.*?\}\}|<[^>]*>", re.DOTALL)

# What a tag says: an attribute that is shown or read out, or a word given to a part of the page.
SAYS = re.compile(r'\b(?:label|title|alt|placeholder|note|word|caption|text)="([^"{]*)"')
BOLD = re.compile(r"\*\*(.+?)\*\*", re.DOTALL)
FENCE = re.compile(r"^ *```.*?^ *```$", re.MULTILINE | re.DOTALL)
# Plain words inside a sentence, replaced only where they are all a button, a link, a field or a table head says.
LABELS = [label for entry in LIST["word"] for label in entry.get("labels", ())]


def hits(text: str, pieces: Iterable[str] | None = None) -> list[str]:
    """The phrases replaced that a text says, and the labels replaced that it, or one of its pieces, is. Labels begin big."""
    phrases = [found.group(1).lower() for found in FOUND.finditer(" ".join(text.split()))]
    whole = [text] if pieces is None else [" ".join(piece.split()) for piece in pieces]
    return phrases + [label for label in LABELS if label.capitalize() in whole]


def messages(source: str) -> Iterator[str]:
    """The texts of a module that somebody may read: its string literals, without docstrings."""
    tree = ast.parse(source)
    silent = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    # Headings of a workbook that other programs read by name keep the word they had.
    silent |= {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.keyword) and node.arg == "kept"}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent:
            yield node.value


def names(source: str) -> Iterator[str]:
    """The public functions and classes of a module, as words."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ClassDef | ast.FunctionDef) and not node.name.startswith("_"):
            yield re.sub(r"(?<=[a-z])(?=[A-Z])", " ", node.name).replace("_", " ")


def test_each_word_has_a_meaning_and_a_source() -> None:
    assert len(LIST["word"]) > 20
    for entry in LIST["word"]:
        assert entry["meaning"].endswith("."), entry["word"]
        assert entry["from"] in FROM, entry["word"]


def test_the_glossary_says_what_the_list_says() -> None:
    part = pages.sections(pages.text("reference/glossary.md"))
    instead = [
        ", ".join([*entry["instead"], *(f"{label} (a label)" for label in entry.get("labels", ()))])
        for entry in LIST["word"]
    ]
    said = [
        [entry["word"], entry["meaning"], entry["from"], old] for entry, old in zip(LIST["word"], instead, strict=True)
    ]
    assert pages.rows(part["Words"]) == said
    assert pages.rows(part["Kept as they are"]) == [[entry["name"], entry["reason"]] for entry in LIST["kept"]]


@pytest.mark.parametrize("phrase", BANNED)
def test_a_planted_word_is_found(phrase: str) -> None:
    assert hits(f"<b>{phrase.capitalize()}</b> and") == [phrase]
    assert [hit for said in messages(f'"""{phrase}"""\nsaid = "{phrase}"\n') for hit in hits(said)] == [phrase]
    assert not hits(f"x{phrase}x")


@pytest.mark.parametrize("label", LABELS)
def test_a_planted_label_is_found_and_a_sentence_with_its_words_is_not(label: str) -> None:
    page = f'<a href="#">\n  {label.capitalize()} </a> and {label} there'
    assert hits(TAG.sub(" ", page), TAG.split(page)) == [label]
    assert [hit for said in messages(f'said = "{label.capitalize()}"\n') for hit in hits(said)] == [label]
    assert [hit for said in SAYS.findall(f'<a aria-label="{label.capitalize()}" href="x">') for hit in hits(said)] == [
        label
    ]
    said = f"Press **{label.capitalize()}**."
    assert hits(said, BOLD.findall(said)) == [label]
    assert not hits(f"{label.capitalize()} there")
    assert not hits(label)


def test_a_planted_name_is_found() -> None:
    assert [hit for name in names("def how_it_stands(): ...\nclass NotSavedYet: ...") for hit in hits(name)] == [
        "how it stands",
        "not saved yet",
    ]


def test_a_template_says_none_of_the_words_replaced() -> None:
    found = {}
    for path in TEMPLATES:
        page = path.read_text("utf-8")
        said = [*hits(TAG.sub(" ", page), TAG.split(page)), *(hit for said in SAYS.findall(page) for hit in hits(said))]
        if said:
            found[str(path.relative_to(pages.ROOT))] = said
    assert found == {}
    assert len(TEMPLATES) > 100


@pytest.mark.parametrize("path", DOCS, ids=lambda path: str(path.relative_to(pages.ROOT)))
def test_a_page_says_none_of_the_words_replaced(path: Path) -> None:
    page = FENCE.sub("", path.read_text("utf-8"))
    assert hits(page, BOLD.findall(page)) == []


@pytest.mark.thorough
def test_no_message_and_no_public_name_says_a_word_replaced() -> None:
    found = {}
    for path in MODULES:
        source = path.read_text("utf-8")
        said = [hit for text in messages(source) for hit in hits(text)]
        said += [hit for name in names(source) for hit in hits(name, ())]
        if said:
            found[str(path.relative_to(pages.ROOT))] = said
    assert found == {}
