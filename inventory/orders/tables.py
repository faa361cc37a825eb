"""The list of orders."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from inventory.orders.models import Order
from inventory.orders.rules import overdue
from inventory.orders.selectors import Standing
from inventory.web.tables import FAR, Cell, DayColumn, ListTable


class OrderTable(ListTable):
    """`standings` (by primary key) and `today` are given by the view for the rows of the page shown."""

    caption = "Orders"
    standings: Mapping[int, Standing] = {}
    today: date | None = None

    number = Cell("inventory/orders/cells/number.html", "Order", order_by=("on", "pk"))
    supplier = Cell("inventory/suppliers/cells/cell.html", "To", order_by=("supplier__name", "on", "pk"))
    on = DayColumn("Ordered", attrs=FAR, order_by=("on", "pk"))
    state = Cell("inventory/orders/cells/state.html", "State", orderable=False)

    class Meta:
        empty_text = "No order matches. New order writes the first one down."

    def about(self, record: Order) -> dict[str, Any]:
        stands = self.standings.get(record.pk)
        late = overdue(record.due_on, self.today) if stands and stands.open and self.today else 0
        return {"stands": stands, "order": record, "late": late}
