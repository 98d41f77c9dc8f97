"""System checks of the house: every URL says who may use it; no ATOMIC_REQUESTS."""

from collections.abc import Iterator

from django.conf import settings
from django.core.checks import Error, register
from django.urls import URLPattern, URLResolver, get_resolver

from society.web.access import declared


def every_url(
    patterns: list[URLPattern | URLResolver] | None = None, name: str = ""
) -> Iterator[tuple[str, URLPattern]]:
    """All routes of the resolver with their full names, "members:sign_in"."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLResolver):
            space = f"{name}{pattern.namespace}:" if pattern.namespace else name
            yield from every_url(pattern.url_patterns, space)
        else:
            yield f"{name}{pattern.name}", pattern


@register("house")
def every_url_is_declared(app_configs: object, **kwargs: object) -> list[Error]:
    """An undeclared URL is closed, and fails the build."""
    return [
        Error(f"{name} ({pattern.pattern}) does not declare its access.", id="house.E001")
        for name, pattern in every_url()
        if declared(pattern.callback) is None
    ]


@register("house")
def actions_own_their_transactions(app_configs: object, **kwargs: object) -> list[Error]:
    """Under IMMEDIATE a reader inside ATOMIC_REQUESTS would take the write lock."""
    return [
        Error(f"ATOMIC_REQUESTS is on for {alias}; atomic belongs to actions.", id="house.E002")
        for alias, options in settings.DATABASES.items()
        if options.get("ATOMIC_REQUESTS")
    ]
