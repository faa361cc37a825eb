"""What stays for good of a posting, a delivery, a skin, a closing and a change of the valuation method: what their links hold."""

from inventory.base.accounting.models import Closing, CostFlowChange
from inventory.base.chain.kinds import Kind, Part
from inventory.deliveries.corrections.models import CorrectedLine
from inventory.deliveries.models import Delivery, DeliveryLine
from inventory.ledger.models import Lot, LotDraw, Movement, Posting
from inventory.skins.models import Skin

_WRITTEN = ("written_at", "written_by")
_BOUGHT = ("tax_percent", "tax", "original_sum", "original_currency")

KINDS = (
    Kind(
        "posting",
        Posting,
        ("kind", "on", "reason", "reverses", *_WRITTEN),
        parts=(
            Part(
                Movement,
                "posting",
                ("material", "kind", "on", "month", "quantity", "value", "quantity_left", "value_left", "typed"),
            ),
            Part(Lot, "movement", ("material", "on", "expires_on"), ("quantity", "value"), of=Movement),
            Part(LotDraw, "movement", ("lot", "quantity", "value"), of=Movement),
            Part(CorrectedLine, "movement", ("line",), of=Movement),
        ),
        by_sql=True,
    ),
    Kind(
        "delivery",
        Delivery,
        ("supplier", "order", "posting", "on", "ref", "carriage", "how", "due_on", "with_tax", *_BOUGHT),
        changes=("bill",),
        parts=(
            Part(
                DeliveryLine,
                "delivery",
                ("movement", "packs", "pack_quantity", "pack_price", "carriage_share", "tax_percent", "tax"),
            ),
        ),
    ),
    Kind(
        "skin",
        Skin,
        ("tag", "owner", "date_in", "price", "how", *_BOUGHT, "opening", "minutes_before"),
        changes=(
            *(
                "species",
                "sex_age",
                "customer",
                "supplier",
                "source",
                "origin",
                "green_weight",
                "dry_weight",
                "weight_unit",
            ),
            *("place", "defects", "wet_area", "dry_area", "area_unit"),
            *("stage", "lost_on", "lost_reason", "lost_at_step", "loss_spread"),
        ),
    ),
    Kind("closing", Closing, ("at", "who", "was", "to", "reason")),
    Kind("cost flow", CostFlowChange, ("since", "was", "cost_flow", "after", *_WRITTEN)),
)
