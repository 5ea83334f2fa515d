"""Finding and making parties, items and jobs: steps of the job book."""

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import phonenumbers
from django.db import IntegrityError, transaction
from django.db.models import Q

from jobs.book.kinds import title_of
from jobs.book.models import Accessory, Hold, Item, Job, JobParty, Party, Visit
from jobs.book.refusals import ClosedThen, Refused
from jobs.book.stages import HOLDS, Stage
from jobs.book.steps import next_job_number, record
from shop.clock import days_words, local
from shop.hours import next_open_day, why_closed
from shop.people.models import Person
from shop.profile.reads import opening, profile

MOST_YEARS = 5  # a day further off than this is a slip of the pen


def phone_e164(text: str, region: str) -> str:
    """A telephone number in E.164 (ITU-T, at most 15 digits), "" for "". Raises Refused when it cannot be one."""
    if not text.strip():
        return ""
    try:
        number = phonenumbers.parse(text, region)
    except phonenumbers.NumberParseException as fault:
        raise Refused(
            f"“{text[:40]}” is not a telephone number. Look at it again, with the code of its place."
        ) from fault
    if not phonenumbers.is_possible_number(number):
        raise Refused(f"“{text[:40]}” has too many or too few digits for a telephone number. Look at it again.")
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)


def same_party(*, email: str = "", phone: str = "") -> Party | None:
    """The party with this e-mail or telephone, so that nobody is written down twice."""
    if email and (found := Party.objects.filter(email__iexact=email).first()):
        return found
    return Party.objects.filter(phone=phone).first() if phone else None


def find_parties(text: str, *, region: str, limit: int = 8) -> list[Party]:
    """Parties whose name, e-mail or telephone holds the text. One query."""
    text = text.strip()
    if len(text) < 2:
        return []
    where = Q(name__icontains=text) | Q(email__icontains=text)
    digits = "".join(character for character in text if character.isdigit())
    if len(digits) >= 4:
        where |= Q(phone__contains=digits.lstrip("0"))
    return list(Party.objects.filter(where).order_by("name")[:limit])


def make_party(
    *,
    name: str,
    by: Person | None,
    at: datetime,
    email: str = "",
    phone: str = "",
    region: str = "GB",
    address: str = "",
    body: bool = False,
    minor: bool = False,
    remarks: str = "",
    tax_exempt_paper: str = "",
    tax_exempt_until: date | None = None,
) -> Party:
    """Write down a party, or return the one already known by this e-mail or telephone."""
    name = " ".join(name.split())
    if not name:
        raise Refused("Write a name first.")
    email, phone = email.strip().lower(), phone_e164(phone, region)
    with transaction.atomic():
        known = same_party(email=email, phone=phone)
        if known is not None:
            return known
        party = Party(
            name=name,
            email=email,
            phone=phone,
            address=address,
            body=body,
            minor=minor,
            remarks=remarks,
            tax_exempt_paper=tax_exempt_paper,
            tax_exempt_until=tax_exempt_until,
            made_at=at,
        )
        try:
            with transaction.atomic():
                party.save(force_insert=True)
        except IntegrityError:
            # another desk wrote the same one down between our look and now
            known = same_party(email=email, phone=phone)
            if known is None:
                raise
            return known
        record("party.made", by=by, at=at, data={"party": party.pk})
    return party


def make_item(
    *,
    kind: str,
    size: str,
    owner: Party | None,
    by: Person | None,
    at: datetime,
    labelled: str = "",
    marks: str = "",
    asset: str = "",
    title: str = "",
) -> Item:
    """Write down an item. Call inside a transaction."""
    item = Item.objects.create(
        kind=kind,
        size=size,
        title=title or title_of(kind, size),
        labelled=labelled,
        marks=marks,
        asset=asset,
        owner=owner,
        made_at=at,
    )
    record("item.made", by=by, at=at, item=item, data={"owner": owner.pk if owner else None})
    return item


def open_job(
    *,
    item: Item,
    by: Person | None,
    at: datetime,
    visit: Visit | None = None,
    kind: str = "repair",
    work: str = "",
    said: str = "",
    tension: str = "",
    not_examined: str = "",
    missing_views: dict[str, str] | None = None,
    value_stated: Decimal | None = None,
    value_basis: str = "",
    agreed_words: str = "",
    agreed_net: Decimal | None = None,
    linked_to: Job | None = None,
    number: str = "",
    roles: Iterable[tuple[Party, str]] = (),
    accessories: Iterable[tuple[str, bool]] = (),
) -> Job:
    """Open a job at Expected, with its parties and accessories. Call inside a transaction."""
    job = Job.objects.create(
        number=number or next_job_number(at),
        item=item,
        visit=visit,
        kind=kind,
        stage=Stage.EXP,
        work=work,
        said=said,
        tension=tension,
        not_examined=not_examined,
        missing_views=missing_views or {},
        value_stated=value_stated,
        value_basis=value_basis,
        agreed_words=agreed_words,
        agreed_net=agreed_net,
        linked_to=linked_to,
        opened_at=at,
        stage_since=at,
    )
    JobParty.objects.bulk_create([JobParty(job=job, party=party, role=role) for party, role in dict.fromkeys(roles)])
    Accessory.objects.bulk_create(
        [Accessory(job=job, words=words, left=left, position=n) for n, (words, left) in enumerate(accessories)]
    )
    record("job.opened", by=by, at=at, job=job, item=item, visit=visit, data={"kind": kind})
    return job


def take_up(
    job_id: int,
    *,
    item: Item,
    visit: Visit,
    by: Person | None,
    at: datetime,
    kind: str,
    roles: Iterable[tuple[Party, str]],
    accessories: Iterable[tuple[str, bool]],
    **facts: Any,
) -> Job:
    """An expected job has come through the door: it keeps its number and takes what the desk wrote down.

    `facts` are fields of the job as in `open_job`. Call inside a transaction.
    """
    job = Job.objects.select_for_update(no_key=True).get(pk=job_id)
    if job.stage != Stage.EXP or job.closed_at is not None or job.visit_id is not None:
        raise Refused(f"{job.number} is not expected any more. Look at it on the rails first.")
    if job.item_id != item.pk:
        raise Refused(f"{job.number} is expected with another item. Take this one off the list and choose again.")
    job.visit, job.kind = visit, kind
    for name, value in facts.items():
        setattr(job, name, value)
    job.save(update_fields=["visit", "kind", *facts])
    JobParty.objects.filter(job=job).delete()
    JobParty.objects.bulk_create([JobParty(job=job, party=party, role=role) for party, role in dict.fromkeys(roles)])
    Accessory.objects.filter(job=job).delete()
    Accessory.objects.bulk_create(
        [Accessory(job=job, words=words, left=left, position=n) for n, (words, left) in enumerate(accessories)]
    )
    record("job.taken_up", by=by, at=at, job=job, item=item, visit=visit, data={"kind": kind})
    return job


def assign(job: Job, to: Person | None, *, by: Person, at: datetime) -> None:
    """Give a job to someone, or to nobody."""
    with transaction.atomic():
        locked = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        if locked.closed_at:
            raise Refused("This job is closed.")
        before, locked.assigned = locked.assigned_id, to
        if before == (to.pk if to else None):
            return
        locked.save(update_fields=["assigned"])
        record("job.assigned", by=by, at=at, job=locked, data={"from": before, "to": to.pk if to else None})


def promise(job: Job, day: date | None, sureness: str, *, by: Person, at: datetime, anyway: bool = True) -> None:
    """Say by which day it should be ready, and how sure that is (firm, likely, shaky).

    Unless `anyway`, a day the shop is closed raises ClosedThen with the next open one.
    """
    if day is not None and sureness not in {"firm", "likely", "shaky"}:
        raise Refused("Say how sure the day is: firm, likely or shaky.")
    if day is not None and abs(day.year - at.year) > MOST_YEARS:
        raise Refused(f"Look at the year: {day.year} is too far from now.")
    with transaction.atomic():
        locked = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        before = locked.promised
        if (before, locked.sureness) == (day, sureness if day else ""):
            return
        if day is not None and day != before and not anyway:
            _open_then(day, at=at)
        locked.promised, locked.sureness = day, sureness if day else ""
        locked.save(update_fields=["promised", "sureness"])
        data = {
            "from": before.isoformat() if before else None,
            "to": day.isoformat() if day else None,
            "sure": sureness,
        }
        record("job.promised", by=by, at=at, job=locked, data=data)


def _open_then(day: date, *, at: datetime) -> None:
    shop = profile()
    doors = opening(shop, since=day)
    why = why_closed(doors, day, today=local(at, shop.zone).date())
    if not why:
        return
    instead = next_open_day(doors, day)
    take = f"Take {days_words(instead)}, or say it anyway." if instead else "Say it anyway, or choose another day."
    raise ClosedThen(f"{why}. {take}", instead=instead)


def lay_hold(job: Job, kind: str, words: str, *, by: Person, at: datetime) -> Hold:
    """Lay tape over a job: it waits for something."""
    if kind not in HOLDS:
        raise Refused("Choose what it waits for.")
    words = words.strip()[:80]
    with transaction.atomic():
        locked = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        if locked.closed_at:
            raise Refused("This job is closed.")
        laid = locked.holds.filter(kind=kind, words=words, lifted_at__isnull=True).first()
        if laid is not None:
            return laid
        hold = Hold.objects.create(job=locked, kind=kind, words=words, laid_by=by, laid_at=at)
        record("hold.laid", by=by, at=at, job=locked, data={"hold": hold.pk, "kind": kind})
    return hold


def lift_hold(hold: Hold, *, by: Person, at: datetime) -> None:
    """Lift tape. Lifting twice is the same as once."""
    with transaction.atomic():
        if Hold.objects.filter(pk=hold.pk, lifted_at__isnull=True).update(lifted_at=at, lifted_by=by):
            record("hold.lifted", by=by, at=at, job=hold.job, data={"hold": hold.pk, "kind": hold.kind})
