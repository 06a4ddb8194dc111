from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import include, path


def floor(request: HttpRequest) -> HttpResponse:
    """The least that a page of this site can be: signed in, through all middleware, the frame with nothing in it."""
    return render(request, "base.html")


urlpatterns = [path("floor", floor, name="floor"), path("", include("labcases.config.urls"))]
