"""The site's own addresses and one more: the least a signed-in page can be."""

from django.http import HttpRequest, HttpResponse
from django.urls import include, path

from society.web.access import SIGNED_IN, access


@access(SIGNED_IN, "GET")
def hello(request: HttpRequest) -> HttpResponse:
    """Says hello to whoever is signed in."""
    return HttpResponse(f"Hello, {request.who.name}.")


urlpatterns = [path("hello/", hello), path("", include("society.urls"))]
