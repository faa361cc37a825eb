"""A page with one form that posts once, by itself or about one thing that has a page.

Owns what becomes of a form: the one service called, the refusal beside its field, the message after, the way back. Must not
decide anything; what a page shows besides its form comes from selectors.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from django.contrib import messages
from django.db.models import Model, QuerySet
from django.forms import BaseForm, BaseFormSet, Form
from django.http import HttpRequest, HttpResponse, QueryDict
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.generic import FormView
from django.views.generic.base import ContextMixin

from inventory import formats
from inventory.base import selectors as workshop, services as entries
from inventory.errors import ClosedPeriod, NotAllowed, Refused, SentBefore
from inventory.permits import Act, may, require
from inventory.web import forms as web_forms, offline, questions
from inventory.web.questions import Asked, Odd
from inventory.web.trail import Step, address, frame, has_page, to

M = TypeVar("M", bound=Model)

# Before the address in a message's extra tags; parts/messages.html draws the button.
UNDO = "undo:"


def back_to(request: HttpRequest, otherwise: str) -> str:
    """`next` as it was sent, where it is an address of this site; a foreign one would lead the maker astray."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if ours else otherwise


class Framed(ContextMixin):
    """A page with its title, lead and way; `section` where there is no way.

    In `title`, `lead` and the like `{self.…}` is filled in when they are shown.
    """

    title = ""
    lead = ""
    section = ""
    trail: tuple[Step, ...] = ()

    def filled_in(self, text: str) -> str:
        return text.format(self=self)

    def get_title(self) -> str:
        return self.filled_in(self.title)

    def get_lead(self) -> str:
        return self.filled_in(self.lead)

    def get_trail(self) -> tuple[Step, ...]:
        return self.trail

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = frame(self.get_title(), self.get_trail(), lead=self.get_lead(), section=self.section)
        return super().get_context_data(**{**context, **more})


if TYPE_CHECKING:
    Page = FormView[Form]
else:
    Page = FormView  # the type takes its form's type only in the stubs


class EntryView(Framed, Page):
    """A page with one form that posts once. Subclasses give `title`, `trail`, `submit` and `enter`; without a form of their
    own nothing is typed and the button says it all.

    `needs`: only who may do this sees the page at all; without it the service alone refuses.
    `keeps`: the entry waits on the device while there is no signal, under the words of `waiting_words()` and what is chosen
    in the fields that `words_of` names (with spaces); see `offline.py`.
    `called`: what the form calls a field that the service calls otherwise.
    `odd(form)`: figures to be asked about before they are kept; `buttons`: names of the page's own buttons whose value is a part
    of the entry.
    `undo_url()`: the address that takes the entry back by one tap, offered for ten seconds beside the message after.
    """

    template_name = "inventory/web/entry.html"
    form_class: type[Form] = web_forms.EntryForm
    submit = "Save"
    danger = False
    needs: Act | None = None
    cancel_page = ""
    opens_made = False
    success_message = ""
    keeps = False
    words_of = ""
    called: Mapping[str, str] = {}
    buttons: tuple[str, ...] = ()
    made: Any = None

    def dispatch(self, request: HttpRequest, *args: Any, **options: Any) -> HttpResponseBase:
        if self.needs is not None:
            require(request.user, self.needs)
        return super().dispatch(request, *args, **options)

    def form_options(self) -> dict[str, Any]:
        """What the form is built with besides what was sent."""
        return {}

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), **self.form_options()}

    def given(self, form: Form) -> dict[str, Any]:
        """The fields of the form and who sends it, for a service that takes no request key."""
        return {name: value for name, value in self.sent(form).items() if name != "request_key"}

    def sent(self, form: Form) -> dict[str, Any]:
        """The fields of the form, its request key among them, and who sends it: as a service takes them."""
        return {**form.cleaned_data, "by": self.request.user}

    def enter(self, form: Any) -> object:
        """Call the one service; what it returns is kept in `self.made`."""
        raise NotImplementedError

    def odd(self, form: Any) -> Iterable[Odd]:
        """Boxes with what is to be asked about their figures, once the form can be read; None is an ordinary figure."""
        return ()

    def point(self, form: Form, refusal: Refused) -> None:
        """Put a refusal beside the field it names, else above the form."""
        field = self.called.get(refusal.field or "", refusal.field)
        form.add_error(field if field in form.fields else None, formats.dated(str(refusal)))

    def form_as_typed(self, data: QueryDict) -> Form:
        """The form as it was typed, unjudged: to show it again."""
        kind = self.get_form_class()
        options = {**self.get_form_kwargs(), "data": None, "files": None}
        # Made twice: only a form that is made knows all its fields, and only one made with them shows them.
        typed = web_forms.as_typed(kind(**options).fields, data)
        return kind(**{**options, "initial": {**options["initial"], **typed}})

    def get_success_url(self) -> str:
        """Where the maker came from to enter it (`next`); else what was made, if it has a page to be opened; else back."""
        return back_to(self.request, address(self.made) if self.opens_made and self.made else self.get_cancel_url())

    def whose(self) -> Model | None:
        """What has the page that the entry begins and ends on; None where that is a list."""
        return None

    def get_trail(self) -> tuple[Step, ...]:
        whose = self.whose()
        return self.trail if whose is None else to(whose)

    def get_cancel_url(self) -> str:
        if (whose := self.whose()) is not None:
            return address(whose)
        return reverse(self.cancel_page) if self.cancel_page else ""

    def get_submit(self) -> str:
        return self.submit

    def get_success_message(self) -> str:
        """The message after; may use `self.made`."""
        return self.filled_in(self.success_message)

    def undo_url(self) -> str:
        """Where one tap undoes what was just made; may use `self.made`. Empty: there is no such tap."""
        return ""

    def waiting_words(self) -> str:
        """What the entry is called while it waits for a signal."""
        return self.get_title()

    def form_valid(self, form: Any) -> HttpResponse:
        asked = questions.asked(self.odd(form), self.request.POST, self.buttons)
        unanswered = asked if asked and not asked.answered(self.request.POST) else None
        if unanswered and not offline.waited(self.request):
            return self.ask(form, unanswered)
        try:
            with entries.saying(web_forms.sent_words(form)):
                self.made = self.enter(form)
        except NotAllowed:
            raise
        except Refused as refusal:
            self.look_again()
            if isinstance(refusal, SentBefore):
                web_forms.renew_key(form)
            # Who may not open the books has no use for the way there.
            form.closed = isinstance(refusal, ClosedPeriod) and may(self.request.user, Act.BOOKS)
            self.point(form, refusal)
            return self.form_invalid(form)
        for sentence in unanswered.sentences if unanswered else ():
            messages.warning(self.request, f"It waited, so it is kept as you entered it: {sentence}")
        if message := self.get_success_message():
            undo = self.undo_url()
            messages.success(self.request, message, extra_tags=UNDO + undo if undo else "")
        if offline.asked(self.request):
            return offline.written(message, self.get_success_url())
        return super().form_valid(form)

    def look_again(self) -> None:
        """What was refused is undone in the database, and not in the rows that were read of it: they are read anew. What was typed
        stays as it was judged.
        """
        workshop.forget()
        kept = {
            name: value
            for name, value in vars(self).items()
            if isinstance(getattr(type(self), name, None), cached_property)
        }
        for name, value in kept.items():
            if not _typed(value):
                del vars(self)[name]

    def ask(self, form: Any, asked: Asked) -> HttpResponse:
        """The page as typed with the question above it. One that keeps its entries is told, and then comes for the page."""
        if offline.asked(self.request):
            return offline.refused(asked.sentences)
        web_forms.hold_moment(form)
        form.asked = asked
        return self.render_to_response(self.get_context_data(form=form))

    def form_invalid(self, form: Any) -> HttpResponse:
        if offline.asked(self.request):
            return offline.refused(offline.complaints(form))
        return super().form_invalid(form)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = {
            "submit": self.get_submit(),
            "danger": self.danger,
            "cancel": back_to(self.request, self.get_cancel_url()),
            "keeps": self.keeps,
            "words": self.waiting_words() if self.keeps else "",
            "words_of": self.words_of,
        }
        return super().get_context_data(**{**context, **more})


class About(EntryView, Generic[M]):
    """An entry about one thing, named by the first part of the address. Subclasses give `model` or `things`.

    A thing with a page of its own is where the entry begins and ends; a subclass about another says where that is.
    `prefilled`: the fields that open with what the thing has.
    """

    model: type[M]
    prefilled: tuple[str, ...] = ()

    def things(self) -> QuerySet[M]:
        return self.model._default_manager.all()

    @cached_property
    def thing(self) -> M:
        name, code = next(iter(self.kwargs.items()))
        return get_object_or_404(self.things(), **{name: code})

    def whose(self) -> Model | None:
        return self.thing if has_page(self.thing) else None

    def get_initial(self) -> dict[str, Any]:
        return {name: getattr(self.thing, name) for name in self.prefilled}


def _typed(value: object) -> bool:
    """Whether something holds entries that were typed: a form, a set of rows, or a list of them."""
    each = value[0] if isinstance(value, list) and value else value
    return isinstance(each, BaseForm | BaseFormSet)
