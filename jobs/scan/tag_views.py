"""What opens when a tag is scanned: the job for the shop's own people, the shop's address for anyone else."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.book.kinds import silhouette
from jobs.book.models import Item
from jobs.book.stages import PLACE, Stage
from jobs.custody.reads import last_seen
from jobs.scan.answers import bench_answer
from jobs.scan.reads import face_of, last_job, open_jobs, owner_words
from jobs.scan.symbols import symbol
from jobs.tags.codes import grouped, read_code
from jobs.tags.models import Tag
from jobs.tags.reads import bound_by, live_tag
from shop.people.models import Person
from shop.people.roles import Act
from shop.profile.reads import profile


@require_GET
def tag(request: HttpRequest, code: str) -> HttpResponse:
    """A scanned or typed code."""
    read = read_code(code)
    found = bound_by(read) if read else None
    if not (isinstance(request.user, Person) and request.user.may(Act.SEE_JOB)):
        return _found_it(request, known=found is not None)
    if found is None:
        return _found_it(request, known=False, typed=grouped(read) if read else _shown(code))
    if found.dead_at is not None:
        return _dead(request, found)
    jobs = open_jobs(found.item_id)
    if len(jobs) == 1:
        return bench_answer(request, jobs[0])
    if jobs:
        item, choice = jobs[0].item, [(job, PLACE[Stage(job.stage)].name) for job in jobs]
        return render(request, "scan/choice.html", {"item": item, "jobs": choice, "owner": owner_words(item)})
    return _item(request, found.item)


def _found_it(request: HttpRequest, *, known: bool, typed: str = "") -> HttpResponse:
    # the same page for every stranger and every code: it says nothing of the item, its owner or its job
    page = {"shop": profile(), "here": request.path, "typed": typed}
    return render(request, "scan/found.html", page, status=200 if known else 404)


def _shown(code: str) -> str:
    # marks that turn or hide writing would turn the sentence around them
    return "".join(sign for sign in code if sign.isprintable()).upper()


def _dead(request: HttpRequest, dead: Tag) -> HttpResponse:
    live = live_tag(dead.item)
    return render(request, "scan/dead.html", {"dead": dead, "live": live, "code": grouped(dead.code)})


def _item(request: HttpRequest, item: Item) -> HttpResponse:
    outline = silhouette(item.kind, item.size)
    page = {
        "item": item,
        "owner": owner_words(item),
        "silhouette": outline,
        "symbol": symbol(outline),
        "face": face_of(item),
        "seen": last_seen(item),
        "last": last_job(item),
        "now": timezone.now(),
    }
    return render(request, "scan/item.html", page)
