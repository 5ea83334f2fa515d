"""What the pages for writing down an answer send: who, how, the signature, the order."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from django.http import QueryDict

from jobs.book.models import Job, Party
from jobs.book.refusals import Refused
from jobs.desk.estimate_forms import sum_typed
from jobs.estimates.answers import Came
from jobs.estimates.models import Estimate
from jobs.estimates.reads import EstimateView, OptionView, most_for, who_answers
from jobs.papers.signatures import read_strokes
from jobs.papers.texts import Signed, moment
from shop.people.models import Person
from shop.profile.models import Profile

# the roads an answer may take, and the words of their buttons
ROADS: dict[str, str] = {
    "desk": "Sign here at the counter",
    "phone": "On the telephone",
    "order": "By purchase order",
    "slip": "The signed slip came back",
}


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which answer is being written down: of which version, which option (None for none), by whom, by which road."""

    estimate: Estimate
    view: EstimateView
    chosen: OptionView | None
    party: Party
    most: Decimal | None
    road: str
    typed: Mapping[str, str] = field(default_factory=dict)


def wanted(job: Job, said: QueryDict, view: EstimateView | None) -> Wanted:
    """What a page asks for, from its address or its form. Raises Refused in words. Two queries."""
    if view is None or str(view.estimate.pk) != said.get("estimate", ""):
        raise Refused("There is a newer version than the one you looked at. Read it, then choose again.")
    road = said.get("road", "")
    if road not in ROADS:
        raise Refused("Say how the answer came.")
    party = next((one for one in who_answers(job) if str(one.pk) == said.get("party")), None)
    if party is None:
        raise Refused("Choose who answered.")
    letter = said.get("option", "")
    chosen = view.option(letter)
    if chosen is None and letter != "none":
        raise Refused("Choose what was agreed to, or “none of these”.")
    return Wanted(view.estimate, view, chosen, party, most_for(job, party), road, {key: str(said[key]) for key in said})


def came(asked: Wanted, said: QueryDict, *, by: Person, at: datetime, shop: Profile) -> Came:
    """The answer as the form gives it. Raises Refused for what is missing."""
    agreed, road = asked.chosen is not None, asked.road
    if road == "phone" and agreed and not said.get("read_back"):
        raise Refused("Read the words aloud first, then tick that they were read back and agreed.")
    ceiling = said.get("order_ceiling", "").strip() if road == "order" else ""
    signing = road == "desk" and agreed
    return Came(
        how=road,
        name=asked.party.name if signing else said.get("name", ""),
        party=asked.party,
        by=by,
        words=said.get("words", "")[:4000],
        note=said.get("note", "")[:2000],
        order_number=said.get("order_number", "") if road == "order" else "",
        order_ceiling=sum_typed(ceiling, "The order allows", shop.places) if ceiling else None,
        signed=_signed(said, asked.party.name, at=at, shop=shop) if signing else None,
        seen=said.get("digest", "") if signing else "",
        begin_now=said.get("begin_now") == "yes",
    )


def _signed(said: QueryDict, name: str, *, at: datetime, shop: Profile) -> Signed:
    """A signature drawn by finger, or a typed name with a witness."""
    stamp = moment(at, shop.zone)
    typed, witness = (" ".join(said.get(key, "").split())[:160] for key in ("typed_name", "witness"))
    if typed and not witness:
        raise Refused("A typed name needs a witness. Write who of the shop saw it.")
    if typed:
        return Signed(role="approver", name=typed, at=stamp, how="typed", witness=witness)
    try:
        sent = json.loads(said.get("strokes") or "[]")
    except (ValueError, RecursionError) as fault:
        raise Refused("The signature did not arrive whole. Wipe and sign again.") from fault
    return Signed(role="approver", name=name, at=stamp, strokes=read_strokes(sent))
