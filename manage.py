#!/usr/bin/env python
"""Tawery's command line: `manage.py open` prepares everything and serves the workshop."""

import os
import sys

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
