"""What is known of the safe copies."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import QuerySet

from shop.packing.models import Restored, SafeCopy
from shop.packing.when import LATE
from shop.packing.words import age_words


@dataclass(frozen=True, slots=True)
class LastGood:
    """The last good copy: `age` None when there is none. `late`: a warning to the head luthier, in `words`."""

    age: timedelta | None
    late: bool
    words: str


def good_copies() -> QuerySet[SafeCopy]:
    """Good copies whose file is where it was put, newest first."""
    return SafeCopy.objects.filter(state="good", gone_at=None).order_by("-made_at")


def last_good(at: datetime) -> LastGood:
    """How old the last good copy is: “The last good copy is 3 days old.” One query."""
    made = good_copies().values_list("made_at", flat=True).first()
    if made is None:
        return LastGood(None, True, "There is no good safe copy of the shop yet.")
    age = at - made
    words = age_words(age)
    said = "was made just now" if words == "just now" else f"is {words} old"
    return LastGood(age, age > LATE, f"The last good copy {said}.")


def being_made() -> SafeCopy | None:
    """The copy that waits or is being made. One query."""
    return SafeCopy.objects.filter(state__in=["due", "making"]).first()


def is_a_copy() -> bool:
    """Whether this shop was unpacked and nobody has said yet that it is the shop now: letters to owners wait. One query."""
    return Restored.objects.filter(is_the_shop_at=None).exists()


def restored() -> Restored | None:
    """What this shop was unpacked from, if it was and letters still wait. One query."""
    return Restored.objects.filter(is_the_shop_at=None).first()
