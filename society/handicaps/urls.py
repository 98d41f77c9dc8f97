"""Addresses of handicaps."""

from django.urls import URLPattern

app_name = "handicaps"
urlpatterns: list[URLPattern] = []
