"""Who may open a page: `@opens(Act…)` asks the role table; without it a page is for signed-in staff."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, cast

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase

from shop.people.models import Person
from shop.people.roles import Act

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]


def person_of(request: HttpRequest) -> Person:
    """The signed-in person; behind `opens` there always is one."""
    return cast(Person, request.user)


def opens(*acts: Act) -> Callable[[View[P]], View[P]]:
    """Open a view to people whose role may do any of `acts`: others get 403, strangers the sign-in page."""

    def decorate(view: View[P]) -> View[P]:
        @wraps(view)
        def guarded(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            person = person_of(request)
            if not any(person.may(act) for act in acts):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        guarded.acts = acts  # type: ignore[attr-defined]
        return guarded

    return decorate


def may_or_403(person: Person, act: Act) -> None:
    """For an act inside a page that is open to more people than the act."""
    if not person.may(act):
        raise PermissionDenied
