"""Rows of the shop’s own rooms that an address names, made when it is asked for."""

from datetime import timedelta
from typing import Any

from django.utils import timezone

from jobs.catalogue.models import PriceList
from jobs.catalogue.price_steps import begin_list
from shop.people.models import Device
from shop.people.roles import Role
from shop.profile.models import ClosedDay, TaxClass, TaxRate
from tests import factory
from tests.rules.world import World


def closed(_world: World) -> dict[str, Any]:
    day = timezone.now().date() + timedelta(days=30)
    made = ClosedDay.objects.create(first=day, last=day, words="Fair", made_at=timezone.now())
    return {"pk": made.pk}


def tax_to_come(_world: World) -> dict[str, Any]:
    since = timezone.now().date() + timedelta(days=30)
    goods = TaxClass.objects.get(code="goods")
    return {"pk": TaxRate.objects.get_or_create(tax_class=goods, since=since, defaults={"rate": 9})[0].pk}


def prices(_world: World) -> dict[str, Any]:
    factory.prices()
    return {"pk": PriceList.objects.filter(draft=False).first().pk}  # type: ignore[union-attr]


def draft(_world: World) -> dict[str, Any]:
    factory.prices()
    at = timezone.now()
    return {"pk": begin_list(since=at.date() + timedelta(days=9), by=factory.person(Role.HEAD), at=at).pk}


def place(_world: World) -> dict[str, Any]:
    return {"pk": factory.location().pk}


def device(_world: World) -> dict[str, Any]:
    fields = {"name": "Tablet", "registered_by": factory.person(Role.HEAD), "registered_at": timezone.now()}
    return {"pk": Device.objects.get_or_create(token_hash="0" * 64, defaults=fields)[0].pk}
