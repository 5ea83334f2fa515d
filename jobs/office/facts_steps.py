"""Changing the shop’s facts and figures."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs.billing.models import Invoice, Payment
from jobs.book.models import Job
from jobs.book.steps import record
from jobs.estimates.models import Line
from jobs.office.changing import Faults, not_changed_meanwhile
from jobs.office.facts import GROUPS, PERSONAL, Fact, NotFactError, Value, coded, read, shown
from shop.people.models import Person
from shop.profile.models import FormerFact, Profile


def shown_of(shop: Profile, group: str) -> dict[str, str]:
    """The fields of a group as its page shows them."""
    return {fact.code: shown(fact, getattr(shop, fact.code), places=shop.places) for fact in GROUPS[group]}


def change_facts(group: str, typed: Mapping[str, str], *, seen: str, by: Person, at: datetime) -> list[str]:
    """Keep the fields of one group (“head”, “figures”); returns the labels of those that changed.

    Raises Faults for what cannot be, Stale when somebody changed the group since the page was opened, Refused for another
    currency once money is written down. Both values of each change are kept.
    """
    with transaction.atomic():
        shop = Profile.objects.select_for_update(no_key=True).get(pk=1)
        not_changed_meanwhile(seen, shown_of(shop, group), ("settings.changed",), shop, at=at)
        fresh = _read(group, typed, shop)
        changed = [fact for fact in GROUPS[group] if fresh[fact.code] != getattr(shop, fact.code)]
        if not changed:
            return []
        if any(fact.code == "currency" for fact in changed):
            _no_money_yet(shop)
        before = {fact.code: getattr(shop, fact.code) for fact in changed}
        for fact in changed:
            setattr(shop, fact.code, fresh[fact.code])
        shop.save(update_fields=[fact.code for fact in changed])
        data = _both(changed, before, fresh, shop, by=by, at=at)
        record("settings.changed", by=by, at=at, data={"room": group, **data})
    return [fact.label for fact in changed]


def _read(group: str, typed: Mapping[str, str], shop: Profile) -> dict[str, Value]:
    fresh: dict[str, Value] = {}
    faults: dict[str, str] = {}
    for fact in GROUPS[group]:
        try:
            fresh[fact.code] = read(fact, typed.get(fact.code, ""), places=shop.places)
        except NotFactError as fault:
            faults[fact.code] = f"{fault}"
    if faults:
        raise Faults(faults)
    return fresh


def _no_money_yet(shop: Profile) -> None:
    written = {
        "a payment was taken": Payment.objects.exists(),
        "an invoice was written": Invoice.objects.exists(),
        "an estimate was written": Line.objects.exists(),
        "a price was agreed": Job.objects.filter(agreed_net__isnull=False).exists(),
    }
    what = next((name for name, there in written.items() if there), "")
    if what:
        words = f"The currency stays {shop.currency}: {what} in it, and sums do not turn into another currency."
        raise Faults({"currency": words})


def _both(
    changed: list[Fact],
    before: Mapping[str, Value],
    after: Mapping[str, Value],
    shop: Profile,
    *,
    by: Person,
    at: datetime,
) -> dict[str, Any]:
    """Both values of each change for the entry; of personal ones the id of the row that holds them."""
    values, former = {}, {}
    for fact in changed:
        old, new = (coded(side[fact.code], places=shop.places) for side in (before, after))
        if fact.code in PERSONAL:
            kept = FormerFact.objects.create(field=fact.code, old=old or "", new=new or "", at=at, by=by)
            former[fact.code] = kept.pk
        else:
            values[fact.code] = [old, new]
    return {"changes": values, "former": former}
