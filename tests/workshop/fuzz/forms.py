"""What a page's forms ask: the names of their entries, and what stands in them, read from the page as a browser would."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import parse_qsl, urlsplit

_ROW = re.compile(r"-\d+-")


@dataclass
class Sheet:
    """One form of a page: where it is sent, how, and every entry with what stands in it."""

    action: str
    method: str
    entries: list[tuple[str, str]] = field(default_factory=list)

    @property
    def names(self) -> list[str]:
        return sorted({name for name, _ in self.entries if name != "csrfmiddlewaretoken"})

    @property
    def kinds(self) -> list[str]:
        """The names, of rows that are alike those of one."""
        return sorted({_ROW.sub("-#-", name): name for name in reversed(self.names)}.values())


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.sheets: list[Sheet] = []
        self.inside: Sheet | None = None
        self.select = self.text = ""
        self.first = False
        self.asked: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        name = given.get("name", "")
        if tag == "a":
            self.asked |= {key for key, _ in parse_qsl(urlsplit(given.get("href", "")).query, keep_blank_values=True)}
        if tag == "form":
            self.inside = Sheet(given.get("action", ""), given.get("method", "get").lower())
            self.sheets.append(self.inside)
        if self.inside is None:
            return
        if tag == "select":
            self.select, self.first = name, True
        elif tag == "option" and self.select and given.get("value") and (self.first or "selected" in given):
            # The first choice that says anything, unless another is marked: of an entry that stands twice the last one counts.
            self.inside.entries.append((self.select, given["value"]))
            self.first = False
        elif tag == "textarea":
            self.text = name
            self.inside.entries.append((name, ""))
        elif tag in ("input", "button") and name:
            self.inside.entries.append((name, given.get("value") or _filled(given)))

    def handle_data(self, data: str) -> None:
        if self.text and self.inside is not None:
            self.inside.entries.append((self.text, data.strip()))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.inside = None
        elif tag == "select":
            self.select = ""
        elif tag == "textarea":
            self.text = ""


def _filled(given: dict[str, str]) -> str:
    """What somebody would write into an empty box, so that a form is not sent back for what is missing alone."""
    if given.get("type") in ("hidden", "file", "search"):
        return ""
    if given.get("type") == "date":
        return "2025-12-30"
    return "1" if given.get("type") == "number" or given.get("inputmode") in ("decimal", "numeric") else "Word"


def sheets(page: str) -> list[Sheet]:
    """The forms of a page.

    >>> sheets('<form method="post" action="/a/"><input name="on" value="2025-01-01"></form>')
    [Sheet(action='/a/', method='post', entries=[('on', '2025-01-01')])]
    """
    reader = _Reader()
    reader.feed(page)
    return reader.sheets


def asked(page: str) -> tuple[str, ...]:
    """What a page asks by its address: the entries of its forms that are sent so, and what its links say behind the question mark.

    >>> asked('<a href="?sort=-on&amp;page=2">on</a><form><input name="words"></form>')
    ('page', 'sort', 'words')
    """
    reader = _Reader()
    reader.feed(page)
    typed = {name for sheet in reader.sheets if sheet.method == "get" for name in sheet.names}
    return tuple(sorted(reader.asked | typed))
