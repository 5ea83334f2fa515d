"""What happened, in sentences; and that every action of the book has one."""

import ast
import re
from pathlib import Path

import pytest

from jobs.history.names import Names
from jobs.history.sentences import SENTENCES, sentence

JOBS = Path(__file__).resolve().parents[2] / "jobs"
# written without a job or its visit, so never part of a job's history
ELSEWHERE = {
    "party.made", "party.corrected", "places.made", "catalogue.added",
    "intake.begun", "intake.accepted", "intake.given_up", "drawer.counted", "copy.taken_up",
}  # fmt: skip


def written_actions() -> set[str]:
    """First arguments of `record(…)`: as they stand, or by way of a name they were given before."""
    shape, found = re.compile(r"[a-z]+\.[a-z_]+"), set()
    for path in JOBS.rglob("*.py"):
        if "migrations" in path.parts:
            continue
        tree = ast.parse(path.read_text())
        records = any(
            isinstance(node, ast.ImportFrom) and any(name.name == "record" for name in node.names)
            for node in ast.walk(tree)
        )
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "record" and node.args:
                found |= _constants(node.args[0])
            elif records and isinstance(node, ast.Assign) and all(_names_an_action(target) for target in node.targets):
                found |= {words for words in _constants(node.value) if shape.fullmatch(words)}
    return found


def _constants(node: ast.AST) -> set[str]:
    return {str(each.value) for each in ast.walk(node) if isinstance(each, ast.Constant)}


def _names_an_action(target: ast.AST) -> bool:
    names = [each.id for each in ast.walk(target) if isinstance(each, ast.Name)]
    return bool(names) and all(name == "action" or name.isupper() for name in names)


def test_every_action_that_is_written_has_a_sentence() -> None:
    actions = written_actions()
    assert len(actions) > 30
    assert sorted(actions - SENTENCES.keys() - ELSEWHERE) == []


def test_no_sentence_is_kept_for_an_action_nobody_writes() -> None:
    assert sorted(SENTENCES.keys() - written_actions()) == []


NAMES = Names(people={7: "Jorin"}, places={3: "R2-6"})


@pytest.mark.parametrize(
    ("action", "data", "said"),
    [
        ("job.moved", {"from": "QUE", "to": "BEN", "reason": ""}, "moved it from Bench queue to On the bench"),
        (
            "job.moved",
            {"from": "CHK", "to": "SET", "reason": "Post leans."},
            "moved it from Second check to Set-up and playing: Post leans",
        ),
        ("job.assigned", {"from": None, "to": 7}, "gave it to Jorin"),
        ("job.assigned", {"from": 7, "to": None}, "took it back; nobody has it"),
        ("job.promised", {"from": None, "to": "2026-12-04", "sure": "firm"}, "promised it for Fri 4 Dec (firm)"),
        ("hold.laid", {"hold": 1, "kind": "outside"}, "laid tape: outside workshop"),
        ("item.seen", {"location": 3, "how": "scan"}, "put it on R2-6"),
        ("item.seen", {"location": None, "how": "home"}, "saw it leave the shop"),
        ("clock.stopped", {"seconds": 1080, "because": ""}, "stopped the clock after 0.3 h"),
        ("clock.stopped", {"seconds": 1080, "because": "another"}, "went on to other work after 0.3 h on this"),
        ("estimate.approved", {"version": 2, "option": "B", "how": "link"}, "agreed to version 2, option B, by link"),
        (
            "estimate.approved",
            {"version": 2, "option": "B", "how": "phone"},
            "wrote down that the owner agreed to version 2, option B, by telephone, read back",
        ),
        (
            "payment.taken",
            {"kind": "deposit", "amount": "202.80", "method": "card"},
            "took a deposit of 202.80 by card",
        ),
        ("something.new", {}, "something new"),
    ],
)
def test_sentences_follow_the_name_of_whoever_did_it(action: str, data: dict[str, object], said: str) -> None:
    assert sentence(action, data, NAMES) == said


@pytest.mark.parametrize("action", SENTENCES)
def test_sentences_begin_small_and_end_open(action: str) -> None:
    # data as sparse as any step writes it
    data = {"from": "QUE", "to": "BEN", "as": "home", "kind": "parts", "sure": "firm"}
    if action == "job.promised":
        data = {"from": "2026-12-01", "to": "2026-12-04", "sure": "firm"}
    words = sentence(action, data, Names())
    assert words[0].islower()
    assert not words.endswith(".")
    assert "None" not in words or action in {"value.accepted", "invoice.issued", "payment.taken"}
