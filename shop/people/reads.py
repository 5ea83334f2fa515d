"""Who is in the shop."""

from functools import cache

from shop.people.models import Person
from shop.people.roles import MAY, Act
from shop.prepared import Prepared


def people_who(act: Act) -> list[Person]:
    """Active people whose role may do an act, by name. One query."""
    return list(Person.objects.filter(is_active=True, role__in=[role.value for role in MAY[act]]).order_by("name"))


def names_who(act: Act) -> list[tuple[int, str]]:
    """Ids and names of active people whose role may do an act, by name. One query."""
    return _names(act)()


@cache
def _names(act: Act) -> Prepared[tuple[int, str]]:
    who = Person.objects.filter(is_active=True, role__in=sorted(role.value for role in MAY[act]))
    return Prepared(lambda: who.order_by("name").values_list("pk", "name"))
