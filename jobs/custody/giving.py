"""Giving the things of one or several jobs back: the list, each thing ticked, the collector's signature."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction

from jobs.book.models import Job, JobParty, Party
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
COLLECTS = ("collector", "owner")
BOW_CARE = ("Slacken the hair after playing.", "Keep the hair away from damp and from moths; air the case.")


@dataclass(frozen=True, slots=True)
class ToGive:
    """One thing to be handed over. `key` names its tick."""

    key: str
    words: str
    is_item: bool


def things_of(job: Job) -> tuple[ToGive, ...]:
    """The item and everything left with it. One query besides the item."""
    things = [ToGive(f"i{job.pk}", job.item.title, True)]
    things += [ToGive(f"a{one.pk}", one.words, False) for one in job.accessories.all() if one.left]
    return tuple(things)


def collectors_of(job: Job) -> list[Party]:
    """Who may collect: the named collectors and the owner. One query, none where roles and parties are at hand."""
    held = [one for one in _roles_of(job) if one.role in COLLECTS]
    return list({one.party_id: one.party for one in sorted(held, key=lambda one: one.pk)}.values())


def _roles_of(job: Job) -> Iterable[JobParty]:
    at_hand = getattr(job, "_prefetched_objects_cache", {}).get("roles")
    return at_hand if at_hand is not None else job.roles.select_related("party")


def release(
    jobs: Sequence[Job],
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
) -> tuple[Release, ...]:
    """Write the release of one or several jobs, on one paper, inside the caller's transaction.

    Refuses when a thing is not ticked, nothing says who it is, or the collector may not collect one of them.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("A release is written in the transaction of its move.")
    things = {job.pk: things_of(job) for job in jobs}
    said = {job.pk: f" ({job.number})" if len(jobs) > 1 else "" for job in jobs}
    missing = [f"{one.words}{said[job.pk]}" for job in jobs for one in things[job.pk] if one.key not in ticked]
    if missing:
        raise Refused(f"Not ticked: {', '.join(missing)}. Put each thing on the counter and tick it.")
    for job in jobs:
        if collector.pk not in {party.pk for party in collectors_of(job)}:
            what = f"{job.number}: this" if len(jobs) > 1 else "This"
            raise Refused(f"{what} person is not among those who may collect. Ask the owner, then add them first.")
        if Release.objects.filter(job=job).exists():
            raise Refused(f"It has been handed over already{said[job.pk]}.")
    if not collector_name.strip():
        raise Refused("Write the name of whoever collects.")
    if not identity_note.strip():
        raise Refused("Write how you know it is them: known to us, or which paper they showed.")
    if signed is None:
        raise Refused("Let the collector sign first.")
    text = _text(
        jobs, things, name=collector_name.strip(), identity=identity_note.strip(), money_words=money_words, shop=shop,
        by=by, at=at,
    )  # fmt: skip
    alone = jobs[0] if len(jobs) == 1 else None
    paper = freeze(
        text,
        job=alone,
        also=() if alone else jobs,
        by=by,
        at=at,
        signatures=(Signing(signed, party=collector),),
    )
    made = []
    for job in jobs:
        one = Release.objects.create(
            job=job,
            collector=collector,
            collector_name=collector_name.strip(),
            identity_note=identity_note.strip(),
            at=at,
            by=by,
            paper=paper,
        )
        ReleasedThing.objects.bulk_create(
            ReleasedThing(release=one, words=thing.words, item=job.item if thing.is_item else None)
            for thing in things[job.pk]
        )
        Sighting.objects.create(item=job.item, location=None, at=at, by=by, how="home")
        data = {"release": one.pk, "collector": collector.pk}
        record("release.signed", by=by, at=at, job=job, item=job.item, data=data)
        made.append(one)
    return tuple(made)


def _text(
    jobs: Sequence[Job],
    things: Mapping[int, tuple[ToGive, ...]],
    *,
    name: str,
    identity: str,
    money_words: str,
    shop: Profile,
    by: Person,
    at: datetime,
) -> ReleaseText:
    last = local(at, shop.zone).date() + timedelta(days=shop.settling_days)
    stamp = moment(at, shop.zone)
    bows = [job.item.kind == "Bw" for job in jobs]
    return ReleaseText(
        shop=shop_head(shop),
        fixed=stamp,
        collector=Named(name=name, role="collects"),
        released_by=by.name,
        identity=identity,
        jobs=tuple(job.number for job in jobs),
        returned=tuple(
            Returned(
                item=Thing(name=one.words, kind=job.item.kind if one.is_item else "", details=_details(job, one)),
                job=job.number,
                ticked_by=by.name,
                at=stamp,
                words=named_otherwise(job, shop.zone) if one.is_item else "",
            )
            for job in jobs
            for one in things[job.pk]
        ),
        money=money_words,
        care=(*(() if all(bows) else CARE), *(BOW_CARE if any(bows) else ())),
        free_check="" if all(bows) else f"The settling check is free until {day_words(last)} {last.year}.",
    )


def _details(job: Job, one: ToGive) -> tuple[str, ...]:
    """What tells three bows apart."""
    return tuple(words for words in (job.item.marks, job.item.asset) if words) if one.is_item else ()
