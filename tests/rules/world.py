"""One small shop in which every address leads somewhere."""

from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from jobs.book.models import Job, Party
from jobs.book.stages import Stage
from jobs.estimates.models import Estimate, Question
from jobs.estimates.steps import begin_draft
from jobs.intake import drafts
from jobs.intake.models import Draft
from jobs.intake.steps import add_piece, begin
from jobs.links.reads import token
from jobs.links.steps import link_for
from jobs.papers.heads import shop_head
from jobs.papers.models import Paper
from jobs.papers.money_texts import ReceiptText
from jobs.papers.steps import freeze, print_paper
from jobs.papers.texts import Named, day, moment
from jobs.photos.models import Photo
from jobs.photos.steps import make, receive
from jobs.tags.models import Tag
from jobs.updates.models import Message
from jobs.updates.steps import new_message_id
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.photos.pictures import coded, sent
from tests.rules.office_world import rooms
from tests.rules.till_world import Till, till


@dataclass(frozen=True)
class World:
    """What rows of the route table may name."""

    job: Job
    examined: Job
    tag: Tag
    person: Person
    draft: Draft
    piece: str
    photo: Photo
    paper: Paper
    letter: Message
    estimate: Estimate
    question: Question
    token: str
    office: dict[str, int]
    till: Till

    @property
    def number(self) -> dict[str, Any]:
        return {"number": self.job.number}


def world() -> World:
    """A job on the bench queue with tag, place, photo, paper and letter; one in examination; an intake in progress."""
    shop = factory.shop()
    for role in Role:
        factory.person(role)
    head, at = factory.person(Role.HEAD), timezone.now()
    owner = factory.party()
    job = factory.job(Stage.QUE, owner=owner, agreed_words="rehair")
    examined = factory.job(Stage.EXA, owner=owner)
    draft = begin(by=head, at=at, draft=drafts.Draft(depositor=owner.pk))
    draft = add_piece(draft, seen=None, by=head, at=at, key="a-key-for-a-piece", kind="Vn")
    photo = receive(sent(coded("JPEG")), purpose="bench", by=head, at=at, send_key="a-key-for-a-photo", job=job)
    make(photo.pk, at=at)
    photo.refresh_from_db()
    text = ReceiptText(
        shop=shop_head(shop),
        fixed=moment(at, shop.zone),
        payer=Named(name=owner.name),
        on=day(at),
        amount="5.00",
        how="cash",
    )
    with transaction.atomic():
        paper = freeze(text, by=head, at=at, job=job)
    print_paper(paper.pk, at=at)
    paper.refresh_from_db()
    return World(
        job=job,
        examined=examined,
        tag=Tag.objects.get(item=job.item),
        person=head,
        draft=draft,
        piece=draft.data["pieces"][0]["key"],
        photo=photo,
        paper=paper,
        letter=_letter(job, owner),
        estimate=begin_draft(examined, by=head, at=at),
        question=Question.objects.create(job=job, party=owner, words="When?", at=at),
        office=rooms(),
        till=till(owner),
        token=token(link_for("owner", job_id=job.pk, party_id=owner.pk, at=at)),
    )


def _letter(job: Job, owner: Party) -> Message:
    now = timezone.now()
    return Message.objects.create(
        job=job,
        party=owner,
        kind="stage",
        channel="email",
        address=owner.email,
        subject="About your violin",
        body="It rests.",
        message_id=new_message_id(),
        state="failed",
        failure="the server said no",
        made_at=now,
        due_at=now,
    )
