"""One getter for every page of an intake: finds the draft, hides what is not this person's here, sends on what is done."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import redirect

from jobs.intake.models import Draft
from jobs.intake.reads import find_draft
from shop.people.doors import person_of
from shop.people.models import Device

P = ParamSpec("P")
Of = Callable[Concatenate[HttpRequest, Draft, P], HttpResponseBase]
By = Callable[..., HttpResponseBase]


def device_here(request: HttpRequest) -> Device | None:
    """The registered kiosk this request comes from, or None at the desk."""
    return getattr(request, "kiosk", None)


def with_draft(*, sealed: bool = False) -> Callable[[Of[P]], By]:
    """Hand a view its draft by key. Another's draft is 404; one that is done leads to the blank page, so that Back shows
    nothing of the last person; a sealed one leads to its place, an unsealed one to signing.
    """

    def decorate(view: Of[P]) -> By:
        @wraps(view)
        def found(request: HttpRequest, /, key: UUID, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            row = find_draft(key, person_of(request), device_here(request))
            if row is None:
                raise Http404
            if row.placed_at is not None or row.dropped_at is not None:
                return redirect("intake:start")
            if sealed != (row.visit_id is not None):
                return redirect("intake:place", key) if row.visit_id else redirect("intake:step", key, "sign")
            return view(request, row, *args, **kwargs)

        return found

    return decorate
