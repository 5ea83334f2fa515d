"""Registering, naming and stopping kiosks and bench devices."""

import secrets
from datetime import datetime

from django.db import transaction

from jobs.book.refusals import Refused, Stale
from jobs.book.steps import record
from shop.people.kiosk import token_hash
from shop.people.models import Device, Person
from shop.profile.models import FormerFact

ACTIONS = ("device.registered", "device.renamed", "device.stopped")
KINDS = ("kiosk", "bench")


def register(name: str, kind: str, *, by: Person, at: datetime) -> tuple[Device, str]:
    """Register the device that asks; returns its row and the token its cookie is to hold, which is kept nowhere."""
    name = _proper(name)
    if kind not in KINDS:
        raise Refused("Say whether it stands at the front desk as a kiosk or lies at the bench.")
    token = secrets.token_urlsafe(32)
    with transaction.atomic():
        device = Device.objects.create(
            name=name, kind=kind, token_hash=token_hash(token), registered_by=by, registered_at=at
        )
        record("device.registered", by=by, at=at, data={"about": device.pk, "kind": kind})
    return device, token


def rename(device: Device, name: str, *, seen: str, by: Person, at: datetime) -> bool:
    """Give a device another name; `seen` is the one its page showed. Raises Stale when it has another by now."""
    name = _proper(name)
    with transaction.atomic():
        held = Device.objects.select_for_update(no_key=True).get(pk=device.pk)
        if held.name != seen:
            raise Stale(f"This device is called {held.name} by now. Look again, then change it.")
        if held.name == name:
            return False
        # a device may be called after a person, so both names stand where they can be erased
        former = FormerFact.objects.create(field="device", old=held.name, new=name, at=at, by=by)
        held.name = name
        held.save(update_fields=["name"])
        record("device.renamed", by=by, at=at, data={"about": held.pk, "former": {"its name": former.pk}})
    return True


def stop(device: Device, *, by: Person, at: datetime) -> None:
    """From this moment its cookie opens nothing and whoever is signed in there is signed out. Twice is once."""
    with transaction.atomic():
        held = Device.objects.select_for_update(no_key=True).get(pk=device.pk)
        if held.dead_at is not None:
            return
        held.dead_at, held.dead_by = at, by
        held.save(update_fields=["dead_at", "dead_by"])
        record("device.stopped", by=by, at=at, data={"about": held.pk, "kind": held.kind})


def _proper(name: str) -> str:
    name = " ".join(name.split())
    if not name or len(name) > 60:
        raise Refused("Give it a name of one to sixty letters, such as “Front desk tablet”.")
    return name
