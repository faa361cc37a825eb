"""Rows of materials bought: each a delivery of one line, or a cost where the maker says that it is no stock."""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import ClassVar

from costing.models import Expense
from costing.sell.expenses import services as expenses
from inventory import money, units
from inventory.base import selectors as workshop
from inventory.deliveries import selectors as deliveries_read, services as deliveries
from inventory.errors import Refused
from inventory.materials import services as materials
from inventory.models import Material, Supplier
from inventory.permits import Person
from inventory.suppliers import services as suppliers
from workshop.setup.bring.questions import NOT_BROUGHT, OWN_UNIT, UNITS, Question
from workshop.setup.bring.reading import Row
from workshop.setup.bring.values import Measure, Unread, unit_of
from workshop.setup.bring.writing import Writer, code_from

NEW, COST = "new", "cost:"


class Purchases(Writer):
    heads: ClassVar = ("Date", "Material", "Amount", "Paid", "Supplier")
    identity: ClassVar = ("on", "material", "quantity", "packs", "total", "each", "supplier")

    def __init__(self, rows: Sequence[Row], answers: Mapping[str, str], by: Person) -> None:
        super().__init__(rows, answers, by)
        self.there: dict[str, Material] = {}
        self.named: dict[str, Material] = {}
        self.look_again()
        self.names: dict[str, str] = {}
        self.units: dict[str, Counter[str]] = {}
        for row in rows:
            name = str(row.found["material"])
            self.names.setdefault(name.casefold(), name)
            unit = self.written_unit(row)
            seen = self.units.setdefault(name.casefold(), Counter())
            if unit:
                seen[unit] += 1

    def look_again(self) -> None:
        self.there = {material.code.casefold(): material for material in Material.objects.order_by("pk")}
        self.named = {material.name.casefold(): material for material in self.there.values()}

    def questions(self) -> list[Question]:
        found = []
        costs = tuple((f"{COST}{kind.value}", f"no stock: {kind.label.lower()}") for kind in Expense.Kind)
        known = tuple((material.code, f"{material.name} ({material.code})") for material in self.there.values())
        choices = ((NEW, "a new material"), (NOT_BROUGHT, "not brought in"), *known, *costs)
        for key, name in self.names.items():
            like = self.named.get(key) or self.there.get(key)
            preset = self.answers.get(f"material:{key}") or (like.code if like else NEW)
            unit = self.units[key].most_common(1)
            seen = f"in {units.label(unit[0][0])}" if unit else "without a unit"
            found.append(Question(f"material:{key}", name, choices, preset, seen, needed=True, group="Materials"))
        if any(not row.waits and not self.written_unit(row) for row in self.rows):
            given = ((OWN_UNIT, "in each material's own unit"), *UNITS)
            found.append(
                Question("unit", "Amounts without a unit are", given, self.answers.get("unit", ""), needed=True)
            )
        if any(not row.found.get("supplier") for row in self.rows):
            found.append(
                Question("supplier", "Supplier where none is named", (), self.answers.get("supplier", ""), needed=True)
            )
        return found

    def written_unit(self, row: Row) -> str:
        """The unit in the amount's own cell, or in the column of units; empty without either."""
        amount, word = row.found.get("quantity"), row.found.get("unit")
        if isinstance(amount, Measure) and amount.unit:
            return amount.unit
        try:
            given = {
                name.removeprefix("unit:"): unit for name, unit in self.answers.items() if name.startswith("unit:")
            }
            return unit_of(str(word), given) if word else ""
        except Unread:
            return ""

    def faults(self, row: Row) -> list[tuple[str, str]]:
        if row.found.get("unit") and not self.written_unit(row):
            return [("unit", "not a unit that is known")]
        if "total" not in row.found and "each" not in row.found:
            return [("total", "no price; write 0 for what was given to you")]
        return []

    def unit(self, row: Row, material: Material | None) -> str:
        written = self.written_unit(row)
        if written:
            return written
        answer = self.answers.get("unit", "")
        if answer and answer != OWN_UNIT:
            return answer
        seen = self.units[str(row.found["material"]).casefold()].most_common(1)
        if material is not None:
            return material.unit
        if not seen:
            raise Refused(
                "No row says what unit this material is counted in. Write one beside an amount.", field="quantity"
            )
        return seen[0][0]

    def meant(self, row: Row) -> str:
        key = str(row.found["material"]).casefold()
        like = self.named.get(key) or self.there.get(key)
        return self.answers.get(f"material:{key}") or (like.code if like else NEW)

    def passes(self, row: Row) -> bool:
        return self.meant(row) == NOT_BROUGHT

    def paid(self, row: Row) -> tuple[Decimal, Decimal, Decimal, str]:
        """Packs, contents of one, the price of one pack, and which field says it."""
        measured = row.found["quantity"]
        assert isinstance(measured, Measure)  # noqa: S101 - the field holds an amount
        packs = row.found.get("packs", measured.packs)
        assert isinstance(packs, Decimal)  # noqa: S101 - a count
        each, total = row.found.get("each"), row.found.get("total")
        places = workshop.places()
        if isinstance(each, Decimal):
            # The price of one pack where packs are counted, else of one unit of the amount.
            sum_ = money.half_up(each * (packs if packs != 1 else measured.amount), places)
            if isinstance(total, Decimal) and total != sum_:
                raise Refused(
                    f"{each} each comes to {sum_}, and {total} is written. Put one of them right.", field="total"
                )
            if packs != 1:
                return packs, measured.amount, each, "each"
            total = sum_
        assert isinstance(total, Decimal)  # noqa: S101 - `faults` names a row with neither
        one = money.half_up(total / packs, places)
        if one * packs == total:
            return packs, measured.amount, one, "total"
        return Decimal(1), measured.amount * packs, total, "total"

    def write(self, row: Row) -> bool:
        on, meant = row.found["on"], self.meant(row)
        assert isinstance(on, date)  # noqa: S101 - the field holds a day
        name = str(row.found["material"])
        if meant.startswith(COST):
            packs, _, price, _ = self.paid(row)
            amount = packs * price + self._carriage(row)
            expenses.spend(kind=meant.removeprefix(COST), amount=amount, on=on, words=name, by=self.by)
            return True
        packs, contents, price, _ = self.paid(row)
        material = self._material(name, meant, row)
        supplier = suppliers.named(name=str(row.found.get("supplier") or self.answers.get("supplier", "")), by=self.by)
        deliveries.record(
            supplier=supplier,
            on=on,
            lines=[deliveries.Line(material, packs, contents, price, self.unit(row, material))],
            ref=self._ref(supplier, str(row.found.get("ref", ""))),
            carriage=self._carriage(row),
            by=self.by,
        )
        return True

    def _carriage(self, row: Row) -> Decimal:
        carriage = row.found.get("carriage")
        return carriage if isinstance(carriage, Decimal) else Decimal(0)

    def _material(self, name: str, meant: str, row: Row) -> Material:
        if meant != NEW:
            found = self.there.get(meant.casefold())
            if found is None:
                raise Refused(f"There is no material {meant} any more. Choose another.", field="material")
            return found
        key = name.casefold()
        if key not in self.named:
            seen = self.units[key].most_common(1)
            unit = seen[0][0] if seen else self.unit(row, None)
            code = code_from(name, self.there)
            made = materials.create(code=code, details=materials.Details(name=name, unit=unit), by=self.by)
            self.there[code.casefold()] = self.named[key] = made
        return self.named[key]

    def _ref(self, supplier: Supplier, ref: str) -> str:
        """A receipt's rows are deliveries of their own: its number with a count behind it from the second on."""
        if not ref:
            return ""
        taken = set(
            deliveries_read.standing().filter(supplier=supplier, ref__startswith=ref[:34]).values_list("ref", flat=True)
        )
        count, found = 1, ref
        while found in taken:
            count += 1
            found = f"{ref[:34]}/{count}"
        return found

    def shown(self, row: Row) -> list[str]:
        measured, meant = row.found["quantity"], self.meant(row)
        assert isinstance(measured, Measure)  # noqa: S101 - the field holds an amount
        key = str(row.found["material"]).casefold()
        material = self.there.get(meant.casefold())
        name = material.name if material else self.names[key]
        try:
            packs, contents, price, _ = self.paid(row)
            unit = units.label(self.unit(row, material))
            amount = (
                f"{packs:f} × {contents.normalize():f} {unit}" if packs != 1 else f"{contents.normalize():f} {unit}"
            )
            paid = workshop.shown(packs * price + self._carriage(row))
        except Refused as refused:
            amount, paid = str(refused), ""
        if meant.startswith(COST):
            amount = Expense.Kind(meant.removeprefix(COST)).label
        return [
            str(row.found["on"]),
            name,
            amount,
            paid,
            str(row.found.get("supplier") or self.answers.get("supplier", "")),
        ]
