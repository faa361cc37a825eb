"""Where a page stands: its section in the menu, the pages above it, and the address of a thing's own page.

Owns the one table of pages that others stand below, and of things that have a page; both are known by name only, those of
the floor above too. Reads nothing.
"""

from typing import Any

from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from inventory import formats

# The label of a page by the name of its address. Those of the menu come first.
LABELS = {
    "today": "Today",
    "skins": "Skins",
    "batches": "Batches",
    "shelf": "Shelf",
    "articles": "Articles",
    "sales": "Sales",
    "books": "Books",
    "setup": "Setup",
    "recipes": "Recipes",
    "recipe_outlines": "Outlines",
    "labour": "Work",
    "plan": "Plan ahead",
    "frames": "Frames",
    "sessions": "Softening sessions",
    "to_order": "Shopping list",
    "orders": "Orders",
    "deliveries": "Deliveries",
    "suppliers": "Suppliers",
    "places": "Places",
    "count_sheet": "Stocktake",
    "what_if": "What if",
    "tally": "Skins and pieces",
    "customers": "Customers",
    "jobs": "Jobs",
    "fairs": "Fairs",
    "payments": "Payments",
    "owed": "Owed to me",
    "expenses": "Costs",
    "payables": "I owe",
    "cost_kinds": "Kinds of cost",
    "hours": "Non-production hours",
    "setup_terms": "Terms of selling",
    "channels": "Where you sell",
    "moving_in": "Moving in",
    "words": "Words on papers",
    "label_sheets": "Label sheets",
    "copies": "Copies",
    "bring": "Bring in a spreadsheet",
    "own_passkeys": "My passkeys",
}

# A kind of thing with a page, by the name of its model, which is the name of its page too: what its address names it by, and
# the pages above.
KINDS: dict[str, tuple[str, tuple[str, ...]]] = {
    "skin": ("tag", ("skins",)),
    "batch": ("number", ("batches",)),
    "recipe": ("code", ("batches", "recipes")),
    "frame": ("number", ("batches", "frames")),
    "material": ("code", ("shelf",)),
    "posting": ("pk", ("shelf",)),
    "order": ("number", ("shelf", "orders")),
    "delivery": ("pk", ("shelf", "deliveries")),
    "supplier": ("pk", ("shelf", "suppliers")),
    "article": ("number", ("articles",)),
    "sale": ("number", ("sales",)),
    "customer": ("pk", ("sales", "customers")),
    "job": ("number", ("sales", "jobs")),
    "fair": ("pk", ("sales", "fairs")),
}

Step = str | Model | tuple[str, str]
Crumbs = list[tuple[str, str]]


def has_page(thing: Model) -> bool:
    return thing._meta.model_name in KINDS


def address(thing: Model, name: str = "") -> str:
    """The address called `name` of a thing; its own page without one."""
    kind = str(thing._meta.model_name)
    code, _ = KINDS[kind]
    return reverse(name or kind, args=[getattr(thing, code)])


def above(thing: Model) -> tuple[str, ...]:
    """The pages above a thing's own."""
    return KINDS[str(thing._meta.model_name)][1]


def crumbs(*steps: Step) -> Crumbs:
    """The way to a page as (label, address): of names of pages, of things, and of what is such a pair already."""
    return [
        step
        if isinstance(step, tuple)
        else (LABELS[step], reverse(step))
        if isinstance(step, str)
        else (formats.dated(str(step)), address(step))
        for step in steps
    ]


def to(thing: Model, *below: Step) -> tuple[Step, ...]:
    """The way to a page below a thing's own."""
    return (*above(thing), thing, *below)


def frame(title: str, way: tuple[Step, ...] = (), section: str = "", **more: Any) -> dict[str, Any]:
    """What the frame of every page shows. The section of the menu is the first page of the way, unless it is given."""
    trail = crumbs(*way)
    return {"title": title, "section": section or (trail[0][0] if trail else ""), "trail": trail, **more}


def page(request: HttpRequest, template: str, title: str, way: tuple[Step, ...] = (), **context: Any) -> HttpResponse:
    """A page that shows something: its frame and what its template needs besides."""
    return render(request, template, frame(title, way, **context))
