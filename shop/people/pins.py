"""Sign-in by staff name and PIN, for a registered kiosk only. Lockout is counted by django-axes like any sign-in."""

from typing import Any

from django.contrib.auth.backends import BaseBackend
from django.http import HttpRequest

from shop.people.models import Person


class PinBackend(BaseBackend):
    """Answers only when a PIN is handed in."""

    def authenticate(
        self, request: HttpRequest | None, username: str | None = None, pin: str | None = None, **_rest: Any
    ) -> Person | None:
        if not username or not pin:
            return None
        person = Person.objects.filter(username__iexact=username.strip(), is_active=True).first()
        return person if person is not None and person.check_pin(pin) else None

    def get_user(self, user_id: int) -> Person | None:
        return Person.objects.filter(pk=user_id, is_active=True).first()
