"""Words on papers: the languages, the phrases of one, one phrase, and the tick that a translation is right."""

from dataclasses import replace
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_POST, require_safe

from inventory.base import selectors as workshop
from inventory.base.languages import ENGLISH, LANGUAGES, NAMES
from inventory.base.wording import selectors as wording_read, services as wording
from inventory.errors import Refused
from inventory.permits import Act, require
from inventory.web.trail import Step, page
from inventory.web.views import EntryView
from workshop.documents.words import editing, selectors as words_read, services as words
from workshop.documents.words.editing import Entry, Section
from workshop.setup.words.forms import CHANGED, MISSING, PhraseFinder, PhraseForm

_ABOVE: tuple[Step, ...] = ("setup", "words")
YES = "yes"


@require_safe
def languages(request: HttpRequest) -> HttpResponse:
    require(request.user, Act.SETUP)
    changed, checked = wording_read.counted(), wording_read.checked()
    rows = [
        {"code": code, "name": name, "own": LANGUAGES[code], "changed": changed[code], "checked": checked.get(code)}
        for code, name in NAMES.items()
    ]
    home = NAMES[workshop.current().paper_language]
    return page(request, "workshop/setup/words/languages.html", "Words on papers", ("setup",), rows=rows, home=home)


@require_safe
def phrases(request: HttpRequest, language: str) -> HttpResponse:
    """The phrases of one language by paper; ?words=due&paper=invoice&show=changed narrows them."""
    require(request.user, Act.SETUP)
    sections = words_read.sections(_known(language))
    form = PhraseFinder(request.GET, sections=sections, english=language == ENGLISH)
    sought = form.cleaned_data if form.is_valid() else {}
    narrowed = any(sought.values())
    return page(
        request,
        "workshop/setup/words/phrases.html",
        f"Words on papers: {NAMES[language]}",
        _ABOVE,
        language=language,
        english=language == ENGLISH,
        checked=wording_read.checked().get(language),
        form=form,
        clear=reverse("words_of", args=[language]) if narrowed else "",
        sections=_narrowed(sections, **sought) if narrowed else sections,
        narrowed=narrowed,
    )


@require_POST
def checked(request: HttpRequest, language: str) -> HttpResponse:
    """Tick a translation as read and right, or take the tick off."""
    _known(language)
    if request.POST.get("checked") == YES:
        wording.tick(language=language, by=request.user)
        messages.success(request, f"{NAMES[language]} is checked.")
    else:
        wording.untick(language=language, by=request.user)
        messages.success(request, f"{NAMES[language]} counts as an unchecked translation again.")
    return redirect("words_of", language=language)


class PhraseChange(EntryView):
    """One phrase beside its English; `?adopt=1` begins with what is suggested, and keeps nothing yet."""

    form_class = PhraseForm
    template_name = "workshop/setup/words/phrase.html"
    title = "{self.entry.label}"
    needs = Act.SETUP
    success_message = "Saved. The next paper says so."

    @cached_property
    def language(self) -> str:
        return _known(self.kwargs["language"])

    @cached_property
    def entry(self) -> Entry:
        key = self.kwargs["phrase"]
        try:
            found = editing.entry(self.language, key)
        except Refused as refusal:
            raise Http404(str(refusal)) from None
        return replace(found, own=wording_read.phrases(self.language)[self.language].get(key, ""))

    def get_trail(self) -> tuple[Step, ...]:
        return (*_ABOVE, (NAMES[self.language], reverse("words_of", args=[self.language])))

    def form_options(self) -> dict[str, Any]:
        return {"entry": self.entry}

    def get_initial(self) -> dict[str, Any]:
        adopted = self.entry.suggestion if "adopt" in self.request.GET else ""
        return {"text": adopted or self.entry.own or self.entry.came}

    def get_cancel_url(self) -> str:
        return f"{reverse('words_of', args=[self.language])}#{self.entry.key}"

    def get_success_url(self) -> str:
        return self.get_cancel_url()

    def enter(self, form: PhraseForm) -> object:
        text = form.cleaned_data["text"]
        return words.change(language=self.language, key=self.entry.key, text=text, by=self.request.user)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        adopted = "adopt" in self.request.GET and bool(self.entry.suggestion)
        return super().get_context_data(
            entry=self.entry, adopted=adopted, language=self.language, english=self.language == ENGLISH, **more
        )


def _known(language: str) -> str:
    if language not in LANGUAGES:
        raise Http404(f"Papers are printed in {', '.join(NAMES.values())}.")
    return language


def _narrowed(sections: list[Section], *, words: str, paper: str, show: str) -> list[Section]:
    """What of the sections has all the words, is of the paper, and is changed or still in English."""
    sought = words.casefold().split()

    def fits(entry: Entry) -> bool:
        there = f"{entry.label} {entry.english} {entry.text} {entry.key}".casefold()
        kind = {CHANGED: bool(entry.own), MISSING: entry.missing}.get(show, True)
        return kind and all(word in there for word in sought)

    kept = [
        Section(each.name, tuple(filter(fits, each.entries))) for each in sections if not paper or each.name == paper
    ]
    return [each for each in kept if each.entries]
