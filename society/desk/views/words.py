"""What the words mean: the glossary on a page, for whoever reads any other."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from society.web.access import PUBLIC, access
from society.web.glossary import GLOSSARY
from society.web.pages import show
from society.web.request import Request


@access(PUBLIC, "GET")
@require_safe
def words(request: Request) -> HttpResponse:
    """Every word with its meaning, in order of the alphabet."""
    return show(request, "desk/words.html", {"words": GLOSSARY})
