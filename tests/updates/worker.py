"""A worker of its own for tests: python -m tests.updates.worker prepare N | sweep | die | states."""

import json
import os
import signal
import sys

import django
from django.core.mail import EmailMessage

django.setup()

from django.core.management import call_command  # noqa: E402 - models need django.setup()
from django.utils import timezone  # noqa: E402

from jobs.book.models import Party  # noqa: E402
from jobs.updates.models import Message  # noqa: E402
from jobs.updates.outcome import Outcome, Post  # noqa: E402
from jobs.updates.sending import sweep  # noqa: E402
from jobs.updates.steps import new_message_id  # noqa: E402
from shop.profile.models import Profile  # noqa: E402


class Dying(Post):
    """The mail server says yes, and this process is gone before it can write that down."""

    def hand_over(self, letter: EmailMessage) -> Outcome:
        outcome = super().hand_over(letter)
        os.kill(os.getpid(), signal.SIGKILL)
        return outcome


def prepare(count: int) -> None:
    call_command("migrate", verbosity=0)
    now = timezone.now()
    Profile.objects.create(id=1, name="Marrowfen Strings Workshop", address="3 Tannery Yard")
    party = Party.objects.create(name="Imelda Rookstone", email="imelda@example.org", made_at=now)
    for n in range(count):
        Message.objects.create(
            party=party, kind="note", channel="email", address=party.email, subject=f"Letter {n}", body="Good day\n",
            message_id=new_message_id(), made_at=now, due_at=now,
        )  # fmt: skip


if __name__ == "__main__":
    if sys.argv[1] == "prepare":
        prepare(int(sys.argv[2]))
    elif sys.argv[1] == "sweep":
        sweep(clock=timezone.now)
    elif sys.argv[1] == "die":
        sweep(clock=timezone.now, post=Dying())
    sys.stdout.write(json.dumps(list(Message.objects.order_by("pk").values_list("state", "message_id"))))
