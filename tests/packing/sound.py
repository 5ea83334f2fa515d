"""Whether a shop agrees with itself: run in the shop's own environment, `python -m tests.packing.sound`. Prints what it saw."""

import json
from hashlib import sha256

import django

django.setup()

from django.conf import settings  # noqa: E402
from django.db import connection  # noqa: E402

from jobs.book.models import Counter, Entry, Job  # noqa: E402
from jobs.papers.checking import check  # noqa: E402
from jobs.papers.models import ChainHead, Paper  # noqa: E402
from jobs.papers.reads import chain_faults, read_pdf  # noqa: E402
from jobs.papers.seal import key_path, read_key  # noqa: E402
from jobs.photos.models import Photo  # noqa: E402


def main() -> None:
    """Look at every job, photo and paper."""
    faults: list[str] = []
    connection.check_constraints()
    jobs = Job.objects.count()
    counted = sum(Counter.objects.filter(series="turns").values_list("last", flat=True))
    if jobs != counted or Entry.objects.filter(action="job.opened").count() != jobs:
        faults.append(f"{jobs} jobs, {counted} counted")
    for photo in Photo.objects.all():
        with photo.original.open("rb") as source:
            if sha256(source.read()).hexdigest() != photo.sha256:
                faults.append(f"{photo} is another picture")
        for size in (photo.small, photo.large):
            if photo.state == "made" and not size.storage.exists(str(size.name)):
                faults.append(f"{photo} has no {size.name}")
    certificate = read_key(key_path(settings.SHOP_HOME)).certificate
    made = Paper.objects.filter(state="made")
    for paper in made:
        verdict = check(read_pdf(paper), book_sha256=paper.pdf_sha256, certificate=certificate)
        faults += verdict.reasons
    faults += [str(fault) for fault in chain_faults()]
    if ChainHead.objects.get().position != Paper.objects.count():
        faults.append("The head of the chain is not its last paper.")
    print(json.dumps({"faults": faults, "jobs": jobs, "photos": Photo.objects.count(), "papers": made.count()}))


if __name__ == "__main__":
    main()
