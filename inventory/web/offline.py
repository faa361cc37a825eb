"""How a page that can keep an entry while there is no signal asks to be answered: in few words, never with a page.

Owns the header, the shape of the answers and how a form's errors are put in words. Must not write or decide anything.
What the page does with the answers is `workshop/static/workshop/kept.js`; decision 0023 says why.

200 `{"state": "written", "said": "…", "next": "/…/"}` · 401 `{"state": "signed_out"}` · 422, or 403 where the role does
not reach, `{"state": "refused", "errors": ["…"]}` · 503 `{"state": "waiting", "why": "…"}`. Every other answer
means that the entry did not reach the books. The header says "1" of an entry that is sent as it is made, "waited" of one that
comes later: that one is asked no question.
"""

from collections.abc import Sequence

from django.forms import BaseForm
from django.http import HttpRequest, JsonResponse

HEADER = "X-Kept"
NOW, WAITED = "1", "waited"


def asked(request: HttpRequest) -> bool:
    """Whether the page keeps the entry until it hears that it is written."""
    return request.headers.get(HEADER) in (NOW, WAITED)


def waited(request: HttpRequest) -> bool:
    """Whether the entry waited on the device: whoever made it has gone on, and can be asked nothing before it is written."""
    return request.headers.get(HEADER) == WAITED


def written(said: str, then: str) -> JsonResponse:
    """It is in the books; `then` is the page to go to, which shows `said` too."""
    return JsonResponse({"state": "written", "said": said, "next": then})


def refused(errors: Sequence[str], *, status: int = 422) -> JsonResponse:
    """It is not in the books, and sending it again would not help: both are kept, and the maker decides."""
    return JsonResponse({"state": "refused", "errors": list(errors)}, status=status)


def waits(why: str) -> JsonResponse:
    """The machine could not take it just now: it goes on waiting on the device, with the reason beside it."""
    return JsonResponse({"state": "waiting", "why": why}, status=503)


def signed_out() -> JsonResponse:
    """It waits until the person has signed in again."""
    return JsonResponse({"state": "signed_out"}, status=401)


def complaints(form: BaseForm) -> list[str]:
    """A form's errors as sentences: those of the whole first, those of a field after its label."""
    said = [str(error) for error in form.non_field_errors()]
    said += [str(error) for field in form.hidden_fields() for error in field.errors]
    return said + [f"{field.label}: {error}" for field in form.visible_fields() for error in field.errors]
