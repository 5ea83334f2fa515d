"""What a job is put right with: the items and parties to choose from, told apart."""

from dataclasses import dataclass

from django.db.models import Q

from jobs.book.apart import items_apart, more_of
from jobs.book.corrections import CHANGEABLE
from jobs.book.kinds import ITEM_KINDS, PARTY_ROLES
from jobs.book.models import Item, Job, JobParty, Party
from jobs.book.parties import find_parties
from jobs.papers.models import Paper
from jobs.photos.filing import last_move
from jobs.photos.models import Photo, PhotoAlso
from jobs.tags.codes import read_code
from jobs.tags.models import Tag

MOST = 30


@dataclass(frozen=True, slots=True)
class Holder:
    """A party on the job and those of its roles that may be given to another."""

    party: Party
    roles: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class RightPage:
    """What templates/register/put_right.html reads."""

    job: Job
    items: list[tuple[int, str]]  # of the same parties, without the one it is on and those found
    found: list[tuple[int, str]]  # sought by tag, job number, asset number or label text
    sought: str
    kinds: list[tuple[str, str]]
    holders: list[Holder]
    parties: list[tuple[int, str, str]]  # id, name, what tells it apart
    who: str
    papers: int


def find_job(number: str) -> Job | None:
    """One query."""
    return Job.objects.select_related("item", "item__owner").filter(number=number).first()


def right_page(job: Job, *, sought: str = "", who: str = "", region: str = "GB") -> RightPage:
    """At most seven queries."""
    roles = list(JobParty.objects.filter(job=job).select_related("party").order_by("pk"))
    parties = {role.party_id: role.party for role in roles}
    theirs = Item.objects.filter(Q(owner__in=parties) | Q(pk=job.item_id)).exclude(kind="Pt").order_by("title", "pk")
    found = [item for item in find_items(sought) if item.pk != job.item_id]
    named = {job.item_id, *(item.pk for item in found)}
    return RightPage(
        job=job,
        items=[one for one in items_apart(list(theirs[: MOST + 1])) if one[0] not in named],
        found=items_apart(found),
        sought=sought,
        kinds=list(ITEM_KINDS.items()),
        holders=[
            Holder(party, tuple((role, PARTY_ROLES[role]) for role in CHANGEABLE if (pk, role) in _held(roles)))
            for pk, party in parties.items()
        ],
        parties=[(one.pk, one.name, more_of(one)) for one in find_parties(who, region=region)],
        who=who,
        papers=Paper.objects.filter(Q(job=job) | Q(visit=job.visit_id) if job.visit_id else Q(job=job)).count(),
    )


def _held(roles: list[JobParty]) -> set[tuple[int, str]]:
    return {(role.party_id, role.role) for role in roles}


def find_items(typed: str) -> list[Item]:
    """Items by the letters of a tag, a job number, an asset number or label text. At most two queries."""
    typed = typed.strip()[:80]
    if len(typed) < 2:
        return []
    code = read_code(typed)
    if code is not None and (tag := Tag.objects.select_related("item").filter(code=code).first()):
        return [tag.item]
    about = Q(asset__iexact=typed) | Q(jobs__number__endswith=typed) | Q(labelled__icontains=typed)
    about |= Q(marks__icontains=typed) | Q(owner__name__icontains=typed)
    return list(Item.objects.filter(about).exclude(kind="Pt").distinct().order_by("title", "pk")[:MOST])


@dataclass(frozen=True, slots=True)
class PicturePage:
    """What templates/register/picture.html reads."""

    photo: Photo
    stays: str  # why it cannot be moved
    came_from: str  # number of the job it was moved from by hand
    also: list[PhotoAlso]
    jobs: list[tuple[str, str]]  # number and words of jobs it could belong to


def find_photo(pk: int) -> Photo | None:
    """A photo that belongs to a job. One query."""
    return Photo.objects.select_related("job", "job__item", "by").filter(pk=pk, job__isnull=False).first()


def picture_page(photo: Photo, *, stays: str) -> PicturePage:
    """At most five queries."""
    moved = last_move(photo)
    came_from = Job.objects.filter(pk=moved.data["from"]).values_list("number", flat=True).first() if moved else ""
    also = list(photo.also.select_related("job", "job__item").order_by("pk"))
    return PicturePage(photo, stays, came_from or "", also, _near(photo))


def _near(photo: Photo) -> list[tuple[str, str]]:
    """Open jobs of the same visit, item or owner."""
    job = photo.job
    if job is None:
        return []
    same = Q(item=job.item_id)
    if job.visit_id:
        same |= Q(visit=job.visit_id)
    if job.item.owner_id:
        same |= Q(item__owner=job.item.owner_id)
    jobs = Job.objects.select_related("item").filter(same, closed_at__isnull=True).exclude(pk=job.pk)
    return [
        (one.number, f"{one.short} {one.item.title}{f', {one.work}' if one.work else ''}")
        for one in jobs.order_by("pk")[:MOST]
    ]
