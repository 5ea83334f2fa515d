"""Giving a job's things back: the list, each thing ticked, the collector's signature."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction

from jobs.book.models import Job, Party
from jobs.book.refusals import Refused
from jobs.book.steps import record
from jobs.custody.models import Release, ReleasedThing, Sighting
from jobs.papers.heads import shop_head
from jobs.papers.otherwise import named_otherwise
from jobs.papers.steps import Signing, freeze
from jobs.papers.texts import Named, ReleaseText, Returned, Signed, Thing, moment
from shop.clock import day_words, local
from shop.people.models import Person
from shop.profile.models import Profile

CARE = (
    "Keep it between 40 and 60 % humidity and away from heat and sun.",
    "Look at the bridge now and then: its back should stand upright.",
    "If anything rattles, slips or opens, slacken the strings a little and call us.",
)
BOW_CARE = ("Slacken the hair after playing.", "Keep the hair away from damp and from moths; air the case.")


@dataclass(frozen=True, slots=True)
class ToGive:
    """One thing to be handed over. `key` names its tick."""

    key: str
    words: str
    is_item: bool


def things_of(job: Job) -> tuple[ToGive, ...]:
    """The item and everything left with it. One query besides the item."""
    things = [ToGive("item", job.item.title, True)]
    things += [ToGive(f"a{one.pk}", one.words, False) for one in job.accessories.all() if one.left]
    return tuple(things)


def collectors_of(job: Job) -> list[Party]:
    """Who may collect: the named collectors and the owner. One query."""
    roles = job.roles.select_related("party").filter(role__in=("collector", "owner")).order_by("pk")
    return list({held.party_id: held.party for held in roles}.values())


def release(
    job: Job,
    *,
    ticked: Collection[str],
    collector: Party,
    collector_name: str,
    identity_note: str,
    signed: Signed | None,
    money_words: str,
    shop: Profile,
    by: Person,
    at: datetime,
) -> Release:
    """Write the release inside the caller's transaction. Refuses when a thing is not ticked or nothing says who it is."""
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("A release is written in the transaction of its move.")
    things = things_of(job)
    missing = [one.words for one in things if one.key not in ticked]
    if missing:
        raise Refused(f"Not ticked: {', '.join(missing)}. Put each thing on the counter and tick it.")
    if collector.pk not in {party.pk for party in collectors_of(job)}:
        raise Refused("This person is not among those who may collect. Ask the owner, then add them first.")
    if not collector_name.strip():
        raise Refused("Write the name of whoever collects.")
    if not identity_note.strip():
        raise Refused("Write how you know it is them: known to us, or which paper they showed.")
    if Release.objects.filter(job=job).exists():
        raise Refused("It has been handed over already.")
    if signed is None:
        raise Refused("Let the collector sign first.")
    made = Release.objects.create(
        job=job,
        collector=collector,
        collector_name=collector_name.strip(),
        identity_note=identity_note.strip(),
        at=at,
        by=by,
    )
    ReleasedThing.objects.bulk_create(
        ReleasedThing(release=made, words=one.words, item=job.item if one.is_item else None) for one in things
    )
    Sighting.objects.create(item=job.item, location=None, at=at, by=by, how="home")
    text = _text(job, made, things, money_words=money_words, shop=shop, by=by, at=at)
    made.paper = freeze(text, job=job, by=by, at=at, signatures=(Signing(signed, party=collector),))
    made.save(update_fields=["paper"])
    record("release.signed", by=by, at=at, job=job, item=job.item, data={"release": made.pk, "collector": collector.pk})
    return made


def _text(
    job: Job, made: Release, things: tuple[ToGive, ...], *, money_words: str, shop: Profile, by: Person, at: datetime
) -> ReleaseText:
    last = local(at, shop.zone).date() + timedelta(days=shop.settling_days)
    stamp = moment(at, shop.zone)
    return ReleaseText(
        shop=shop_head(shop),
        fixed=stamp,
        collector=Named(name=made.collector_name, role="collects"),
        released_by=by.name,
        identity=made.identity_note,
        jobs=(job.number,),
        returned=tuple(
            Returned(
                item=Thing(name=one.words, kind=job.item.kind if one.is_item else ""),
                job=job.number,
                ticked_by=by.name,
                at=stamp,
                words=named_otherwise(job, shop.zone) if one.is_item else "",
            )
            for one in things
        ),
        money=money_words,
        care=BOW_CARE if job.item.kind == "Bw" else CARE,
        free_check=f"The settling check is free until {day_words(last)} {last.year}." if job.item.kind != "Bw" else "",
    )
