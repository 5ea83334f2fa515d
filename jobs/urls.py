"""Addresses of the page slices."""

from importlib.util import find_spec

from django.urls import include, path

_PREFIX = {"intake": "take-in/"}
_SLICES = ("board", "intake", "desk", "scan", "handover", "owner", "morning", "register", "till", "office")

urlpatterns = [
    path(_PREFIX.get(name, ""), include(f"jobs.{name}.urls")) for name in _SLICES if find_spec(f"jobs.{name}.urls")
]
