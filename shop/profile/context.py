"""What every template may name: the shop and the moment."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from shop.profile.reads import profile_if_any


def shop(request: HttpRequest) -> dict[str, Any]:
    """`shop` (the profile row, one query when used) and `now`."""
    return {
        "shop": SimpleLazyObject(profile_if_any),
        "now": timezone.now(),
        "kiosk": getattr(request, "kiosk", None),
    }
