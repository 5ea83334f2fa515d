"""The Celery application. Tasks carry ids only; the database is the truth, the queue only nudges."""

import os
from pathlib import Path

from celery import Celery
from kombu.transport import TRANSPORT_ALIASES

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

TRANSPORT_ALIASES["filesystem"] = "shop.broker:Transport"  # whole messages only, see there

app = Celery("shop")
app.config_from_object("django.conf:settings", namespace="CELERY")
_jobs = Path(__file__).resolve().parent.parent / "jobs"
app.autodiscover_tasks(
    [
        "shop.packing",
        "shop.people",
        "shop.profile",
        *(f"jobs.{found.parent.name}" for found in sorted(_jobs.glob("*/tasks.py"))),
    ]
)
