"""The terms of selling, and whether tax is charged."""

from costing.sell.sales.models import Sale
from costing.sell.sales.tax import rules as tax
from costing.sell.sales.terms.models import Terms


def terms() -> Terms:
    """The maker's terms; plain defaults (not saved) while nobody has set them."""
    return Terms.objects.first() or Terms(pk=1)


def mode(row: Terms | Sale) -> tax.Mode:
    """Registered with a tax number; an issued paper stays what it was."""
    taxed = row.taxed if isinstance(row, Sale) else bool(row.tax_number)
    return tax.Mode.REGISTERED if taxed else tax.Mode.NOT_REGISTERED
