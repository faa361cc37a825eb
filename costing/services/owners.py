"""Whose skins become one piece. Owns the refusal to join what belongs to two people; must not write anything.

A customer is known by the job on the skin, else by the name on the skin itself. What is cut from a customer's skin stays
that customer's, which `inventory.services.articles.create` sees to.
"""

from __future__ import annotations

from collections.abc import Sequence

from costing.models import Job
from inventory.errors import Refused
from inventory.models import Article, Skin


def refuse_two(skins: Sequence[Skin], *, field: str = "skins") -> None:
    """Skins of two owners do not go into one piece: neither could be handed over or sold without the other's."""
    if len(skins) < 2 or not any(skin.theirs for skin in skins):
        return
    customers = dict(Job.objects.filter(skin__in=skins).values_list("skin", "customer__name"))
    owners = {skin.tag: _name(customers.get(skin.pk) or skin.customer) if skin.theirs else "" for skin in skins}
    first = skins[0]
    for other in skins[1:]:
        same = first.theirs == other.theirs and owners[first.tag].casefold() == owners[other.tag].casefold()
        if not same:
            raise Refused(
                f"{_whose(first, owners[first.tag])}, {_whose(other, owners[other.tag])}: one piece cannot be made of "
                "both. Finish each into a piece of its own.",
                field=field,
            )
        if not owners[first.tag] and first.theirs:
            raise Refused(
                f"Whose {first.tag} and {other.tag} are was never written. Describe both with their customer's name, "
                "then join them; or finish each into a piece of its own.",
                field=field,
            )


def refuse_joined(skin: Skin, *, field: str) -> None:
    """For services that say anew whose a skin is: what it is already joined with must be of the same owner."""
    for article in Article.objects.filter(parts__skin=skin).order_by("pk"):
        refuse_two(list(Skin.objects.filter(parts__article=article).order_by("pk")), field=field)


def skin_described(skin: Skin, **_signal: object) -> None:
    """A customer's name that is put right must not turn a joined piece into one of two owners."""
    if skin.theirs:
        refuse_joined(skin, field="customer")


def _name(text: str) -> str:
    return " ".join(text.split())


def _whose(skin: Skin, name: str) -> str:
    if not skin.theirs:
        return f"{skin.tag} is your own"
    return f"{skin.tag} is {name}'s" if name else f"{skin.tag} is a customer's"
