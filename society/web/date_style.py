"""In which order dates are written: the society's setting, turned on for the length of a request.

Like the time zone it stands around the work and is read where a date is written, so that no page,
print or letter has to be given it.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from society.web.rules import DateStyle

_style: ContextVar[DateStyle] = ContextVar("date_style", default=DateStyle.DAY_FIRST)


def date_style() -> DateStyle:
    """How dates are written now."""
    return _style.get()


@contextmanager
def dates_written(style: DateStyle) -> Iterator[None]:
    """Write dates in this order until the block ends."""
    token = _style.set(style)
    try:
        yield
    finally:
        _style.reset(token)
