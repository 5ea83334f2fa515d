"""Which words a shop's letters use."""

from jobs.updates.models import OwnWords
from jobs.updates.wording import Wording
from shop.prepared import Prepared


def own_wordings() -> dict[str, Wording]:
    """The shop's own words by kind of letter, where it has any. One query."""
    return {one.kind: Wording(one.subject, one.body) for one in newest().values() if one.body}


def newest() -> dict[str, OwnWords]:
    """The newest version of each kind that was ever written. One query."""
    return {one.kind: one for one in _all()}


# a row at most for each time the head luthier wrote something: few, and the last of a kind wins
_all = Prepared(lambda: OwnWords.objects.order_by("kind", "version"))
