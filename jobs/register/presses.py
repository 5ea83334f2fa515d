"""What the register's forms have in common: what was typed, what was seen, and a refusal where it happened."""

from collections.abc import Iterable

from django.http import HttpRequest

from jobs.book.refusals import Fault, HeldBy, Refused, Stale
from jobs.book.steps import OLD_PAGE
from shop.typed import whole


def wanted(request: HttpRequest, names: Iterable[str]) -> dict[str, str]:
    """What was typed into the fields that the form had."""
    return {name: request.POST[name] for name in names if name in request.POST}


def seen(request: HttpRequest, names: Iterable[str]) -> dict[str, str]:
    """What stood in these fields when the form was opened."""
    return {name: request.POST[f"was-{name}"] for name in names if f"was-{name}" in request.POST}


def fault_of(where: str, refusal: Refused, request: HttpRequest) -> Fault:
    """A refusal for its part of the page; whose the e-mail or telephone is, is kept for a link."""
    typed = {name: str(value) for name, value in request.POST.items()}
    if isinstance(refusal, Stale):
        typed["stale"] = "yes"
    if isinstance(refusal, HeldBy):
        typed |= {"held_by": str(refusal.party), "held_name": refusal.name}
    return Fault(where, refusal.words, typed)


def filled(facts: Iterable[tuple[str, str, str]], fault: Fault) -> list[tuple[str, str, str, str]]:
    """Code, word, what stands there and what the field shows: what was typed, unless somebody else was quicker."""
    kept = fault.typed if fault.where == "facts" and not fault.typed.get("stale") else {}
    return [(what, word, value, kept.get(what, value)) for what, word, value in facts]


def status_of(refusal: Refused) -> int:
    """409 where somebody else was quicker, else 422."""
    return 409 if isinstance(refusal, Stale) else 422


def id_in(request: HttpRequest, name: str) -> int:
    """An id or revision of a form; anything else is an old page."""
    found = whole(request.POST.get(name, ""))
    if not found:
        raise Refused(OLD_PAGE)
    return found
