"""Tags by their codes, and what is printed on them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.conf import settings

from jobs.book.models import Item, Job
from jobs.tags.codes import address, read_code
from jobs.tags.drawing import TagText
from jobs.tags.models import Tag
from shop.clock import local
from shop.prepared import Prepared
from shop.profile.models import Profile


@dataclass(frozen=True, slots=True)
class Found:
    """A code that was read: its tag, or why there is none. `instead` is the live tag that took a dead one's place."""

    tag: Tag | None = None
    instead: Tag | None = None
    words: str = ""

    @property
    def live(self) -> bool:
        """Whether the tag is in use."""
        return self.tag is not None and self.tag.dead_at is None


def find(typed: str) -> Found:
    """Look up a typed code or scanned address. One query; two where the tag is dead."""
    code = read_code(typed)
    if code is None:
        return Found(words="That is not a tag's code. It has eight letters and digits, such as 7K2M 9QWD.")
    tag = Tag.objects.select_related("item", "item__owner").filter(code=code).first()
    if tag is None:
        return Found(words="No tag of this shop has that code. Look at the letters again.")
    if tag.dead_at is not None:
        return Found(tag, live_tag(tag.item), "This tag was taken out of use. The item has a newer one, or none.")
    return Found(tag)


def bound_by(code: str) -> Tag | None:
    """The tag of a code as printed, dead or in use. One query."""
    return _coded.first(code)


_coded = Prepared(lambda code: Tag.objects.filter(code=code))


def live_tag(item: Item) -> Tag | None:
    """The tag in use on an item. One query."""
    return Tag.objects.select_related("item").filter(item=item, dead_at=None).first()


def tag_address(tag: Tag) -> str:
    """What the square code of a tag holds."""
    return address(tag.code, settings.PUBLIC_ADDRESS)


def tag_text(tag: Tag, job: Job | None, shop: Profile) -> TagText:
    """What stands on a tag: never a value, a telephone number or a minor's name. No query with item and owner at hand."""
    lines = [line.strip() for line in shop.address.splitlines() if line.strip()]
    return TagText(
        number=job.short if job else "",
        item=tag.item.title,
        kind=tag.item.kind,
        owner=tag.item.owner.tag_name if tag.item.owner else "",
        taken_in=_day(job.opened_at, shop) if job else "",
        code=tag.code,
        url=tag_address(tag),
        shop=shop.name,
        address=", ".join(lines),
    )


def _day(at: datetime, shop: Profile) -> str:
    here = local(at, shop.zone)
    return f"{here.day} {here:%B}"


def texts_for(jobs: Iterable[Job], shop: Profile) -> list[TagText]:
    """The tags of several jobs, in their order; a job whose item has no tag is left out. One query."""
    wanted = list(jobs)
    tags = {
        tag.item_id: tag
        for tag in Tag.objects.select_related("item", "item__owner").filter(
            item__in=[job.item_id for job in wanted], dead_at=None
        )
    }
    return [tag_text(tags[job.item_id], job, shop) for job in wanted if job.item_id in tags]
