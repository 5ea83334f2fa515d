"""What every template may name: the shop and the moment."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from shop.profile.models import Profile


def shop(request: HttpRequest) -> dict[str, Any]:
    """`shop` (the profile row, one query when used) and `now`."""
    return {
        "shop": SimpleLazyObject(lambda: Profile.objects.filter(pk=1).first()),
        "now": timezone.now(),
        "kiosk": getattr(request, "kiosk", None),
    }
