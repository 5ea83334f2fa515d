"""A registered kiosk shows only intake. Its receiver is named by staff name and PIN and forgotten after two idle minutes."""

import hashlib
from collections.abc import Callable
from datetime import timedelta

from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import Resolver404, resolve
from django.utils import timezone

from shop.people.models import Device, Person

COOKIE = "shop_device"
IDLE = timedelta(minutes=2)
OPEN_HERE = frozenset({"intake", "kiosk"})
_PERSON, _SEEN = "kiosk_person", "kiosk_seen"


def token_hash(token: str) -> str:
    """What the table holds of a device's token."""
    return hashlib.sha256(token.encode()).hexdigest()


def device_of(request: HttpRequest) -> Device | None:
    """The live device whose cookie this is, or None."""
    token = request.COOKIES.get(COOKIE, "")
    return Device.objects.filter(token_hash=token_hash(token), dead_at__isnull=True).first() if token else None


def unlock(request: HttpRequest, person: Person) -> None:
    """Name the receiver at this kiosk."""
    request.session.cycle_key()
    request.session[_PERSON] = person.pk
    request.session[_SEEN] = timezone.now().timestamp()


def lock(request: HttpRequest) -> None:
    """Forget the receiver. The draft stays on the server."""
    request.session.flush()


def _receiver(request: HttpRequest) -> Person | None:
    person_id, seen = request.session.get(_PERSON), request.session.get(_SEEN, 0)
    now = timezone.now().timestamp()
    if person_id is None:
        return None
    if not 0 <= now - seen <= IDLE.total_seconds():
        lock(request)
        return None
    request.session[_SEEN] = now
    return Person.objects.filter(pk=person_id, is_active=True).first()


class KioskMiddleware:
    """Sets `request.kiosk` and, on a kiosk, who is named there; keeps everything but intake shut."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        device = device_of(request)
        request.kiosk = device  # type: ignore[attr-defined]
        if device is None:
            return self.get_response(request)
        request.user = _receiver(request) or AnonymousUser()
        try:
            match = resolve(request.path_info)
        except Resolver404:
            return redirect("kiosk:home")
        open_here = bool(OPEN_HERE & set(match.namespaces)) or match.url_name in {"healthz"}
        if not open_here or (match.namespaces == ["intake"] and not request.user.is_authenticated):
            return redirect("kiosk:home")
        return self.get_response(request)
