"""The terms of selling."""

from costing.sell.sales.terms.models import Terms


def terms() -> Terms:
    """The maker's terms; plain defaults (not saved) while nobody has set them."""
    return Terms.objects.first() or Terms(pk=1)
