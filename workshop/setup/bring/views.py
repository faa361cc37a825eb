"""The two pages of bringing in: choose the file; answer its questions, see the first rows, and bring it in."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inventory.base.sheets import services as sheets
from inventory.errors import Refused
from inventory.permits import Act, require
from inventory.web.trail import frame
from inventory.web.views import EntryView
from workshop.setup.bring.bringing import Brought, bring, refuse_unreadable
from workshop.setup.bring.forms import AnswersForm, FileForm, answers_in
from workshop.setup.bring.questions import Question

TITLE = "Bring in a spreadsheet"
TRAIL = ("setup", "moving_in")
BELOW = (*TRAIL, "bring")
LOOK = "look"
SHOWN_DOUBTS = 100


class SendIn(EntryView):
    form_class = FileForm
    title = TITLE
    lead = "Your own list of purchases, skins, sales or customers, or a bank's file, as it is. First you see what would be kept."
    trail = TRAIL
    needs = Act.GOODS
    cancel_page = "moving_in"
    submit = "Read it"

    def get_initial(self) -> dict[str, Any]:
        return {"into": self.request.GET.get("into", "")}

    def enter(self, form: FileForm) -> object:
        name, content = form.content()
        into = form.cleaned_data["into"]
        # Read before it is kept: what cannot be read is refused here, beside the file.
        refuse_unreadable(content, name, into=into)
        self.into = into
        return sheets.wait(name=name, content=content, by=self.request.user)

    def get_success_url(self) -> str:
        query = f"?into={self.into}" if self.into else ""
        return reverse("bring_answers", args=[self.made.key]) + query


@require_http_methods(["GET", "HEAD", "POST"])
def answers(request: HttpRequest, key: str) -> HttpResponse:
    """All questions of a file on one page; sent, they bring it in, or it comes back with what is still open."""
    require(request.user, Act.GOODS)
    try:
        waiting = sheets.waiting(key, request.user)
    except Refused as refusal:
        messages.error(request, str(refusal))
        return redirect("bring")
    given = answers_in(request.POST)
    # Other rows have other columns: what was chosen for the former ones is asked anew.
    other = bool(given) and given.get("into") != request.POST.get("was", given.get("into"))
    if other:
        given = {"into": given.get("into", "")}
    into = "" if given else request.GET.get("into", "")
    only_look = request.method != "POST" or other or LOOK in request.POST
    problem = ""
    try:
        found = bring(
            bytes(waiting.content),
            waiting.name,
            into=into,
            answers=given,
            as_before=not given or other,
            dry_run=only_look,
            quick=True,
            by=request.user,
        )
    except Refused as refusal:
        if request.method != "POST":
            messages.error(request, str(refusal))
            return redirect("bring")
        problem = str(refusal)
        found = bring(bytes(waiting.content), waiting.name, as_before=True, dry_run=True, quick=True, by=request.user)
    if found.done and not only_look and not problem:
        sheets.forget(key=key, by=request.user)
        messages.success(request, told(found))
        return redirect("bring")
    missing = request.method == "POST" and not only_look
    return render(
        request, "workshop/setup/bring/answers.html", _page(found, waiting.name, missing=missing, problem=problem)
    )


def told(found: Brought) -> str:
    """What was brought in, in a sentence for people."""
    parts = [f"{found.written} {found.noun} brought in."]
    if found.before:
        parts.append(f"{found.before} were here already.")
    if found.left_out:
        parts.append(f"{found.left_out} rows left out.")
    if found.not_wanted:
        parts.append(f"{found.not_wanted} rows not wanted.")
    return " ".join(parts)


def _page(found: Brought, name: str, *, missing: bool, problem: str) -> dict[str, Any]:
    questions: list[Question] = found.questions
    form = AnswersForm(questions, missing=missing)
    return {
        **frame("Answers", BELOW, lead=name),
        "found": found,
        "form": form,
        "problem": problem,
        "faults": [*found.faults, *(f"Answer this: {each.label}." for each in found.open if missing)],
        "doubts": found.doubts[:SHOWN_DOUBTS],
        "more_doubts": max(len(found.doubts) - SHOWN_DOUBTS, 0),
        "cancel": reverse("bring"),
    }
