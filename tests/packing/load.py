"""Work as a busy shop does it, in a process of its own, until told to stop. Each turn leaves rows that must agree.

python -m tests.packing.load NAME UNTIL_FILE
"""

import sys
from itertools import count
from pathlib import Path

import django

django.setup()

from django.db import transaction  # noqa: E402
from django.db.models import F  # noqa: E402
from django.utils import timezone  # noqa: E402

from jobs.book.models import Counter, Job  # noqa: E402
from jobs.book.stages import Stage  # noqa: E402
from jobs.book.steps import record  # noqa: E402
from jobs.papers.heads import shop_head  # noqa: E402
from jobs.papers.money_texts import ReceiptText  # noqa: E402
from jobs.papers.steps import freeze, print_paper  # noqa: E402
from jobs.papers.texts import Named, day, moment  # noqa: E402
from jobs.photos.steps import make, receive  # noqa: E402
from shop.people.models import Person  # noqa: E402
from shop.profile.reads import profile  # noqa: E402
from tests import factory  # noqa: E402
from tests.photos.pictures import coded, sent  # noqa: E402


def turn(name: str, number: int, by: Person) -> None:
    """Take in, photograph, freeze and print one job, as the steps of the shop do."""
    at, shop = timezone.now(), profile()
    with transaction.atomic():
        owner = factory.party(f"Owner {name} {number}", email=f"{name}-{number}@example.org")
        job = factory.job(Stage.BEN, owner=owner, ready=False, number=f"{name}-{number:05}")
        record("job.opened", by=by, at=at, job=job, item=job.item, data={"turn": number})
        Counter.objects.filter(series="turns").update(last=F("last") + 1)
    photo = receive(sent(coded("JPEG")), purpose="bench", by=by, at=at, send_key=f"photo-{name}-{number:05}", job=job)
    make(photo.pk, at=timezone.now())
    text = ReceiptText(
        shop=shop_head(shop),
        fixed=moment(at, shop.zone),
        payer=Named(name=owner.name),
        on=day(at),
        amount=f"{number}.00",
        how="cash",
    )
    with transaction.atomic():
        paper = freeze(text, by=by, at=at, job=Job.objects.get(pk=job.pk))
    print_paper(paper.pk, at=timezone.now())


def main(name: str, until: Path) -> None:
    """Go on until the file is there; print how many turns were done."""
    by = Person.objects.order_by("pk")[0]
    Counter.objects.get_or_create(series="turns")
    for number in count(1):
        if until.exists():
            print(number - 1, flush=True)
            return
        turn(name, number, by)


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
