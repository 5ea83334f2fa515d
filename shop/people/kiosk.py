"""Registered devices. A kiosk shows only intake; its receiver is named by staff name and PIN and forgotten after two idle
minutes. A bench device shows what its person may see, keeps them signed in for a day at most, and is named in entries.
"""

import hashlib
from collections.abc import Callable
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth import logout
from django.contrib.auth.models import AnonymousUser
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import Resolver404, resolve
from django.utils import timezone

from shop.people.here import at_device
from shop.people.models import Device, Person

COOKIE = "shop_device"
IDLE = timedelta(minutes=2)
BENCH_DAY = timedelta(hours=12)  # a phone that lies about keeps nobody signed in overnight
SEEN_EVERY = timedelta(minutes=1)
OPEN_HERE = frozenset({"intake", "kiosk"})
_PERSON, _SEEN, _BENCH = "kiosk_person", "kiosk_seen", "bench_device"


def token_hash(token: str) -> str:
    """What the table holds of a device's token."""
    return hashlib.sha256(token.encode()).hexdigest()


def device_of(request: HttpRequest) -> Device | None:
    """The live device whose cookie this is, or None."""
    token = request.COOKIES.get(COOKIE, "")
    return Device.objects.filter(token_hash=token_hash(token), dead_at__isnull=True).first() if token else None


def give_cookie(response: HttpResponse, token: str, *, secure: bool) -> HttpResponse:
    """Let a device keep its token for five years."""
    response.set_cookie(COOKIE, token, max_age=5 * 365 * 86400, httponly=True, samesite="Lax", secure=secure)
    return response


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


def _seen(device: Device, now: datetime) -> None:
    """Note when a device was last seen. One statement a minute."""
    if device.seen_at is None or abs(now - device.seen_at) >= SEEN_EVERY:
        long_ago = Q(seen_at=None) | Q(seen_at__lte=now - SEEN_EVERY) | Q(seen_at__gt=now)
        Device.objects.filter(long_ago, pk=device.pk).update(seen_at=now)


def _at_bench(request: HttpRequest, device: Device | None) -> None:
    """Whoever signs in at a bench device stays for a day at most, and no longer than the device is registered."""
    if settings.SESSION_COOKIE_NAME not in request.COOKIES:
        return
    begun = request.session.get(_BENCH)
    if begun is not None and (device is None or begun != device.pk):
        logout(request)
    elif begun is None and device is not None and request.user.is_authenticated:
        request.session[_BENCH] = device.pk
        request.session.set_expiry(BENCH_DAY)


class KioskMiddleware:
    """Sets `request.kiosk` and, on a kiosk, who is named there; keeps everything but intake shut.

    At a bench device it sets `request.bench_device`. Entries written meanwhile name the device.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        device = device_of(request)
        kiosk = device if device is not None and device.kind == "kiosk" else None
        request.kiosk = kiosk  # type: ignore[attr-defined]
        request.bench_device = device if kiosk is None else None  # type: ignore[attr-defined]
        at_device(device.pk if device else None)
        try:
            if device is not None:
                _seen(device, timezone.now())
            if kiosk is not None:
                return self._at_kiosk(request)
            _at_bench(request, device)
            return self.get_response(request)
        finally:
            at_device(None)

    def _at_kiosk(self, request: HttpRequest) -> HttpResponse:
        request.user = _receiver(request) or AnonymousUser()
        try:
            match = resolve(request.path_info)
        except Resolver404:
            return redirect("kiosk:home")
        open_here = bool(OPEN_HERE & set(match.namespaces)) or match.url_name in {"healthz"}
        if not open_here or (match.namespaces == ["intake"] and not request.user.is_authenticated):
            return redirect("kiosk:home")
        return self.get_response(request)
