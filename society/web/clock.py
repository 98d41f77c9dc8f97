"""The one place where web pages and commands read the clock.

Actions never read it: they are given `at`. In the demo and in tests the time is a plain value.
"""

from datetime import datetime

from django.utils import timezone


def now() -> datetime:
    """The present moment, with its zone (UTC)."""
    return timezone.now()
