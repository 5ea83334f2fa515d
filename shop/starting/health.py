"""Whether the shop is up: the web answers, the database answers, the workers are alive."""

from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta

from django.db import DatabaseError
from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.profile.models import Heartbeat

WORKERS = ("shop", "messages")  # by the queue each works on
STALE = timedelta(seconds=30)
OK = "ok"


@dataclass(frozen=True, slots=True)
class Health:
    """Each part in words; "ok" when it is."""

    web: str
    database: str
    worker: str

    @property
    def well(self) -> bool:
        return {self.web, self.database, self.worker} == {OK}


def look(*, at: datetime) -> Health:
    """The shop's health at a moment. One query."""
    try:
        beats = dict(Heartbeat.objects.filter(name__in=WORKERS).values_list("name", "at"))
    except DatabaseError:
        return Health(OK, "does not answer", "not known")
    silent = [name for name in WORKERS if name not in beats or at - beats[name] >= STALE]
    return Health(OK, OK, f"no heartbeat from {' and '.join(silent)}" if silent else OK)


@never_cache
@require_safe
def healthz(request: HttpRequest) -> JsonResponse:
    """Answer 200 when all is well, else 503; the same few words either way."""
    health = look(at=datetime.now(UTC))
    return JsonResponse(asdict(health), status=200 if health.well else 503)
