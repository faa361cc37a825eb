"""Plain CSV folders in and out: a whole workshop as files that any spreadsheet opens.

`load` reads a folder, all or nothing; `save` writes one. Everything is written through the services of the two floors
below; nothing here knows a rule of stock or cost.
"""

from workshop.exchange.loading import Loaded, load
from workshop.exchange.problems import FolderRefused, Problem
from workshop.exchange.saving import Saved, save

__all__ = ["FolderRefused", "Loaded", "Problem", "Saved", "load", "save"]
