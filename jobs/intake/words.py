"""Words offered at intake: tension, accessories by kind, bases of a value, reasons. Pure (common practice, no source)."""

from jobs.book.kinds import FRETTED, INSTRUMENTS, VIOLIN_FAMILY

STEPS = ("who", "items", "said", "photos", "condition", "value", "sign", "place")
# Work from the price list is taken in on one page.
LIST_STEPS = ("counter", "sign", "place")
STEP_WORDS = {
    "counter": "Price-list work",
    "who": "Who",
    "items": "Items",
    "said": "Said",
    "photos": "Photos",
    "condition": "Condition",
    "value": "Value",
    "sign": "Sign",
    "place": "Place",
}

# Kinds a person brings to the desk, in the order of the buttons; a bag of replaced parts is made by the bench.
OFFERED = ("Vn", "Va", "Vc", "Db", "Bw", "Gt", "Md", "Cs", "Ot")
JOBS_OFFERED = {"repair": "Repair", "rehair": "Rehair", "settling": "Settling visit", "warranty": "Warranty"}

TENSIONS = ("up to pitch", "slack", "strings off", "bridge down", "soundpost down", "not known")
BASES = ("purchase price", "appraisal", "a guess")
NOT_STATED = "not stated"
COVERS = {
    "yes": "insured by the owner",
    "no": "not insured by the owner",
    "unknown": "owner’s insurance not known",
}
UNSIGNED = {"refused": "Refused to sign", "door": "Left at the door"}

_STRUNG = ("spare strings", "humidity tube", "tuner", "sheet music", "papers")
_WITH = {
    "Vn": ("case", "cover", "shoulder rest", "rosin", "mute"),
    "Va": ("case", "cover", "shoulder rest", "rosin", "mute"),
    "Vc": ("case", "cover", "rosin", "mute", "endpin stop", "extra bridge"),
    "Db": ("cover", "rosin", "mute", "endpin stop", "endpin wheel", "stool", "extra bridge"),
    "Gt": ("case", "cover", "strap", "footstool"),
    "Md": ("case", "cover", "strap"),
    "Bw": ("bow tube", "case", "rosin", "papers"),
    "Cs": ("cover", "keys", "strap"),
    "Ot": ("case", "cover", "papers"),
}

# Silence is no claim of soundness: what the desk does not look at is named.
_UNSEEN = "inside; under the fingerboard"
_UNSEEN_BOW = "under the winding; inside the frog"

REASONS = ("cannot be seen without opening it", "strings off, head wrapped", "too fragile to turn", "not brought in")


def accessories_for(kind: str) -> tuple[str, ...]:
    """What commonly comes with a kind of item."""
    return _WITH.get(kind, ()) + (_STRUNG if kind in INSTRUMENTS else ())


def not_examined_for(kind: str) -> str:
    """What a desk does not look at, to begin with."""
    if kind in VIOLIN_FAMILY | FRETTED:
        return _UNSEEN
    return _UNSEEN_BOW if kind == "Bw" else ""


def strung(kind: str) -> bool:
    """Whether the state of the strings is asked for."""
    return kind in INSTRUMENTS
