"""The words of letters to owners: ours as a table, a shop's own in their place, and how pieces go into them. Pure.

A text is a subject and paragraphs parted by blank lines. “{pay}” and its like are pieces that the program writes, since they
are true only at the moment of writing. A paragraph whose pieces are all empty, and which says nothing else, falls away.
Greeting, the owner's own link, how to reach the shop and who signs are always added.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

MOST_SUBJECT, MOST_BODY = 120, 4000
_PIECE = re.compile(r"\{([^{}]*)\}")

THING = {"thing": "what it is, as “cello”", "number": "the job’s number"}
NEWS = {**THING, "state": "where it stands", "next": "what comes next", "ready": "when it should be ready, if a day is promised"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Wording:
    """Subject and paragraphs of one letter."""

    subject: str
    body: str


@dataclass(frozen=True, slots=True)
class Text:
    """One letter: when it goes out, our words, which pieces it may hold and which it must."""

    code: str
    name: str
    when: str
    ours: Wording
    pieces: Mapping[str, str]
    needed: tuple[str, ...] = ()


def _news(code: str, name: str, says: str) -> Text:
    return Text(
        f"stage-{code}",
        name,
        f"when a job reaches “{name}”",
        Wording(f"Your {{thing}}, {{number}}: {says}", "News of your {thing}. {state} {next}\n\n{ready}"),
        NEWS,
    )


_ALL = (
    _news("EXP", "Expected", "we expect you"),
    Text(
        "note",
        "What was left with us",
        "once the condition note is sealed, with the note beside it",
        Wording(
            "What you left with us, {number}",
            "Thank you for bringing us {things}. The note of what came in and how it was is with this letter. Please keep "
            "it: it is sealed, and any change in it can be seen.\n\nIf anything in it is not right, tell us now.",
        ),
        {"things": "all that was brought, with numbers", "number": "the first job’s number"},
    ),
    _news("EXA", "Examination", "we are looking at it"),
    Text(
        "estimate",
        "Estimate",
        "when an estimate waits for an answer",
        Wording(
            "Your {thing}, {number}: our estimate, please answer",
            "We have looked closely at your {thing} and written {ways} (version {version}).\n\nPlease read and answer it on "
            "your page. It holds until {until}. No paid work begins before you answer.",
        ),
        {
            **THING,
            "ways": "“our estimate”, or with how many ways to go on",
            "version": "its version",
            "until": "the last day it holds",
        },
        ("until",),
    ),
    Text(
        "agreed",
        "What we agreed",
        "when an estimate is agreed to, by whichever road",
        Wording(
            "Your {thing}, {number}: what we agreed",
            "You have agreed to {what}: {total} in all.\n\n{then}\n\n{ready}\n\nIf you did not agree to this, tell us at once.",
        ),
        {
            **THING,
            "what": "option, version, and by which road",
            "total": "the sum with tax",
            "then": "the deposit, or that it is in line",
            "ready": "when it should be ready, if that is known",
        },
        ("what", "total", "then"),
    ),
    Text(
        "declined",
        "Thank you for your answer",
        "when the answer is “none of these”",
        Wording(
            "Your {thing}, {number}: thank you for your answer",
            "Thank you for telling us. You decided against our estimate for your {thing}, version {version}, and that is "
            "quite all right.\n\nWe do nothing more to it and make it ready for you. With our next letter we tell you when "
            "you can collect it{fee}.\n\nIf you think again, just ask: we gladly write a new estimate.\n\nIf you did not "
            "decide this, tell us at once.",
        ),
        {**THING, "version": "the estimate’s version", "fee": "“ and what is to pay …” where the estimate named a fee"},
        ("fee",),
    ),
    Text(
        "taken-back",
        "Our mistake, put right",
        "when an answer was written down wrongly and its letter had gone out",
        Wording(
            "Your {thing}, {number}: our mistake, put right",
            "We had written down that you {decided} our estimate for your {thing}, version {version}. That was our mistake, "
            "and we have taken it back. We are sorry.\n\nThe estimate waits for your answer. No paid work begins before you "
            "have given it.",
        ),
        {**THING, "decided": "“agreed to” or “decided against”", "version": "the estimate’s version"},
        ("decided",),
    ),
    _news("QUE", "Bench queue", "it is in line for the bench"),
    _news("BEN", "On the bench", "work has begun"),
    _news("CUR", "Glue, varnish, settling", "it is resting"),
    _news("SET", "Set-up and playing", "it is being set up and tried"),
    Text(
        "stage-RDY",
        "Ready to collect",
        "when it can be fetched",
        Wording("Your {thing}, {number}: it is ready to collect", "{opening}\n\n{pay}\n\n{who}\n\n{last}"),
        {
            **THING,
            "opening": "that it is ready, or that it is as it came where the estimate was declined",
            "pay": "what is to pay",
            "who": "who may collect it, if that was named",
            "last": "to play it before going, or thanks where the estimate was declined",
        },
        ("opening", "pay"),
    ),
    Text(
        "invoice",
        "Invoice",
        "when the final invoice is issued, with the invoice beside it",
        Wording("{about} invoice {invoice}", "Invoice {invoice} for work on {work} is with this letter. {pay}"),
        {
            "about": "“Your cello, 26-0417:”, empty where it is over several",
            "invoice": "its number",
            "work": "what it is for",
            "pay": "what is to pay",
        },
        ("invoice", "pay"),
    ),
    Text(
        "credit",
        "Credit note",
        "when an invoice is credited, whole or in part, with the credit note beside it",
        Wording(
            "{about} credit note {credit}",
            "Invoice {invoice} was not right. Credit note {credit} takes {back} of it back and is with this letter. {pay}",
        ),
        {
            "about": "“Your cello, 26-0417:”",
            "credit": "the number of the credit note",
            "invoice": "the number of the invoice",
            "back": "how much is credited",
            "pay": "what is then to pay or returned, or that a new invoice follows",
        },
        ("credit", "invoice", "pay"),
    ),
    Text(
        "stage-HOME",
        "Gone home",
        "when it has been handed over",
        Wording(
            "Your {thing}, {number}: thank you",
            "Thank you for bringing us your {thing}.\n\n{care}\n\n{free}\n\nYour page with its papers stays open for 30 days.",
        ),
        {**THING, "care": "how to look after it in the first weeks", "free": "until when the settling check is free"},
    ),
    Text(
        "fresh-link",
        "Your page",
        "when somebody asked for a fresh link",
        Wording(
            "Your {thing}, {number}: your page",
            "Here is the link to your page. Links you had before may no longer work.\n\nIf you did not ask for it, you need "
            "do nothing.",
        ),
        THING,
    ),
)
TEXTS: Mapping[str, Text] = {text.code: text for text in _ALL}


def subject_of(wording: Wording, pieces: Mapping[str, str]) -> str:
    """The subject with its pieces, on one line and beginning with a capital. Raises KeyError for an unknown piece."""
    said = " ".join(_filled(wording.subject, pieces).split())
    return said[:1].upper() + said[1:]


def paragraphs_of(wording: Wording, pieces: Mapping[str, str]) -> list[str]:
    """The paragraphs with their pieces; those left with nothing to say fall away. Raises KeyError for an unknown piece."""
    found = []
    for paragraph in re.split(r"\n\s*\n", wording.body.replace("\r\n", "\n").strip()):
        lines = [" ".join(line.split()) for line in _filled(paragraph, pieces).split("\n")]
        said = "\n".join(line for line in lines if line)
        if said:
            found.append(said)
    return found


def _filled(text: str, pieces: Mapping[str, str]) -> str:
    return _PIECE.sub(lambda match: pieces[match.group(1)], text)


def faults_of(text: Text, wording: Wording) -> dict[str, str]:
    """What keeps a shop's own words from being used: by field, each as a sentence on what to do."""
    faults: dict[str, str] = {}
    for field, said, most in (("subject", wording.subject, MOST_SUBJECT), ("body", wording.body, MOST_BODY)):
        if not said.strip():
            faults[field] = "Write something, or go back to our words."
        elif len(said) > most:
            faults[field] = f"At most {most} letters. Shorten it."
        unknown = [name for name in _PIECE.findall(said) if name not in text.pieces]
        if unknown:
            faults[field] = (
                f"“{{{unknown[0]}}}” is no piece of this letter. Take one from the list, or leave the braces away."
            )
        elif re.search(r"[{}]", _PIECE.sub("", said)):
            faults[field] = "A brace stands alone. Pieces are written {so}; leave other braces away."
    missing = [
        name for name in text.needed if f"{{{name}}}" not in wording.body and f"{{{name}}}" not in wording.subject
    ]
    if missing and "body" not in faults:
        faults["body"] = f"“{{{missing[0]}}}” must stand in it: {text.pieces[missing[0]]}."
    if "\n" in wording.subject.strip():
        faults["subject"] = "The subject is one line."
    return faults
