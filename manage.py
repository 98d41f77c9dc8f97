#!/usr/bin/env python
"""The command line of the society's program: `python manage.py help` lists what it does."""

import os
import sys

from django.core.management import execute_from_command_line

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "society.settings")
    execute_from_command_line(sys.argv)
