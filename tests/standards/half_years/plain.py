"""The half-years worked out anew from their files, by a plain script that knows nothing of the program.

Only the standard library, exact fractions, and the rules as `docs/reference/cost-rules.md` says them. Each figure is what a maker
would get on paper.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace as Record

# In the base of each system. Source of 16 and 128: NIST Handbook 44, appendix C; 36 inches are a yard.
SIZE = {
    "g": ("g", 1), "kg": ("g", 1000), "oz": ("oz", 1), "lb": ("oz", 16),
    "mL": ("mL", 1), "L": ("mL", 1000), "us_fluid_ounce": ("fl", 1), "us_pint": ("fl", 16), "us_gallon": ("fl", 128),
    "inch": ("in", 1), "yard": ("in", 36), "m": ("mm", 1000), "piece": ("pc", 1),
}  # fmt: skip
RANK = {"opening": 0, "delivery": 1, "use": 2, "count": 3}


def rows(folder: Path, name: str) -> Iterator[Record]:
    path = folder / f"{name}.csv"
    if path.exists():
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                yield Record(**row)


def cents(exact: Fraction) -> int:
    """Half up, away from zero, in the smallest coin."""
    whole = (2 * abs(exact) * 100 + 1) // 2
    return int(whole) if exact >= 0 else -int(whole)


def money(coins: int) -> str:
    sign = "-" if coins < 0 else ""
    return f"{sign}{abs(coins) // 100}.{abs(coins) % 100:02d}"


def coins(text: str) -> int:
    return cents(Fraction(text or 0))


def split(total: int, weights: list[Fraction]) -> list[int]:
    """By largest remainder, the later first among equals."""
    whole = sum(weights)
    exact = [Fraction(total) * weight / whole for weight in weights]
    found = [int(part) for part in exact]
    order = sorted(range(len(exact)), key=lambda at: (exact[at] - found[at], at), reverse=True)
    for at in order[: total - sum(found)]:
        found[at] += 1
    return found


def amount(quantity: str, unit: str) -> Fraction:
    return Fraction(quantity) * SIZE[unit][1]


class Shelf:
    """One material: lots of (quantity, value in coins); under the average there is one lot."""

    def __init__(self, fifo: bool) -> None:
        self.fifo, self.lots = fifo, list[list[Fraction | int]]()

    @property
    def there(self) -> Fraction:
        return sum((Fraction(lot[0]) for lot in self.lots), Fraction(0))

    @property
    def value(self) -> int:
        return sum(int(lot[1]) for lot in self.lots)

    def bring(self, quantity: Fraction, value: int) -> None:
        self.lots.append([quantity, value])
        if not self.fifo:
            self.lots = [[self.there, self.value]]

    def take(self, quantity: Fraction) -> int:
        worth = 0
        while quantity:
            lot = self.lots[0]
            part = min(quantity, Fraction(lot[0]))
            out = int(lot[1]) if part == lot[0] else cents(Fraction(lot[1]) / 100 * part / Fraction(lot[0]))
            worth += out
            lot[0], lot[1], quantity = Fraction(lot[0]) - part, int(lot[1]) - out, quantity - part
            if not lot[0]:
                self.lots.pop(0)
        return worth


class HalfYear:
    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.keys = {row.key: row.value for row in rows(folder, "workshop")}
        self.unit = {row.code: row.unit for row in rows(folder, "materials")}
        self._stock()
        self._pieces()
        self._sales()

    # The shelf

    def _events(self) -> list[tuple[str, str, Record]]:
        found: list[tuple[str, str, Record]] = []
        for row in rows(self.folder, "materials"):
            if row.opening_date:
                found.append((row.opening_date, "opening", row))
        for kind, name in (("delivery", "deliveries"), ("use", "uses"), ("count", "counts")):
            found += [(row.date, kind, row) for row in rows(self.folder, name)]
        return sorted(found, key=lambda event: (event[0], RANK[event[1]]))

    def _landed(self) -> dict[tuple[str, str], list[int]]:
        """By delivery: the value of each of its lines with its share of the carriage, without the tax that is deducted."""
        lines: dict[tuple[str, str], list[Record]] = defaultdict(list)
        for row in rows(self.folder, "deliveries"):
            lines[row.date, row.ref].append(row)
        found = {}
        for key, each in lines.items():
            typed = [cents(Fraction(row.packs) * Fraction(row.pack_price)) for row in each]
            rates = [getattr(row, "tax_percent", "") for row in each] + [getattr(each[0], "carriage_tax_percent", "")]
            *goods, freight = self._deducted([*typed, coins(each[0].carriage)], rates)
            carriage = split(freight, [Fraction(line) for line in goods])
            found[key] = [line + part for line, part in zip(goods, carriage, strict=True)]
        return found

    def _deducted(self, amounts: list[int], rates: list[str]) -> list[int]:
        """Amounts of one bill, tax in them, without it: the tax of each rate is worked out once and split by the amounts."""
        found = list(amounts)
        for rate in sorted({rate for rate in rates if rate}):
            mine = [at for at, each in enumerate(rates) if each == rate and amounts[at]]
            whole = sum(amounts[at] for at in mine)
            net = cents(Fraction(whole, 100) * 100 / (100 + Fraction(rate)))
            self.deducted[rate] += whole - net
            for at, part in zip(mine, split(whole - net, [Fraction(amounts[at]) for at in mine]), strict=True):
                found[at] -= part
        return found

    def _stock(self) -> None:
        fifo = self.keys.get("cost_flow") == "fifo"
        self.deducted: dict[str, int] = defaultdict(int)  # by rate, on goods, skins and costs
        landed = self._landed()
        self.shelf = {code: Shelf(fifo) for code in self.unit}
        self.opening = self.bought = 0
        self.box: dict[str, int] = {}
        self.used: dict[tuple[str, str], int] = defaultdict(int)  # by batch and day
        self.gone: dict[str, int] = defaultdict(int)
        self.months: dict[tuple[str, str], int] = defaultdict(int)  # by month and material: what went into batches
        self.month_quantity: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
        for on, kind, row in self._events():
            if kind == "opening":
                self.shelf[row.code].bring(amount(row.opening_quantity, row.unit), coins(row.opening_value))
                self.opening += coins(row.opening_value)
            elif kind == "delivery":
                value = landed[row.date, row.ref].pop(0)
                self.shelf[row.material].bring(Fraction(row.packs) * amount(row.pack_quantity, row.unit), value)
                self.bought += value
            elif kind == "use":
                quantity = amount(row.quantity, row.unit)
                value = self.shelf[row.material].take(quantity)
                if row.batch:
                    self.used[row.batch, on] += value
                    self.months[on[:7], row.material] += value
                    self.month_quantity[on[:7], row.material] += quantity / SIZE[self.unit[row.material]][1]
                else:
                    self.gone[row.reason] += value
                    if row.sale:
                        self.box[row.sale] = value
            else:
                shelf = self.shelf[row.material]
                self.gone["count"] += shelf.take(shelf.there - amount(row.quantity, row.unit))

    def on_hand(self, code: str) -> Fraction:
        return self.shelf[code].there / SIZE[self.unit[code]][1]

    # Skins and pieces

    def _pieces(self) -> None:
        self.skins = {row.tag: row for row in rows(self.folder, "skins")}
        self.lost = {row.tag: row.date for row in rows(self.folder, "losses")}
        finished = {tag: row.date for row in rows(self.folder, "articles") for tag in row.skins.split()}
        left = {tag: finished.get(tag) or self.lost.get(tag) or "9999-12-31" for tag in self.skins}
        batches = {row.batch: row for row in rows(self.folder, "batches")}

        def there(batch: str, on: str) -> list[str]:
            return [tag for tag in batches[batch].skins.split() if batches[batch].start <= on <= left[tag]]

        self.price = {tag: self._beside(coins(row.price), row) for tag, row in self.skins.items()}
        self.book = {tag: Fraction(price, 100) for tag, price in self.price.items()}
        self.minutes: dict[str, Fraction] = defaultdict(Fraction)
        self.own: dict[str, Fraction] = defaultdict(Fraction)
        self.laced: dict[str, int] = defaultdict(int)
        for (batch, on), value in self.used.items():
            for tag in (who := there(batch, on)):
                self.book[tag] += Fraction(value, 100) / len(who)
        self.helped = self.making = 0
        for row in rows(self.folder, "labour"):
            who = row.skins.split() or there(row.batch, row.date)
            paid, spent = coins(row.paid), int(row.minutes)
            self.helped += paid
            self.making += 0 if paid else spent
            for tag in who:
                self.book[tag] += Fraction(paid, 100) / len(who)
                self.minutes[tag] += Fraction(spent, len(who))
                self.own[tag] += Fraction(0 if paid else spent, len(who))
                self.laced[tag] += row.kind == "lace"
        wage, overhead, wear = (
            Fraction(self.keys[name]) for name in ("wage_per_hour", "overhead_per_hour", "frame_wear")
        )
        self.wage, self.piece = wage, dict[str, Record]()
        together: dict[tuple[str, str], list[Record]] = defaultdict(list)
        for row in rows(self.folder, "articles"):
            tags, part = row.skins.split(), Fraction(row.share or 1)
            book = sum((self.book[tag] for tag in tags), Fraction(0)) * part
            own, spent = (sum((of[tag] for tag in tags), Fraction(0)) * part for of in (self.own, self.minutes))
            laced = sum(self.laced[tag] for tag in tags) * part
            full = book + own / 60 * wage + spent / 60 * overhead + laced * wear
            piece = Record(exact=book, own=own / 60, full=cents(full), area=Fraction(row.area), tags=tags)
            self.piece[row.article] = piece
            together[row.date, row.skins].append(piece)
        for pieces in together.values():
            total = cents(sum((piece.exact for piece in pieces), Fraction(0)))
            for piece, book in zip(pieces, split(total, [piece.exact for piece in pieces]), strict=True):
                piece.book = book

    def _beside(self, amount: int, row: Record) -> int:
        """An amount of a file of skins or costs, which stands without its tax; the tax is worked out beside it."""
        if rate := getattr(row, "tax_percent", ""):
            self.deducted[rate] += cents(Fraction(amount, 100) * Fraction(rate) / 100)
        return amount

    def floors(self, number: str) -> dict[str, int]:
        """Least prices through the usual channel as the maker types them: what is left after fee and tax covers the cost."""
        piece, where = self.piece[number], self.channel
        percent, each = Fraction(where.fee_percent or 0) / 100, Fraction(getattr(where, "fixed_cost", "") or 0)
        each += Fraction(getattr(where, "fee_fixed", "") or 0)
        tax = Fraction(self.keys["vat_percent"]) / 100 if self.keys.get("tax_number") else Fraction(0)
        shown = {
            "cash": Fraction(piece.book, 100),
            "wage": Fraction(cents(Fraction(piece.book, 100) + piece.own * self.wage), 100),
            "full": Fraction(piece.full, 100),
        }
        found = {}
        for name, cost in shown.items():
            exact = (
                (cost + each) * 100 / (1 - percent * (1 + tax))
            )  # a fee is taken from what the buyer pays, tax included
            net = -(-exact.numerator // exact.denominator)
            inside = self.keys.get("prices_with_tax") != "no"
            found[name] = net + cents(Fraction(net, 100) * tax) if inside else net
        return found

    # Selling

    def _sales(self) -> None:
        registered, inside = bool(self.keys.get("tax_number")), self.keys.get("prices_with_tax") != "no"
        usual = self.keys["vat_percent"] if registered else "0"
        self.papers: dict[str, Record] = {}
        for row in rows(self.folder, "sales"):
            paper = self.papers.setdefault(row.sale, Record(on=row.date, lines=[], kind=row.kind, credits=row.credits))
            if row.kind == "credit":
                of = self.papers[row.credits].lines[int(row.of_line) - 1]
                paper.lines.append(Record(**{**vars(of), "typed": -of.typed}))
                continue
            typed = coins(row.asked) - coins(row.discount)
            rate = row.tax_percent or usual
            paper.lines.append(
                Record(typed=typed, rate=Fraction(rate), reason=row.relief, thing=row.article or row.job, kind=row.line)
            )
        self.by_rate: dict[tuple[Fraction, str], Record] = defaultdict(lambda: Record(net=0, tax=0, gross=0))
        for paper in self.papers.values():
            paper.net = paper.tax = 0
            rates: dict[tuple[Fraction, str], list[Record]] = defaultdict(list)
            for line in paper.lines:
                rates[line.rate, line.reason].append(line)
            for (rate, reason), lines in rates.items():
                typed = sum(line.typed for line in lines)
                if inside:
                    net = cents(Fraction(typed, 100) / (1 + rate / 100))
                    tax = typed - net
                else:
                    net, tax = typed, cents(Fraction(typed, 100) * rate / 100)
                for line, part in zip(lines, split_signed(net, [line.typed for line in lines]), strict=True):
                    line.net = part
                found = self.by_rate[rate, reason]
                found.net, found.tax, found.gross = found.net + net, found.tax + tax, found.gross + net + tax
                paper.net, paper.tax = paper.net + net, paper.tax + tax
        self.channel = next(row for row in rows(self.folder, "channels") if row.usual == "yes")
        self.spent: dict[str, int] = defaultdict(int)
        self.of_paper: dict[str, int] = defaultdict(int)
        for row in rows(self.folder, "expenses"):
            self.spent[row.kind] += self._beside(coins(row.amount), row)
            self.of_paper[row.sale] += coins(row.amount)
        self.net = sum(paper.net for paper in self.papers.values())
        self.tax = sum(paper.tax for paper in self.papers.values())

    def standing(self) -> dict[str, str]:
        """By article or job sold and not credited: its paper."""
        found: dict[str, str] = {}
        for number, paper in self.papers.items():
            for line in paper.lines:
                if line.thing and line.typed > 0:
                    found[line.thing] = number
                elif line.thing:
                    found.pop(line.thing)
        return found

    # The year

    def stock_at_the_end(self) -> Record:
        materials = sum(shelf.value for shelf in self.shelf.values())
        worked = {tag for piece in self.piece.values() for tag in piece.tags} | set(self.lost)
        raw = sum(price for tag, price in self.price.items() if tag not in worked)
        jobs = {row.job: row.skin for row in rows(self.folder, "jobs")}
        sold = {jobs.get(thing, thing) for thing in self.standing()}
        finished = sum(piece.book for number, piece in self.piece.items() if number not in sold)
        return Record(consumables=materials, raw_skins=raw, finished=finished, total=materials + raw + finished)

    def profit(self) -> Record:
        skins = sum(self.price.values())
        bought = self.bought + skins + self.helped
        closing = self.stock_at_the_end().total
        selling = sum(value for kind, value in self.spent.items() if kind != "overhead")
        used = self.opening + bought - closing
        with_stock = self.net - (used - self.gone["own_use"]) - selling - self.spent["overhead"]
        return Record(
            opening=self.opening, materials=self.bought, skins=skins, closing=closing, used=used,
            selling=selling, stock_basis=with_stock, cash_basis=self.received() - bought - selling - self.spent["overhead"]
            + self.gone["own_use"],
        )  # fmt: skip

    def received(self) -> int:
        """What came without its tax, a deposit with all of it: tax belongs to the paper, rounded once a paper."""
        jobs = {
            line.thing: number for number, paper in self.papers.items() for line in paper.lines if line.kind == "work"
        }
        came: dict[str, int] = defaultdict(int)
        for row in rows(self.folder, "payments"):
            came[row.sale or jobs.get(row.job, row.job)] += coins(row.amount)
        for row in rows(self.folder, "expenses"):
            came[row.sale] += coins(row.amount) if row.withheld == "yes" else 0
        found = 0
        for number, amount in came.items():
            of = [paper for name, paper in self.papers.items() if number in (name, paper.credits)]
            gross = sum(paper.net + paper.tax for paper in of)
            net = sum(paper.net for paper in of)
            found += cents(Fraction(amount, 100) * net / gross) if of else amount
        return found

    def per_hour(self) -> dict[str, int]:
        """By piece or job: what a sale that stands left for each of the maker's own hours, selling costs shared by price."""
        jobs = {row.job: row.skin for row in rows(self.folder, "jobs")}
        found = {}
        for thing, number in self.standing().items():
            paper = self.papers[number]
            whole = sum(line.net for line in paper.lines if line.thing or line.kind == "postage")
            mine = sum(line.net for line in paper.lines if line.thing == thing)
            with_post = mine + (whole - mine if len([line for line in paper.lines if line.thing]) == 1 else 0)
            piece = self.piece[jobs.get(thing, thing)]
            costs = Fraction(self.of_paper[number] + self.box.get(number, 0), 100) * with_post / whole
            found[thing] = cents((Fraction(with_post, 100) - costs - piece.exact) / piece.own)
        return found


def split_signed(total: int, weights: list[int]) -> list[int]:
    if total < 0:
        return [-part for part in split(-total, [Fraction(-weight) for weight in weights])]
    return split(total, [Fraction(weight) for weight in weights]) if total else [0] * len(weights)
