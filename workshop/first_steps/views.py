"""The newcomer's list on Today: shown to who may set up, until a first price is set or it is put away."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from inventory.base import selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.people.services import FIRST_NAME
from inventory.permits import Act, Person, may
from workshop.first_steps import selectors as first_steps
from workshop.first_steps.checklist import checklist


def shown(user: Person) -> dict[str, Any]:
    """What Today needs of the list; nothing is asked of the database once it is over."""
    if workshop.current().first_steps_over or not may(user, Act.SETUP):
        return {}
    return {
        "first_steps": checklist(first_steps.progress()),
        "nameless": user is not None and user.get_username() == FIRST_NAME,
    }


@require_POST
def put_away(request: HttpRequest) -> HttpResponse:
    accounting.end_first_steps(by=request.user)
    messages.success(request, "The first steps are put away. What each section is for stands on its own page.")
    return redirect("today")
