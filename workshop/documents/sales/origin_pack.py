"""Owns the origin pack: where the skins of a piece came from and what was done to them, for a buyer or an inspector.

It tells what is on record and promises nothing more. Must not read any record.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from reportlab.lib.units import mm

from workshop.documents.kit import codes, flow
from workshop.documents.kit.letter import Facts, Party
from workshop.documents.kit.page import A4, Box, Paper
from workshop.documents.kit.table import Column, Table
from workshop.documents.kit.text import TextTooLong
from workshop.documents.words.rules import Words

_SIZE = 8.0
_CODE, _BARS = 9 * mm, 70 * mm


@dataclass(frozen=True)
class OriginSkin:
    """A skin as it came: `came_from` the supplier and how it was got; `weight` and `area` as text, or empty."""

    tag: str
    species: str
    origin: str
    received: date
    came_from: str
    how: str
    weight: str
    area: str


@dataclass(frozen=True)
class OriginStep:
    """What was done in a batch, once or so many times from one day to another; `skipped`: it was not done."""

    batch: str
    step: str
    first: date
    last: date
    times: int = 1
    skipped: bool = False


@dataclass(frozen=True)
class OriginReading:
    """What was read on a day `of` a batch or a skin, as text; what was not read is empty."""

    on: date
    of: str
    ph: str
    warmth: str
    weight: str


@dataclass(frozen=True)
class OriginMaterial:
    """What went in for a batch or for skins: the material by the maker's name, its exact `substance`, and how much for all."""

    material: str
    substance: str
    used_for: str
    first: date
    last: date
    amount: str


@dataclass(frozen=True)
class OriginPack:
    """One piece. `sale` the number of its invoice, empty while it is not sold; `job` that of a customer's own skin; `buyer` is
    empty unless it is asked for.
    """

    maker: Party
    article: str
    headline: str
    method: str
    area: str
    finished: date
    printed: date
    skins: tuple[OriginSkin, ...]
    batches: tuple[str, ...]
    steps: tuple[OriginStep, ...]
    readings: tuple[OriginReading, ...]
    materials: tuple[OriginMaterial, ...]
    sale: str = ""
    sold_on: date | None = None
    buyer: str = ""
    job: str = ""
    words: Words = field(default_factory=Words)


def render(pack: OriginPack, size: Paper = A4) -> bytes:
    """The pack as PDF: on one page with work and readings side by side, else flowing over as many as it takes."""
    words = pack.words
    title = words("origin.numbered", number=pack.article)
    foot = f"{pack.maker.name} · {title} · {words('origin.printed', day=words.day(pack.printed))}"
    said: dict[str, Any] = {"title": title, "author": pack.maker.name, "foot": foot, "words": words}
    if pack.steps and pack.readings:
        with suppress(TextTooLong):
            made, pages = flow.build(_story(pack, beside=True), size, **said)
            if pages == 1:
                return made
    return flow.document(_story(pack), size, **said)


def _story(pack: OriginPack, *, beside: bool = False) -> flow.Story:
    words = pack.words
    steps = [column for column in _steps(words) if len(pack.batches) > 1 or column.title != words("origin.batch")]
    work = _table(words("origin.work"), steps, pack.steps, note=" · ".join(pack.batches))
    readings = _table(words("origin.readings"), _readings(words), pack.readings)
    sold = _facts(_of_sale(pack)) if pack.sale or pack.job else flow.words(words("origin.not_sold"))
    return [
        _head(pack),
        flow.words(pack.headline, size=14, bold=True, before=3 * mm, after=1 * mm),
        _facts(_of_article(pack)),
        *_table(words("origin.skins"), _skins(words), pack.skins),
        *(
            [flow.space(6 * mm), flow.beside([work, readings], (0.56, 0.44), gap=8 * mm)]
            if beside
            else [*work, *readings]
        ),
        *_table(words("origin.materials"), _materials(words), pack.materials, note=words("origin.for_all")),
        flow.together(flow.heading(words("origin.sale")), sold),
    ]


def _head(pack: OriginPack) -> Any:
    def code(on: Any, box: Box) -> None:
        codes.beside(on, box, pack.article, height=_CODE)

    maker = (pack.maker.address, pack.maker.electronic)
    left = [flow.words(pack.maker.name, size=11, bold=True), *flow.paragraphs(maker, before=0)]
    right = [flow.words(pack.words("origin.title"), size=18, bold=True), flow.words(pack.article, size=11, bold=True)]
    tall = _CODE if 0 < codes.taken(pack.article) <= _BARS else codes.side(pack.article)
    right.append(flow.Drawn(tall, code, before=1.5 * mm))
    return flow.beside([left, right], (0.55, 0.45), gap=8 * mm)


def _of_article(pack: OriginPack) -> Facts:
    words = pack.words
    return (
        (words("origin.number"), pack.article),
        (words("origin.finished"), words.day(pack.finished)),
        (words("origin.method"), pack.method),
        (words("origin.area"), pack.area),
    )


def _of_sale(pack: OriginPack) -> Facts:
    words = pack.words
    return (
        (words("origin.job"), pack.job),
        (words("origin.number"), pack.sale),
        (words("origin.day"), words.day(pack.sold_on) if pack.sold_on else ""),
        (words("origin.buyer"), pack.buyer),
    )


def _facts(facts: Facts) -> Any:
    """Facts under their names, side by side; one without words is left out."""
    there = [(label, value) for label, value in facts if value.strip()]
    columns = [[flow.words(label, size=flow.SMALL), flow.words(value, bold=True)] for label, value in there]
    empty: list[flow.Story] = [[] for _ in range(4 - len(columns))]
    return flow.beside([*columns, *empty], [1, 1, 1.4, 1.4])


def _table(title: str, columns: list[Column[Any]], items: Sequence[Any], note: str = "") -> flow.Story:
    """A column in which nothing is on record is left out."""
    there = [column for column in columns if any(any(column.of(item)) for item in items)]
    return [Table(there, items, title=title, note=note, size=_SIZE)] if items else []


def _skins(words: Words) -> list[Column[OriginSkin]]:
    return [
        Column(words("origin.tag"), 20, lambda one: one.tag, code=True),
        Column(words("origin.species"), 38, lambda one: one.species),
        Column(words("origin.origin"), 24, lambda one: one.origin),
        Column(words("origin.received"), 22, lambda one: words.day(one.received)),
        Column(words("origin.came_from"), 48, lambda one: (one.came_from, one.how)),
        Column(words("origin.weight"), 16, lambda one: one.weight, figure=True),
        Column(words("origin.area"), 26, lambda one: one.area),
    ]


def _steps(words: Words) -> list[Column[OriginStep]]:
    def said(one: OriginStep) -> str:
        if one.skipped:
            return words("origin.skipped", step=one.step)
        return one.step if one.times == 1 else words("origin.times", step=one.step, count=one.times)

    return [
        Column(words("origin.day"), 48, lambda one: _days(words, one.first, one.last)),
        Column(words("origin.batch"), 14, lambda one: one.batch),
        Column(words("origin.step"), 64, said),
    ]


def _readings(words: Words) -> list[Column[OriginReading]]:
    return [
        Column(words("origin.day"), 24, lambda one: words.day(one.on)),
        Column(words("origin.of"), 16, lambda one: one.of),
        Column("pH", 9, lambda one: one.ph, figure=True),
        Column(words("origin.warmth"), 23, lambda one: one.warmth, figure=True),
        Column(words("origin.weight"), 16, lambda one: one.weight, figure=True),
    ]


def _materials(words: Words) -> list[Column[OriginMaterial]]:
    return [
        Column(words("origin.day"), 46, lambda one: _days(words, one.first, one.last)),
        Column(words("origin.used_for"), 24, lambda one: one.used_for),
        Column(words("origin.material"), 74, lambda one: " · ".join(filter(None, (one.material, one.substance)))),
        Column(words("origin.amount"), 26, lambda one: one.amount, figure=True),
    ]


def _days(words: Words, first: date, last: date) -> str:
    return words.day(first) if first == last else f"{words.day(first)} – {words.day(last)}"
