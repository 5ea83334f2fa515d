"""Addresses of the page slices."""

from importlib.util import find_spec

from django.urls import include, path

_PREFIX = {"board": "", "intake": "take-in/", "desk": "", "scan": "", "handover": "", "owner": ""}

urlpatterns = [
    path(prefix, include(f"jobs.{name}.urls")) for name, prefix in _PREFIX.items() if find_spec(f"jobs.{name}.urls")
]
