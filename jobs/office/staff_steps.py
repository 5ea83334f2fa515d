"""People of the shop: invited, changed, given a way in, gone and come back. Everybody's work stays theirs."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from axes.utils import reset
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Q

from jobs.bench.models import WorkSpell
from jobs.bench.steps import stop
from jobs.book.models import Job
from jobs.book.parties import assign
from jobs.book.refusals import Refused, Stale
from jobs.book.steps import keep, press, record
from jobs.office.changing import mark, not_changed_meanwhile
from jobs.office.staff_fields import FIELDS, PERSONAL, in_words, read_person
from shop.people.models import Person, SignedIn
from shop.people.roles import Role
from shop.people.sign_ins import end, open_for
from shop.people.ways_in import path_for
from shop.profile.models import FormerFact
from shop.profile.reads import profile

CHANGED = ("staff.changed",)
_PIN = re.compile(r"[0-9]{4,8}")


@dataclass(frozen=True, slots=True)
class Left:
    """What somebody's going did besides: the clock that was stopped, and how many jobs another has now."""

    stopped_on: str
    given: int


def invite(typed: Mapping[str, str], *, by: Person, at: datetime, key: str) -> Person:
    """Write somebody down. With an e-mail address a way in is sent there; without, the head luthier shows one.

    Raises Faults by field, Again for a second press.
    """
    with transaction.atomic():
        pressed = press(key, "staff.invite", at=at)
        fresh = read_person(typed, None)
        person = Person(
            **{name: value for name, value in fresh.items() if name != "skill"}, skill=fresh["skill"], joined_at=at
        )
        person.set_unusable_password()
        person.link_asked_at = at if person.email else None
        _save(person)
        record("staff.invited", by=by, at=at, data={"person": person.pk, "role": person.role, "skill": person.skill})
        keep(pressed, person=person.pk)
    return person


def shown_of(person: Person) -> dict[str, str]:
    """A person's fields as the page shows them."""
    return {name: str(getattr(person, name)) for name in FIELDS}


def mark_of(person: Person) -> str:
    """Mark of what the page showed."""
    return mark(shown_of(person))


def change(person: Person, typed: Mapping[str, str], *, seen: str, by: Person, at: datetime) -> list[str]:
    """Keep a person's fields; returns the names of those that changed. Both values of each are kept.

    Raises Faults, Stale when somebody changed them meanwhile, Refused when no head luthier would be left.
    """
    with transaction.atomic():
        held = _held_with_heads(person)[person.pk]
        not_changed_meanwhile(seen, shown_of(held), CHANGED, profile(), at=at)
        fresh = read_person(typed, held)
        changed = [name for name in FIELDS if fresh[name] != getattr(held, name)]
        if not changed:
            return []
        if "role" in changed and held.role == Role.HEAD:
            _another_head(held)
        changes, former = {}, {}
        for name in changed:
            old, new = str(getattr(held, name)), str(fresh[name])
            if name in PERSONAL:
                former[name] = FormerFact.objects.create(field=name, old=old, new=new, at=at, by=by).pk
            else:
                changes[name] = [in_words(name, old), in_words(name, new)]
            setattr(held, name, fresh[name])
        _save(held, changed)
        record("staff.changed", by=by, at=at, data={"person": held.pk, "changes": changes, "former": former})
    return changed


def give_way_in(person: Person, *, by: Person, at: datetime, send: bool) -> str:
    """A way in for somebody who cannot sign in: sent to their address, or its path to be shown. Lifts a lock-out.

    Raises Refused for whoever is gone, or without an address when it is to be sent.
    """
    with transaction.atomic():
        held = _held(person)
        if not held.is_active:
            raise Refused(f"{held.short} does not work here now. Let them come back first.")
        if send and not held.email:
            raise Refused(f"No e-mail address is written down for {held.short}. Show the way in here instead.")
        if send:
            held.link_asked_at, held.link_sent_at = at, None
            held.save(update_fields=["link_asked_at", "link_sent_at"])
        record("staff.way_in", by=by, at=at, data={"person": held.pk, "sent": send})
    reset(username=held.username)
    return "" if send else path_for(held)


def set_password(person: Person, password: str, *, by: Person, at: datetime) -> None:
    """Keep a new password. Every other place where the person is signed in is signed out. Raises Refused in words."""
    try:
        validate_password(password, person)
    except ValidationError as fault:
        raise Refused(" ".join(fault.messages)) from fault
    with transaction.atomic():
        held = _held(person)
        held.set_password(password)
        held.save(update_fields=["password"])
        record("staff.password", by=by, at=at, data={"person": held.pk})
        for one in open_for(held, at=at):
            end(one, at=at)
    reset(username=held.username)
    person.password = held.password


def set_pin(person: Person, pin: str, *, by: Person, at: datetime) -> None:
    """Keep a new PIN for the kiosk. Raises Refused for one that is no PIN, or that anybody guesses."""
    if not _PIN.fullmatch(pin):
        raise Refused("A PIN has four to eight figures.")
    steps = {int(after) - int(before) for before, after in pairwise(pin)}
    if steps in ({0}, {1}, {-1}) or (len(pin) == 4 and pin[:2] == pin[2:]):
        raise Refused("Anybody guesses that PIN. Choose figures that do not run in a row or repeat.")
    with transaction.atomic():
        held = _held(person)
        held.set_pin(pin)
        held.save(update_fields=["pin_hash"])
        record("staff.pin", by=by, at=at, data={"person": held.pk})
    reset(username=held.username)


def leave(person: Person, *, jobs_to: Person | None, by: Person, at: datetime) -> Left:
    """Somebody stops working here: signed out everywhere, a running clock stopped now. What they did stays theirs.

    Their open jobs go to `jobs_to`, or stay in their name. Raises Refused for oneself and the last head luthier.
    """
    if person.pk == by.pk:
        raise Refused("You cannot let yourself go. Another head luthier does that.")
    if jobs_to is not None and (not jobs_to.is_active or jobs_to.pk == person.pk):
        raise Refused("Give their jobs to somebody who works here.")
    with transaction.atomic():
        rows = _held_with_heads(person, jobs_to)
        held = rows[person.pk]
        if not held.is_active:
            raise Refused(f"{held.short} does not work here already.")
        if jobs_to is not None and not rows[jobs_to.pk].is_active:
            raise Refused(f"{jobs_to.short} was let go just now. Give their jobs to somebody who works here.")
        if held.role == Role.HEAD:
            _another_head(held)
        running = WorkSpell.objects.select_related("job").filter(person=held, stopped_at=None).first()
        if running is not None:
            stop(running, by=by, at=at)
        theirs = list(Job.objects.filter(assigned=held, closed_at=None).order_by("pk"))
        if jobs_to is not None:
            for job in theirs:
                assign(job, jobs_to, by=by, at=at)
        held.is_active, held.left_at = False, at
        held.save(update_fields=["is_active", "left_at"])
        for one in open_for(held, at=at):
            end(one, at=at)
        given = len(theirs) if jobs_to is not None else 0
        data = {"person": held.pk, "stopped": running.pk if running else None, "given": given}
        record("staff.left", by=by, at=at, data=data)
    return Left(running.job.number if running else "", given)


def come_back(person: Person, *, by: Person, at: datetime) -> None:
    """Somebody works here again, with the password and PIN they had. Twice is the same as once."""
    with transaction.atomic():
        held = _held(person)
        if held.is_active:
            return
        held.is_active, held.left_at = True, None
        held.save(update_fields=["is_active", "left_at"])
        record("staff.back", by=by, at=at, data={"person": held.pk})


def sign_out(person: Person, sign_in: int | None, *, by: Person, at: datetime, but: str = "") -> int:
    """End one of a person's sign-ins, or all (None) but the one with session key `but`. Returns how many."""
    with transaction.atomic():
        found = [
            one for one in open_for(person, at=at) if one.session_key != but and (sign_in is None or one.pk == sign_in)
        ]
        ended = sum(end(one, at=at) for one in found)
        if ended:
            record("staff.signed_out", by=by, at=at, data={"person": person.pk, "n": ended})
    return ended


def here_now(sign_ins: list[SignedIn], key: str) -> list[tuple[SignedIn, bool]]:
    """Each sign-in, and whether it is the one that asks."""
    return [(one, one.session_key == key) for one in sign_ins]


def _held(person: Person) -> Person:
    return Person.objects.select_for_update(no_key=True).get(pk=person.pk)


def _held_with_heads(*people: Person | None) -> dict[int, Person]:
    """People and every head luthier, locked in one order: two of them cannot take each other's role at once."""
    wanted = Q(pk__in=[one.pk for one in people if one is not None]) | Q(role=Role.HEAD, is_active=True)
    return {one.pk: one for one in Person.objects.select_for_update(no_key=True).filter(wanted).order_by("pk")}


def _save(person: Person, changed: list[str] | None = None) -> None:
    try:
        with transaction.atomic():
            person.save(update_fields=changed)
    except IntegrityError as fault:
        # written down by someone else between our look and now
        raise Stale("Somebody was given that name just now. Look at the people again, then choose another.") from fault


def _another_head(but: Person) -> None:
    """With every head luthier locked."""
    if not Person.objects.filter(role=Role.HEAD, is_active=True).exclude(pk=but.pk).exists():
        raise Refused(f"{but.short} is the only head luthier. Name another first.")
