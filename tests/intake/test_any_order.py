"""Whatever is pressed in whatever order: at most one sealed note, and its hash is that of its text."""

import json
from functools import partial
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st

from jobs.book.models import Job, Visit
from jobs.book.refusals import Again, Refused
from jobs.intake import drafts, steps
from jobs.intake.edits import with_fields, with_line, with_role, without_line
from jobs.intake.models import Draft
from jobs.intake.sealing import place, seal
from jobs.papers.canonical import sha256
from jobs.papers.models import Paper
from jobs.tags.models import Tag
from tests import factory
from tests.factory import NOW
from tests.intake import sittings

pytestmark = pytest.mark.django_db

LINE = "cccccccccccc"
PHASES = tuple(phase for phase in Phase if phase is not Phase.explain)  # tracing the whole site takes minutes
edit = st.one_of(
    st.tuples(st.just("say"), st.sampled_from(["", "It rattles.", "נועה 🎻"])),
    st.tuples(st.just("value"), st.sampled_from(["", "not stated"])),
    st.tuples(st.just("line"), st.sampled_from(["", "minor"])),
    st.tuples(st.just("unline"), st.none()),
    st.tuples(st.just("owner"), st.booleans()),
    st.tuples(st.just("photo"), st.sampled_from(["front-full", "back-full"])),
    st.tuples(st.just("add"), st.sampled_from(["k1", "k2"])),
    st.tuples(st.just("read"), st.none()),
    st.tuples(st.just("seal"), st.sampled_from(["k3", "k4"])),
    st.tuples(st.just("place"), st.sampled_from(["k5", "k6"])),
    st.tuples(st.just("give up"), st.none()),
)


class Walk:
    """One tablet (or two, or a reload): remembers what the page last showed, right or stale."""

    def __init__(self) -> None:
        self.owner, self.other = factory.party(), factory.party()
        self.run = uuid4().hex[:8]
        self.piece = sittings.piece(f"26-{self.run}")
        self.row = sittings.begun(sittings.draft(self.owner, self.piece))
        self.version, self.digest = 1, sittings.seen_hash(self.row)

    def now(self) -> Draft:
        return Draft.objects.get(pk=self.row.pk)

    def save(self, change: steps.Change) -> None:
        self.version = steps.save(self.row, change, seen=self.now().version, by=self.row.by, at=NOW).version

    def step(self, what: str, how: Any) -> None:
        key, piece = f"press-{how}-{self.run}", self.piece.key
        if what in {"say", "value"}:
            name, step = ("said", "said") if what == "say" else ("value_answer", "value")
            self.save(partial(with_fields, step=step, typed={f"{name}-{piece}": how}))
        elif what == "line":
            typed = {"term": "buzz", "severity": how, "no_photo": "only heard"}
            self.save(partial(with_line, piece_key=piece, line_key=LINE, typed=typed))
        elif what == "unline":
            self.save(partial(without_line, piece_key=piece, line_key=LINE))
        elif what == "owner":
            self.save(partial(with_role, role="owner", party=self.other.pk if how else None))
        elif what == "photo":
            sittings.photo(self.row, piece, how, key=f"send-{how}-{self.run}")
        elif what == "add":
            steps.add_piece(self.row, seen=None, by=self.row.by, at=NOW, kind="Bw", key=key)
        elif what == "read":
            row = self.now()
            if row.visit_id is None and row.dropped_at is None:  # else the page leads away
                self.version, self.digest = row.version, sittings.seen_hash(row)
        elif what == "seal":
            seal(
                self.row, seen=self.version, seen_sha256=self.digest, signs=sittings.signs(), by=self.row.by, at=NOW,
                key=key,
            )  # fmt: skip
        elif what == "place":
            held = drafts.from_json(self.now().data)
            where = {one.key: factory.location().pk for one in held.pieces}
            place(self.row, where, by=self.row.by, at=NOW, key=key)
        else:
            steps.give_up(self.row, by=self.row.by, at=NOW)


@settings(max_examples=40, deadline=None, phases=PHASES, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(edit, max_size=14))
@example(
    [("seal", "k3"), ("seal", "k4"), ("say", ""), ("place", "k5"), ("place", "k6"), ("give up", None), ("seal", "k3")]
)
@example([("photo", "front-full"), ("seal", "k3"), ("read", None), ("seal", "k3"), ("photo", "back-full")])
@example([("line", "minor"), ("seal", "k3"), ("read", None), ("seal", "k4"), ("place", "k5")])
@example([("add", "k1"), ("add", "k1"), ("read", None), ("seal", "k3"), ("give up", None), ("seal", "k4")])
def test_any_sequence_of_edits_reloads_and_double_presses_gives_at_most_one_true_note(
    moves: list[tuple[str, Any]],
) -> None:
    with transaction.atomic():
        sittings.open_shop()
        walk = Walk()
        for what, how in moves:
            try:
                walk.step(what, how)
            except (Refused, Again, KeyError):
                continue
        papers = list(Paper.objects.filter(kind="note"))
        assert len(papers) == Visit.objects.count() <= 1
        row = walk.now()
        assert (row.visit_id is not None) == bool(papers)
        for paper in papers:
            text = json.loads(paper.text)
            assert sha256(paper.text.encode()) == paper.text_sha256
            assert text["words_sha256"] == walk.digest
            jobs = list(Job.objects.filter(visit=paper.visit))
            assert [job["number"] for job in text["words"]["jobs"]] == [job.number for job in jobs]
            assert Tag.objects.filter(dead_at=None).count() == len(jobs)
            assert row.dropped_at is None
        if not papers:
            assert not Job.objects.exists()
        transaction.set_rollback(True)


def test_the_hash_of_the_words_is_the_one_that_both_saw(db: None) -> None:
    sittings.open_shop()
    row = sittings.begun(sittings.draft(factory.party()))
    shown = sittings.seen_hash(row)
    made = seal(row, seen=1, seen_sha256=shown, signs=sittings.signs(), by=row.by, at=NOW, key="press-seal-1")
    assert json.loads(made.paper.text)["words_sha256"] == shown
