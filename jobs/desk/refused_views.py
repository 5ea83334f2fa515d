"""After an owner declined: what follows, said on the job page."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.book.models import Job
from jobs.book.refusals import Refused
from jobs.desk.answers import key_in, pressed
from jobs.estimates.refusals import settle
from shop.people.doors import opens, person_of
from shop.people.roles import Act


@require_POST
@opens(Act.ANSWER_FOR_OWNER)
def settle_refusal(request: HttpRequest, number: str) -> HttpResponse:
    """Put together again or not, the fee taken or let go with a reason."""

    def do(job: Job) -> str:
        opened, fee = request.POST.get("opened", ""), request.POST.get("fee", "none")
        if opened not in {"yes", "no"}:
            raise Refused("Say whether it was opened, so that it must be put together again.")
        if fee not in {"take", "waive", "none"}:
            raise Refused("Say whether the fee is taken.")
        made = settle(
            job,
            reassemble=opened == "yes",
            take_fee=fee == "take",
            reason=request.POST.get("reason", ""),
            by=person_of(request),
            at=timezone.now(),
            key=key_in(request),
        )
        if made.reassemble:
            return "It is in line for the bench, to be put together again."
        return "Issue the invoice for the fee; then it is ready." if made.fee else "It is ready to collect."

    return pressed(request, number, "refused", do)
