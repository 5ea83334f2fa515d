"""Roles and what each may do: one pure table (trade practice, no source).

Read a row as: this act is open to these roles. The head luthier may do everything; every act is recorded.
"""

from enum import StrEnum


class Role(StrEnum):
    """Who someone is in the shop."""

    HEAD = "head"
    DESK = "desk"
    LUTHIER = "luthier"
    TECHNICIAN = "technician"
    BOW = "bow"
    RESTORER = "restorer"
    APPRENTICE = "apprentice"
    BOOKS = "books"
    OUTSIDE = "outside"


ROLE_WORDS = {
    Role.HEAD: "head luthier",
    Role.DESK: "front desk",
    Role.LUTHIER: "luthier",
    Role.TECHNICIAN: "technician",
    Role.BOW: "bow maker",
    Role.RESTORER: "restorer",
    Role.APPRENTICE: "apprentice",
    Role.BOOKS: "bookkeeper",
    Role.OUTSIDE: "outside workshop",
}


class Act(StrEnum):
    """What someone may do. Pages and steps ask for one of these."""

    SEE_RAILS = "see the rails"
    SEE_JOB = "see a job"
    SEE_OWNER = "see an owner's address and telephone"
    TAKE_IN = "take in an instrument"
    MOVE = "move a job"
    ASSIGN = "give a job to someone"
    HOLD = "lay or lift a hold"
    WORK = "work at the bench"
    EXAMINE = "examine and estimate"
    SEND_ESTIMATE = "send an estimate"
    ANSWER_FOR_OWNER = "write down an owner's answer"
    CHECK = "make the second check"
    SEE_MONEY = "see money"
    INVOICE = "issue an invoice"
    TAKE_PAYMENT = "take a payment"
    RELEASE = "give an instrument back"
    PRINT_TAG = "print a tag"
    SEE_LETTERS = "see letters to owners"
    SEND_AGAIN = "send a letter again"
    CHOOSE_PHOTOS = "choose photos for the owner"
    OVERRIDE = "go on without what is usually needed"
    KIOSK = "register a kiosk"
    SEE_DAY = "see the day"
    FIND = "find anything"
    CORRECT_OWNER = "put an owner’s name or address right"
    CORRECT_JOB = "put a job right that was opened on the wrong item"
    REVERSE_PAYMENT = "reverse a payment that was written down wrongly"
    REFUND = "give money back"
    CREDIT = "take an invoice back by a credit note"
    COUNT_DRAWER = "count the drawer"
    SET_SHOP = "change the shop’s settings"
    SET_PRICES = "change prices"
    SET_STAFF = "invite people and change what they may do"
    SEE_COPIES = "see the safe copies"


_BENCH = {Role.LUTHIER, Role.TECHNICIAN, Role.BOW, Role.RESTORER, Role.APPRENTICE}
_SKILLED = _BENCH - {Role.APPRENTICE}
_SENIOR = {Role.LUTHIER, Role.RESTORER}
_INSIDE = _BENCH | {Role.DESK, Role.BOOKS}

_TABLE: dict[Act, set[Role]] = {
    Act.SEE_RAILS: _INSIDE,
    Act.SEE_JOB: _INSIDE,
    Act.SEE_OWNER: {Role.DESK, Role.BOOKS},
    Act.TAKE_IN: {Role.DESK, *_SENIOR},
    Act.MOVE: _BENCH | {Role.DESK},
    Act.ASSIGN: _SKILLED | {Role.DESK},
    Act.HOLD: _BENCH | {Role.DESK},
    Act.WORK: _BENCH,
    Act.EXAMINE: _SKILLED,
    Act.SEND_ESTIMATE: _SENIOR | {Role.DESK},
    Act.ANSWER_FOR_OWNER: {Role.DESK, *_SENIOR},
    Act.CHECK: _SKILLED,
    Act.SEE_MONEY: {Role.DESK, Role.BOOKS},
    Act.INVOICE: {Role.DESK, Role.BOOKS},
    Act.TAKE_PAYMENT: {Role.DESK, Role.BOOKS},
    Act.RELEASE: {Role.DESK},
    Act.PRINT_TAG: _BENCH | {Role.DESK},
    Act.SEE_LETTERS: {Role.DESK},
    Act.SEND_AGAIN: {Role.DESK},
    Act.CHOOSE_PHOTOS: _SKILLED | {Role.DESK},
    Act.OVERRIDE: set(),
    Act.KIOSK: set(),
    Act.SEE_DAY: _INSIDE,
    Act.FIND: _INSIDE,
    Act.CORRECT_OWNER: {Role.DESK},
    Act.CORRECT_JOB: {Role.DESK, *_SENIOR},
    Act.REVERSE_PAYMENT: {Role.DESK, Role.BOOKS},
    Act.REFUND: {Role.DESK, Role.BOOKS},
    Act.CREDIT: {Role.BOOKS},
    Act.COUNT_DRAWER: {Role.DESK, Role.BOOKS},
    Act.SET_SHOP: set(),
    Act.SET_PRICES: set(),
    Act.SET_STAFF: set(),
    Act.SEE_COPIES: set(),
}

MAY: dict[Act, frozenset[Role]] = {act: frozenset(roles | {Role.HEAD}) for act, roles in _TABLE.items()}


def may(role: Role | str, act: Act) -> bool:
    """Whether a role may do an act."""
    return role in MAY[act]
