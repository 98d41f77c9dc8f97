"""Addresses of merit."""

from django.urls import URLPattern

app_name = "merit"
urlpatterns: list[URLPattern] = []
