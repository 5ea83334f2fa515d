"""Every time somebody signs in is a row, so that it can be listed and ended."""

from collections.abc import Callable
from datetime import datetime, timedelta
from importlib import import_module
from typing import Any

from django.conf import settings
from django.contrib.auth.signals import user_logged_in, user_logged_out
from django.dispatch import receiver
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from shop.people.agents import in_words
from shop.people.models import Person, SignedIn

SEEN_EVERY = timedelta(minutes=5)
_SEEN = "seen"


@receiver(user_logged_in)
def _began(request: HttpRequest | None, user: Person, **_rest: Any) -> None:
    if request is None or not hasattr(request, "session"):
        return
    if request.session.session_key is None:
        request.session.create()
    now = timezone.now()
    device = getattr(request, "bench_device", None)
    SignedIn.objects.update_or_create(
        session_key=request.session.session_key,
        defaults={
            "person": user,
            "agent": in_words(request.headers.get("User-Agent", ""))[:80],
            "device": device,
            "began_at": now,
            "seen_at": now,
            "ended_at": None,
        },
    )
    request.session[_SEEN] = now.timestamp()


@receiver(user_logged_out)
def _ended(request: HttpRequest, **_rest: Any) -> None:
    key = request.session.session_key
    if key:
        SignedIn.objects.filter(session_key=key, ended_at=None).update(ended_at=timezone.now())


def end(sign_in: SignedIn, *, at: datetime) -> bool:
    """Sign somebody out wherever that was. False when it was over already. Call inside a transaction."""
    store: Any = import_module(settings.SESSION_ENGINE).SessionStore
    store(sign_in.session_key).delete()
    return bool(SignedIn.objects.filter(pk=sign_in.pk, ended_at=None).update(ended_at=at))


def open_for(person: Person, *, at: datetime) -> list[SignedIn]:
    """Where a person is signed in now, the newest first; what ran out by itself is left away. One query."""
    since = at - timedelta(seconds=settings.SESSION_COOKIE_AGE)
    rows = SignedIn.objects.filter(person=person, ended_at=None, seen_at__gte=since).select_related("device")
    return list(rows.order_by("-seen_at"))


class SeenMiddleware:
    """Notes every few minutes that a signed-in person is still there. Two statements each time, none in between."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        # only a session that was opened anyway is looked at, so nobody pays for it who did not sign in
        if request.session.accessed and _SEEN in request.session:
            now = timezone.now()
            if not 0 <= now.timestamp() - request.session[_SEEN] < SEEN_EVERY.total_seconds():
                request.session[_SEEN] = now.timestamp()
                SignedIn.objects.filter(session_key=request.session.session_key or "").update(seen_at=now)
        return response
