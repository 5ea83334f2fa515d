"""One small shop in which every address leads somewhere."""

from dataclasses import dataclass

from jobs.book.models import Job
from jobs.book.stages import Stage
from jobs.tags.models import Tag
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory


@dataclass(frozen=True)
class World:
    """Ids that rows of the route table may name."""

    job: Job
    tag: Tag
    person: Person


def world() -> World:
    """A job on the bench queue with tag and place, and the whole cast."""
    factory.shop()
    for role in Role:
        factory.person(role)
    job = factory.job(Stage.QUE)
    return World(job=job, tag=Tag.objects.get(item=job.item), person=factory.person(Role.HEAD))
