"""Find anything: the page, and the answers under the box as one types."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_GET

from jobs.index.needle import LONGEST_TYPED
from jobs.register.find_reads import answers
from shop.people.doors import opens, person_of
from shop.people.roles import Act


@require_GET
@opens(Act.FIND)
def find(request: HttpRequest) -> HttpResponse:
    """Everything that begins as typed: the list alone for the box, or a page. `first` opens the first answer at once."""
    person, typed = person_of(request), request.GET.get("q", "").strip()[:LONGEST_TYPED]
    found = answers(typed, reach=person.may(Act.SEE_OWNER), now=timezone.now()) if typed else None
    if found is not None and found.first and "first" in request.GET:
        return redirect(found.first)
    page = {"typed": typed, "found": found, "section": "find"}
    boxed = request.headers.get("HX-Request") == "true"
    answer = render(request, "register/find_answers.html" if boxed else "register/find.html", page)
    patch_vary_headers(answer, ["HX-Request"])
    return answer
