"""The kinds of cost and the headings of forms that come with the program. Reads its one file; knows no database."""

import tomllib
from dataclasses import dataclass
from pathlib import Path

STOCK = "stock"  # stands among the kinds of a heading for the stock that was used, which is no entry of cost


@dataclass(frozen=True)
class ShippedKind:
    """A kind of cost by its code: a cost of `selling` or of the `year`; `asks` for a distance, a life, a person or nothing."""

    code: str
    name: str
    place: str
    asks: str = ""


@dataclass(frozen=True)
class ShippedHeading:
    """A line of a form, and the kinds of cost that come under it."""

    line: str
    words: str
    kinds: tuple[str, ...]


@dataclass(frozen=True)
class TaxForm:
    """The headings of a form, and what is to be said of them."""

    name: str
    note: str
    headings: tuple[ShippedHeading, ...]

    def of(self, kind: str) -> str:
        """The words of the heading that a kind comes under; nothing where the form has none."""
        return next((heading.words for heading in self.headings if kind in heading.kinds), "")


_READ = tomllib.loads(Path(__file__).with_suffix(".toml").read_text("utf-8"))

KINDS = {row["code"]: ShippedKind(**row) for row in _READ["kind"]}
FORMS = {
    row["name"]: TaxForm(
        row["name"],
        row["note"],
        tuple(ShippedHeading(line, words, tuple(kinds)) for line, words, kinds in row["headings"]),
    )
    for row in _READ["form"]
}
PLAIN = next(iter(FORMS))
