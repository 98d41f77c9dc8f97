"""A word of the glossary, explained where it first appears on a page.

``{% word "stroke index" %}`` writes the word; the first time on a page with what opens its
meaning (part ``parts/_word.html``), after that, and on paper, as plain words. It works with
scripts off, and a browser that knows no popovers shows the meaning in the sentence.
"""

import hashlib
from typing import Any

from django import template
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe
from django.utils.text import slugify

from society.web.glossary import known, meaning_of

register = template.Library()


@register.simple_tag(takes_context=True)
def word(context: Any, form: str, of: str = "", then: str = "") -> SafeString:
    """`form` as it stands in the sentence; `of` the word of the glossary if that is another.

    `then`: the full stop or comma after it, kept on its line.

    KeyError if the glossary has no such word.
    """
    found = meaning_of(of or form)
    request = context.get("request")
    if request is None:  # a paper explains nothing by a touch
        return _written({"form": form, "then": then, "first": False})
    explained: set[str] = request.__dict__.setdefault("words_explained", set())
    first = found.term not in explained
    explained.add(found.term)
    part = _part(request)
    place = f"word-{slugify(form)}{part}"
    return _written({"form": form, "then": then, "word": found, "first": first, "place": place})


@register.simple_tag(takes_context=True)
def word_if(context: Any, form: str) -> SafeString | str:
    """A title that may be a word of the glossary: explained if it is one, else as it stands."""
    return word(context, form) if known(form) else form


def _written(context: dict[str, Any]) -> SafeString:
    """The part without the line's end it has in its file: a full stop may follow at once."""
    made = render_to_string("parts/_word.html", context)
    return mark_safe(made.strip())  # noqa: S308 - the part has escaped it


def _part(request: Any) -> str:
    """What keeps the places of a part fetched later apart from those of the page it lands in."""
    if not getattr(request, "htmx", False):
        return ""
    return "-" + hashlib.sha256(request.get_full_path().encode()).hexdigest()[:6]


@register.filter
def meaning(form: str) -> str:
    """What a word means, as a sentence: for paper and for running text.

    KeyError if the glossary has no such word.
    """
    return meaning_of(form).meaning
