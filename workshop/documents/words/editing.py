"""Owns what a maker may make of a phrase, and how phrases are laid out to be read. Knows no page and no database."""

import difflib
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass

from inventory.base import checks
from inventory.base.wording.models import LONGEST
from inventory.errors import Refused
from workshop.documents.words.rules import ENGLISH, OWN_LINES, known, places, shipped

SHORT = 200
SUGGESTIONS = "suggest."
OWN, EVERY = "own", "kit"
TITLES = {OWN: "Your own lines", EVERY: "Every paper"}
OWN_LABELS = {
    "terms.job": "Terms of a job",
    "terms.gallery": "Terms of a gallery",
    "terms.payment": "Terms of payment",
    "terms.returns": "Returns",
    "terms.warranty": "Warranty",
    "own.care": "Care",
}

# From here on a sign of the class "other symbol" is a picture or an emoji, which the type of papers does not have.
_PICTURES = 0x2190
_JOINERS = "\u200d\ufe0e\ufe0f"


@dataclass(frozen=True)
class Entry:
    """One phrase of one language. `came`: what the program brings in it, nothing where it falls back to English."""

    key: str
    english: str
    came: str
    own: str
    suggestion: str = ""

    @property
    def text(self) -> str:
        """What is printed."""
        return self.own or self.came or self.english

    @property
    def mine(self) -> bool:
        """Whether it is a line that only the maker can fill."""
        return self.key in OWN_LINES

    @property
    def missing(self) -> bool:
        """Whether the language has no words for it, so that English is printed."""
        return not (self.own or self.came or self.mine)

    @property
    def label(self) -> str:
        """Its place on the paper, in plain words.

        >>> Entry("invoice.due_date", "Due date", "", "").label
        'Due date'
        """
        return OWN_LABELS.get(self.key) or self.key.partition(".")[2].replace(".", ", ").replace("_", " ").capitalize()

    @property
    def places(self) -> list[str]:
        """What the program fills in, as it stands in the phrase."""
        return [f"{{{name}}}" for name in sorted(places(self.english))]

    @property
    def several(self) -> bool:
        """Whether it may take more than one line."""
        return self.mine or "\n" in self.english

    @property
    def longest(self) -> int:
        """How many characters it may take: twice the English, at least 200; a line of the maker's own 2000."""
        return LONGEST if self.mine else min(LONGEST, max(SHORT, 2 * len(self.english)))


@dataclass(frozen=True)
class Section:
    """The phrases of one paper."""

    name: str
    entries: tuple[Entry, ...]

    @property
    def title(self) -> str:
        return TITLES.get(self.name) or self.name.replace("_", " ").capitalize()

    @property
    def changed(self) -> int:
        return sum(1 for entry in self.entries if entry.own)


def sections(language: str, own: Mapping[str, str]) -> list[Section]:
    """All phrases by paper, with what the maker says: own lines first, then what every paper says, then each paper."""
    found: dict[str, list[Entry]] = {OWN: [], EVERY: []}
    for key in shipped(ENGLISH):
        if not key.startswith(SUGGESTIONS):
            name = OWN if key in OWN_LINES else key.partition(".")[0]
            found.setdefault(name, []).append(entry(language, key, own.get(key, "")))
    return [Section(name, tuple(entries)) for name, entries in found.items() if entries]


def entry(language: str, key: str, own: str = "") -> Entry:
    """A phrase by its key; refused where no paper has it."""
    english, came = shipped(ENGLISH), shipped(language)
    if key not in english or key.startswith(SUGGESTIONS):
        near = difflib.get_close_matches(key, [each for each in english if not each.startswith(SUGGESTIONS)], n=1)
        hint = f"did you mean {near[0]}?" if near else "the keys are under Setup, Words on papers."
        raise Refused(f"No paper has the phrase {key[:80]!r}; {hint}", field="key")
    suggestion = came.get(OWN_LINES.get(key, ""), "")
    return Entry(key, english[key], came.get(key, ""), own, suggestion)


def chosen(language: str, key: str, text: str) -> str:
    """What the maker says at `key`, checked: nothing where it is what came with the program.

    Refused: a place of the phrase that is lost or made up, a picture sign, a control character, a second line where there is
    room for one, and more characters than the paper has room for.
    """
    phrase = entry(known(language), key)
    text = checks.text(text, "The phrase", field="text", longest=phrase.longest)
    if not phrase.several and "\n" in text:
        raise Refused("This phrase stands on one line; take the line break out.", field="text")
    text = re.sub(" +", " ", text)
    if picture := next((sign for sign in text if _is_picture(sign)), ""):
        raise Refused(f"“{picture}” cannot be printed: papers have letters, no pictures. Take it out.", field="text")
    if text:
        _refuse_other_places(phrase, text)
    return "" if text == (phrase.came or phrase.english) else text


def _is_picture(sign: str) -> bool:
    kind = unicodedata.category(sign)
    return sign in _JOINERS or kind in ("Cn", "Co") or (kind in ("So", "Sk") and ord(sign) >= _PICTURES)


def _refuse_other_places(phrase: Entry, text: str) -> None:
    asked, given = places(phrase.english), places(text)
    if lost := asked - given:
        raise Refused(
            f"{_named(lost)} is missing: the program fills it in when it prints. Write it, in braces, where it belongs.",
            field="text",
        )
    if invented := given - asked:
        there = f"; here there is {_named(asked)}" if asked else ", and nothing is filled in here"
        raise Refused(f"{_named(invented)} is not known{there}. Leave it out.", field="text")


def _named(names: set[str]) -> str:
    return ", ".join(f"{{{name}}}" for name in sorted(names))
