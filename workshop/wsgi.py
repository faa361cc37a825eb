"""The door for a web server."""

import gc
import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from django.core.handlers.wsgi import WSGIHandler

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")


def _started() -> "WSGIHandler":
    """What a start makes stays: to look it through for litter, over and over while it grows, is a sixth of the start."""
    gc.disable()
    try:
        # Django itself is the larger part of what is made.
        from django.core.wsgi import get_wsgi_application

        return get_wsgi_application()
    finally:
        gc.freeze()
        gc.enable()


application = _started()
