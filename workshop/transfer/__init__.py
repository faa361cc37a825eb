"""Plain CSV folders in and out: a whole workshop as files that any spreadsheet opens.

`load` reads a folder, all or nothing; `save` writes one. Everything is written through the services of the two floors
below; nothing here knows a rule of stock or cost.
"""

from workshop.transfer.loading import Loaded, load
from workshop.transfer.problems import FolderRefused, Problem
from workshop.transfer.saving import Saved, save

__all__ = ["FolderRefused", "Loaded", "Problem", "Saved", "load", "save"]
