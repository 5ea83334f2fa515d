"""Rows of the shop’s own rooms that an address names."""

from datetime import timedelta

from django.utils import timezone

from jobs.catalogue.models import PriceList
from jobs.catalogue.price_steps import begin_list
from shop.people.models import Device
from shop.people.roles import Role
from shop.profile.models import ClosedDay, TaxClass, TaxRate
from tests import factory


def rooms() -> dict[str, int]:
    """A closed day and a tax rate to come, a place, a device, a price list in force and one being written: ids by name."""
    at, head = timezone.now(), factory.person(Role.HEAD)
    later = at.date() + timedelta(days=30)
    factory.prices()
    goods = TaxClass.objects.get(code="goods")
    return {
        "closed": ClosedDay.objects.create(first=later, last=later, words="Fair", made_at=at).pk,
        "tax": TaxRate.objects.create(tax_class=goods, since=later, rate=9).pk,
        "place": factory.location().pk,
        "device": Device.objects.create(name="Tablet", token_hash="0" * 64, registered_by=head, registered_at=at).pk,
        "prices": PriceList.objects.filter(draft=False).values_list("pk", flat=True)[0],
        "draft": begin_list(since=later, by=head, at=at).pk,
    }
