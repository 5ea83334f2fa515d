"""A draft that may be signed, pictures drawn here, strokes of a finger, and a desk to walk the pages from."""

import hashlib
import json
from dataclasses import replace
from datetime import datetime
from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from jobs.book.models import Party
from jobs.catalogue.steps import load_words
from jobs.intake import drafts, steps
from jobs.intake.lacking import View
from jobs.intake.models import Draft
from jobs.intake.notes import note_text
from jobs.intake.reads import sit
from jobs.intake.signs import Signs
from jobs.papers.frozen import words_sha256
from jobs.papers.texts import Signed, moment
from jobs.photos.models import Photo
from jobs.photos.steps import receive
from shop.people.kiosk import COOKIE, token_hash
from shop.people.models import Device, Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

STROKES: list[list[list[int]]] = [
    [[100, 250, 0], [140, 90, 40], [190, 300, 90], [240, 120, 140], [300, 260, 190]],
    [[420, 240, 400], [640, 150, 520]],
]
PIN = "2580"


def open_shop() -> None:
    """The shop, its vocabulary, two hooks, and the cast that takes in."""
    factory.shop()
    load_words(NOW)
    for role in (Role.DESK, Role.HEAD, Role.LUTHIER, Role.TECHNICIAN):
        factory.person(role)
    for name in ("R2-6", "R2-7"):
        factory.location(name)


def jpeg(colour: str = "sienna", size: tuple[int, int] = (64, 48)) -> bytes:
    """A small whole JPEG of one colour."""
    out = BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return out.getvalue()


def upload(data: bytes | None = None, name: str = "front.jpg") -> SimpleUploadedFile:
    """What a camera input sends."""
    return SimpleUploadedFile(name, jpeg() if data is None else data)


def reasons(kind: str) -> tuple[tuple[str, str], ...]:
    """A reason for every needed view of a kind, as the vocabulary has them now."""
    return tuple(sorted((view.code, "too fragile to turn") for view in needed(kind)))


def needed(kind: str) -> tuple[View, ...]:
    """Views of the least set."""
    from_book = drafts.Draft(pieces=(drafts.new_piece("0" * 12, kind),))
    row = Draft(data=drafts.to_json(from_book), made_at=NOW, saved_at=NOW)
    return sit(row, receiver=factory.person(Role.DESK)).seen.needed["0" * 12]


def piece(number: str = "26-0401", kind: str = "Vn", **known: Any) -> drafts.Piece:
    """A piece that stops nothing."""
    made = drafts.new_piece(hashlib.sha256(number.encode()).hexdigest()[:12], kind, number=number)
    size = {"Vn": "4/4", "Bw": "violin"}.get(kind, "")
    filled: dict[str, Any] = {
        "size": size,
        "marks": "dark brown",
        "said": "It rattles when I play the low string.",
        "tension": "slack",
        "left": ("case",),
        "nothing_found": True,
        "why_no_view": reasons(kind),
        "value_answer": "not stated",
    }
    return replace(made, **{**filled, **known})


def draft(owner: Party, *pieces: drafts.Piece, **known: Any) -> drafts.Draft:
    """A draft that may be signed."""
    return drafts.Draft(depositor=owner.pk, pieces=pieces or (piece(),), **known)


def begun(made: drafts.Draft | None = None, *, by: Person | None = None, device: Device | None = None) -> Draft:
    """A draft's row."""
    return steps.begin(by=by or factory.person(Role.DESK), at=NOW, device=device, draft=made)


def photo(row: Draft, slot: str, view: str = "", *, data: bytes | None = None, key: str = "") -> Photo:
    """A photo received into a slot."""
    return receive(
        upload(data or jpeg()),
        purpose="intake" if view else "line",
        by=row.by,
        at=NOW,
        send_key=key or f"send-{slot}-{view}-{Photo.objects.count()}",
        sitting=row.key,
        slot=slot,
        view=view,
    )


def signs(**known: Any) -> Signs:
    """Both have signed."""
    at = moment(NOW, factory.shop().zone)
    both: dict[str, Any] = {
        "depositor": Signed.drawn(role="depositor", name="Imelda Rookstone", at=at, strokes=STROKES),
        "receiver": Signed.drawn(role="receiver", name="Maris Quillby", at=at, strokes=STROKES),
    }
    return Signs(**{**both, **known})


def seen_hash(row: Draft) -> str:
    """The hash of the words as the page shows them now."""
    sitting = sit(row, receiver=row.by)
    return words_sha256(note_text(sitting.draft, sitting.beside))


def desk(role: Role = Role.DESK) -> Client:
    """A signed-in browser at the desk."""
    client = Client()
    client.force_login(factory.person(role), backend="django.contrib.auth.backends.ModelBackend")
    return client


def kiosk(name: str = "Front desk tablet", *, open_for: str = "maris") -> Client:
    """A registered kiosk, unlocked for someone by staff name and PIN ("" leaves it locked)."""
    token = f"token of {name}"
    Device.objects.get_or_create(
        token_hash=token_hash(token),
        defaults={"name": name, "registered_by": factory.person(Role.HEAD), "registered_at": NOW},
    )
    client = Client()
    client.cookies[COOKIE] = token
    if open_for:
        client.post("/kiosk/open/", {"username": open_for, "pin": PIN})
    return client


def signed_form(page_text: str, **known: Any) -> dict[str, Any]:
    """The seal form as a browser would send it from the page, both having signed."""
    said = {name: hidden(page_text, name) for name in ("version", "digest", "key", "depositor_name")}
    strokes = json.dumps(STROKES)
    return {**said, "depositor_strokes": strokes, "receiver_strokes": strokes, **known}


def hidden(page_text: str, name: str) -> str:
    """The value of the last hidden input of this name on a page."""
    start = page_text.rindex(f'name="{name}" value="') + len(f'name="{name}" value="')
    return page_text[start : page_text.index('"', start)]


def later(at: datetime = NOW) -> datetime:
    """A moment after."""
    return at.replace(minute=at.minute + 1)
