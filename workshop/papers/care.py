"""Owns the care label: how to keep a skin, by the way it was tanned, in words.

Words and never care signs: the signs are a trade mark and belong to textiles. Must not read any record.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from reportlab.lib.units import mm

from workshop.papers import fonts, kit
from workshop.papers.errors import UnknownMethod
from workshop.papers.kit import Box, Paper
from workshop.papers.text import LEADING, Block, wrap
from workshop.papers.wording import about, opened

METHODS = {
    "alum_tawed": "Alum-tawed",
    "bark": "Bark-tanned",
    "oil_smoked": "Oil-tanned and smoked",
    "synthetic": "Synthetic or brush-on oil",
}


@dataclass(frozen=True)
class CareWords:
    """What the owner should do, must not do, and the reason, for one way of tanning."""

    title: str
    do: tuple[str, ...]
    do_not: tuple[str, ...]
    why: str


WORDS = {
    "alum_tawed": CareWords(
        title=METHODS["alum_tawed"],
        do=(
            "Shake and brush it outdoors, or vacuum it on low.",
            "Wipe a mark with a cloth that is only just damp. Dry it flat, away from heat.",
            "Keep it dry and airy, out of strong sun.",
            "Check both sides and the folds for moth, spring and autumn.",
        ),
        do_not=(
            "Never wash or soak it, by hand or by machine.",
            "Do not leave it in rain or on a wet floor.",
            "Do not dry it by a stove or radiator.",
        ),
        why="Alum keeps this skin soft, and water takes the alum out. A washed skin dries stiff.",
    ),
    "bark": CareWords(
        title=METHODS["bark"],
        do=(
            "Wipe with a wrung-out sponge, all over, so that no ring is left.",
            "Dry it slowly in the shade, away from heat.",
            "When it feels dry, rub in a thin coat of leather oil. Try a hidden spot first.",
            "If it has hair, check for moth, spring and autumn.",
        ),
        do_not=(
            "Do not soak it or put it in a machine.",
            "Do not dry it by a stove, a radiator or in full sun.",
            "Do not leave wet iron on it: that marks it black.",
        ),
        why="Bark tan stays in when the leather gets damp, but the oil does not. It darkens with light, oil and use.",
    ),
    "oil_smoked": CareWords(
        title=METHODS["oil_smoked"],
        do=(
            "Brush or air it first; often that is enough.",
            "If it must be washed: by hand, cool, with a little mild soap. Rinse well, press out in a towel.",
            "Pull and work it in every direction until it is dry, or it sets hard.",
            "Check for moth, spring and autumn.",
        ),
        do_not=(
            "Not smoked, or not sure? Treat it as alum-tawed and do not wash it.",
            "No hot water, no machine, no tumble dryer.",
            "Do not dry it by a stove or radiator.",
        ),
        why="Smoke sets the oil in the fibres, so the skin can get wet and be worked soft again.",
    ),
    "synthetic": CareWords(
        title=METHODS["synthetic"],
        do=(
            "Follow the sheet of the tan's supplier; ask for it.",
            "Brush, shake or vacuum on low first.",
            "If the sheet allows washing: by hand, cool, with pH-neutral soap, at your own risk.",
            "Dry it flat in the shade; stretch and comb it while damp.",
            "Check for moth, spring and autumn.",
        ),
        do_not=(
            "No washing at all if the sheet does not allow it.",
            "No soaking, hot water, bleach or softener.",
            "No tumble dryer, stove or radiator.",
        ),
        why="These tans differ from one supplier to the next, so the supplier's sheet comes before this card.",
    ),
}


@dataclass(frozen=True)
class CareLabel:
    """One article's care label. `area_text` such as "about 101 dm2 (10.9 sq ft)", or empty; `batch` may be empty."""

    method: str
    article: str
    kind: str
    species: str
    area_text: str
    maker: str
    postal: str
    electronic: str
    batch: str

    def __post_init__(self) -> None:
        if self.method not in WORDS:
            raise UnknownMethod(self.method, METHODS)


MARGIN = 6 * mm


NUMBER_SIZE = 10.2 * mm / kit.FIGURE_HEIGHT  # figures of 10 mm and a hair, to be read across a tub


_BODY, _BODY_SMALLEST = 10.5, 6.5


_FOOT = 25 * mm


def render(label: CareLabel, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """The label as PDF: an A6 page a copy, or laid on `sheet` (A4 takes four) to cut apart."""

    def draw(on: Any, box: Box) -> None:
        _card(on, box, label)

    return kit.cards(draw, kit.A6, copies=copies, sheet=sheet, title=f"Care label {label.article}", author=label.maker)


def _card(on: Any, page: Box, label: CareLabel) -> None:
    rest = page.inset(MARGIN)
    number, rest = rest.cut_top(NUMBER_SIZE * LEADING)
    kit.text(on, number, label.article, size=NUMBER_SIZE, smallest=14, bold=True, whole="article number", one_line=True)
    name, rest = rest.cut_top(8 * mm)
    kit.text(on, name, label.kind, size=14, smallest=7, bold=True)
    facts, rest = rest.cut_top(8 * mm, gap=2 * mm)
    kit.text(on, facts, _facts(label), size=9, smallest=6)
    words, foot = rest.cut_top(rest.height - _FOOT, gap=3 * mm)
    _words(on, words, WORDS[label.method])
    _foot(on, foot, label)


def _facts(label: CareLabel) -> str:
    made = " · ".join(filter(None, (opened(label.species), METHODS[label.method])))
    return "\n".join(filter(None, (made, about(label.area_text))))


def _foot(on: Any, box: Box, label: CareLabel) -> None:
    kit.rule(on, box)
    _, box = box.cut_top(0, gap=2 * mm)
    if kit.barcodable(label.article):
        code, box = box.cut_top(9 * mm, gap=1 * mm)
        taken = kit.barcode(on, code, label.article)
        _, beside = code.cut_left(min(taken, code.width), gap=3 * mm)
        if label.batch and beside.width > 20 * mm:
            kit.text(on, beside, f"Batch {label.batch}", size=9, smallest=6, align="right", middle=True)
        elif label.batch:
            line, box = box.cut_top(3.2 * mm)
            kit.text(on, line, f"Batch {label.batch}", size=7.5, smallest=5.5, one_line=True)
    elif label.batch:
        line, box = box.cut_top(4 * mm)
        kit.text(on, line, f"Batch {label.batch}", size=8, smallest=5.5, one_line=True)
    maker = "\n".join(filter(None, (label.maker, label.postal, label.electronic)))
    kit.text(on, box, maker, size=8.5, smallest=5, whole="maker's address")


@dataclass(frozen=True)
class _Item:
    """A block of the care words with the room before it and how far it is set in."""

    block: Block
    before: float
    indent: float
    bullet: bool = False
    framed: bool = False


def _words(on: Any, box: Box, words: CareWords) -> None:
    """The largest size at which all the words fit; our own words always fit, and a test holds that."""
    size = _BODY
    items = _items(words, size, box.width)
    while _height(items) > box.height and size > _BODY_SMALLEST:
        size -= 0.25
        items = _items(words, size, box.width)
    y = box.top
    frame = [y, y]
    for item in items:
        y -= item.before
        if item.framed and frame[0] == box.top:
            frame[0] = y + _PAD
        spot = Box(box.x + item.indent, y - item.block.height, box.width - item.indent, item.block.height)
        if item.bullet:
            on.circle(spot.x - 5, spot.top - item.block.size * 0.65, 1.1, stroke=0, fill=1)
        y -= kit.put(on, spot, item.block)
    on.setLineWidth(1.2)
    on.rect(box.x, y - _PAD, box.width, frame[0] - y + _PAD)


_PAD = 4.0


_BULLET = 10.0


def _height(items: list[_Item]) -> float:
    return sum(item.before + item.block.height for item in items) + _PAD


def _items(words: CareWords, size: float, width: float) -> list[_Item]:
    def block(text: str, indent: float, *, bold: bool = False, larger: float = 0) -> Block:
        font = fonts.BOLD if bold else fonts.REGULAR
        return Block(tuple(wrap(text, font, size + larger, width - indent - _PAD)), font, size + larger)

    def bullets(texts: tuple[str, ...], indent: float, *, framed: bool) -> list[_Item]:
        return [_Item(block(text, indent), 1.5, indent, bullet=True, framed=framed) for text in texts]

    return [
        _Item(block(words.why, 0), 0, 0),
        _Item(block("Do", 0, bold=True, larger=1), 4, 0),
        *bullets(words.do, _BULLET, framed=False),
        _Item(block("Do not", _PAD, bold=True, larger=1), 5 + _PAD, _PAD, framed=True),
        *bullets(words.do_not, _PAD + _BULLET, framed=True),
    ]
