"""What `measure` measures, never how fast this machine is."""

import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from jobs.book.models import Entry
from jobs.book.stages import Stage
from jobs.management.measuring import figures
from jobs.management.measuring.figures import Figure, paired
from jobs.management.measuring.pages import _all_written
from jobs.management.measuring.rush import _unaccounted
from jobs.moves.steps import move
from jobs.updates.models import Message
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.timeout(400)
ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(("work", "yardstick"), [(40, 2), (3, 30), (5, 5)])
def test_both_are_timed_by_the_call_in_stretches_of_one_length(
    work: int, yardstick: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    now, calls, looks = 0, [], []

    def taking(seconds: int) -> Callable[[], None]:
        def call() -> None:
            nonlocal now
            now += seconds
            calls.append(seconds)

        return call

    def clock() -> int:
        looks.append(now)
        return now

    monkeypatch.setattr(figures, "perf_counter", clock)
    assert paired(taking(work), taking(yardstick), rounds=5) == (work, yardstick)
    stretches = [end - start for start, end in zip(looks[::2], looks[1::2], strict=True)][-10:]
    assert set(stretches) == {max(work, yardstick)}
    assert calls.count(work) >= 5


def test_a_figure_is_plain_values_that_say_what_they_are_against() -> None:
    figure = Figure("move", 3.21456789, "ms", "one bare UPDATE", 21.23456, "≤ 40 ×", met=True)
    assert figure.as_json() == {
        "name": "move",
        "figure": 3.2146,
        "unit": "ms",
        "yardstick": "one bare UPDATE",
        "ratio": 21.235,
        "target": "≤ 40 ×",
        "met": True,
    }


def test_the_command_prints_a_list_of_figures_and_nothing_else() -> None:
    command = [sys.executable, "manage.py", "measure", "board-poll", "rush", "--seconds", "3", "--json"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=300)
    found = {one["name"]: one for one in json.loads(done.stdout)}
    assert set(found) == {"board-poll", "board-poll-queries", "rush", "rush-errors", "rush-moves"}
    for one in found.values():
        assert set(one) == {"name", "figure", "unit", "yardstick", "ratio", "target", "met"}
    counted = {"board-poll-queries", "rush-errors", "rush-moves"}
    assert all(found[name]["met"] for name in counted), found
    assert re.match(r"[1-9]\d* moves$", found["rush-moves"]["yardstick"])
    assert done.returncode == (0 if all(one["met"] for one in found.values()) else 1)
    assert done.stderr == ""


def test_a_name_that_is_none_is_told_with_those_there_are() -> None:
    with pytest.raises(CommandError, match=r"no figure called boards\. There are: board, board-poll, scan, move"):
        call_command("measure", "boards")


@pytest.mark.django_db(transaction=True)
def test_a_rush_counts_moves_that_are_lost_doubled_or_leave_a_gap() -> None:
    factory.shop()
    jorin = factory.person()
    job = factory.job(Stage.BEN, assigned=jorin)
    for number, to in enumerate((Stage.CUR, Stage.BEN, Stage.CUR), 1):
        move(job.pk, to, by=jorin, at=NOW, seen=number, key=f"a-press-{number}", reason="")
    told = {"a-press-1", "a-press-2", "a-press-3"}
    assert _unaccounted(told) == 0
    assert _unaccounted(told | {"a-press-4"}) == 1, "said to be done, and lost"
    assert _unaccounted(told - {"a-press-2"}) == 1, "done, and never said"
    made = Entry.objects.order_by("pk")[1]
    Entry.objects.create(action=made.action, job=job, by=jorin, at=NOW, data=made.data)
    assert _unaccounted(told) > 0, "doubled"


@pytest.mark.django_db(transaction=True)
def test_a_move_that_told_nobody_is_no_move_to_measure() -> None:
    factory.shop()
    jorin = factory.person()
    moved = []
    for _ in range(2):
        job = factory.job(Stage.QUE, assigned=jorin, agreed_words="strings")
        move(job.pk, Stage.BEN, by=jorin, at=NOW, seen=1)
        moved.append(job.pk)
    _all_written(moved)
    Message.objects.filter(job=moved[0]).delete()
    with pytest.raises(RuntimeError, match="Of 2 measured moves there are 1 letters"):
        _all_written(moved)
