"""Pages that are loaded when their address is first asked for, with all that they draw on."""

from typing import Any

from django.http import HttpRequest, HttpResponseBase
from django.utils.module_loading import import_string


class Later:
    """The views of a module by their names, as if it had been imported; functions only, and none that says who may see it."""

    def __init__(self, where: str) -> None:
        self._where = where

    def __getattr__(self, name: str) -> Any:
        dotted = f"{self._where}.{name}"

        def view(request: HttpRequest, *values: Any, **named: Any) -> HttpResponseBase:
            found: HttpResponseBase = import_string(dotted)(request, *values, **named)
            return found

        view.__name__, view.__qualname__, view.__module__ = name, name, self._where
        return view
