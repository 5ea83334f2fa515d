"""The role table of addresses. `acts`: any of them opens it; STRANGER: open to all (the view decides what is shown)."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from shop.people.roles import Act
from tests.rules.world import World

STRANGER: tuple[Act, ...] = ()


@dataclass(frozen=True)
class Row:
    """One address: who, how many queries at most (0: not a page), how it is asked, and with what."""

    acts: tuple[Act, ...]
    queries: int = 0
    method: str = "GET"
    kwargs: Callable[[World], dict[str, Any]] = field(default=lambda _world: {})


def _number(world: World) -> dict[str, Any]:
    return world.number


def _draft(world: World, **more: Any) -> dict[str, Any]:
    return {"key": world.draft.key, **more}


def _somebody(world: World) -> dict[str, Any]:
    return {"pk": world.person.pk}


def _letter(world: World) -> dict[str, Any]:
    return {"pk": world.letter.pk}


def _of_job(act: Act, *more: Act) -> Row:
    """A press on a job."""
    return Row((act, *more), method="POST", kwargs=_number)


def _office(name: str) -> Callable[[World], dict[str, Any]]:
    """A row of the shop’s own rooms."""
    return lambda world: {"pk": world.office[name]}


def _of_draft(**more: Any) -> Row:
    """A press on an intake in progress."""
    return Row((Act.TAKE_IN,), method="POST", kwargs=lambda world: _draft(world, **more))


SHOP = {
    "healthz": Row(STRANGER),
    "people:sign-in": Row(STRANGER),
    "people:sign-out": Row(STRANGER, method="POST"),
    "kiosk:home": Row(STRANGER),
    "kiosk:open": Row(STRANGER, method="POST"),
    "kiosk:lock": Row(STRANGER, method="POST"),
}

BOARD = {
    "board:rails": Row((Act.SEE_RAILS,), 10),
    "board:wall": Row((Act.SEE_RAILS,), 10),
    "board:pulse": Row((Act.SEE_RAILS,), 4),
    "board:tag": Row((Act.SEE_RAILS,), 14, kwargs=_number),
    "board:offers": Row((Act.MOVE,), 8, kwargs=_number),
    "board:move": _of_job(Act.MOVE),
    "board:undo": _of_job(Act.MOVE),
    "board:assign": _of_job(Act.ASSIGN),
    "board:hold": _of_job(Act.HOLD),
    "board:rest": _of_job(Act.MOVE),
    "board:lift": _of_job(Act.HOLD),
}

MORNING = {
    "morning:today": Row((Act.SEE_DAY,), 16),
    "morning:list": Row((Act.SEE_DAY,), 11),
}

INTAKE = {
    "intake:start": Row((Act.TAKE_IN,), 10),
    "intake:awake": Row((Act.TAKE_IN,), method="POST"),
    "intake:give-up": _of_draft(),
    "intake:save": _of_draft(step="said"),
    "intake:find": _of_draft(),
    "intake:choose": _of_draft(),
    "intake:party": _of_draft(),
    "intake:counter-keep": _of_draft(),
    "intake:counter-apart": _of_draft(),
    "intake:counter-fully": _of_draft(),
    "intake:add": _of_draft(),
    "intake:remove": Row((Act.TAKE_IN,), method="POST", kwargs=lambda world: _draft(world, piece=world.piece)),
    "intake:photo": _of_draft(),
    "intake:picture": Row((Act.TAKE_IN,), kwargs=lambda world: _draft(world, pk=world.photo.pk, size="small")),
    "intake:line": Row((Act.TAKE_IN,), method="POST", kwargs=lambda world: _draft(world, piece=world.piece)),
    "intake:line-remove": Row((Act.TAKE_IN,), method="POST", kwargs=lambda world: _draft(world, piece=world.piece)),
    "intake:accept": Row((Act.TAKE_IN,), method="POST", kwargs=lambda world: _draft(world, piece=world.piece)),
    "intake:seal": _of_draft(),
    "intake:place": Row((Act.TAKE_IN,), kwargs=_draft),
    "intake:note-pdf": Row((Act.TAKE_IN,), kwargs=_draft),
    "intake:tags-pdf": Row((Act.TAKE_IN,), kwargs=_draft),
    "intake:step": Row((Act.TAKE_IN,), 16, kwargs=lambda world: _draft(world, step="who")),
    "intake:piece": Row((Act.TAKE_IN,), 16, kwargs=lambda world: _draft(world, step="condition", piece=world.piece)),
}

DESK = {
    "desk:job": Row((Act.SEE_JOB,), 42, kwargs=_number),
    "desk:move": _of_job(Act.MOVE),
    "desk:undo": _of_job(Act.MOVE),
    "desk:close": _of_job(Act.MOVE),
    "desk:nothing-needed": _of_job(Act.EXAMINE),
    "desk:give": _of_job(Act.ASSIGN),
    "desk:promise": _of_job(Act.MOVE),
    "desk:hold": _of_job(Act.HOLD),
    "desk:rest": _of_job(Act.MOVE),
    "desk:lift": _of_job(Act.HOLD),
    "desk:place": _of_job(Act.MOVE),
    "desk:choose-photo": _of_job(Act.CHOOSE_PHOTOS),
    "desk:new-tag": _of_job(Act.PRINT_TAG),
    "desk:tag-pdf": Row((Act.PRINT_TAG,), 10, kwargs=_number),
    "desk:paper": Row((Act.SEE_MONEY,), 6, kwargs=lambda world: {"pk": world.paper.pk}),
    "desk:paper-again": Row((Act.SEE_MONEY,), method="POST", kwargs=lambda world: {"pk": world.paper.pk}),
    "desk:photo": Row((Act.SEE_JOB,), 5, kwargs=lambda world: {"pk": world.photo.pk, "size": "small"}),
    "desk:estimate": Row(
        (Act.EXAMINE, Act.SEND_ESTIMATE, Act.ANSWER_FOR_OWNER, Act.SEE_MONEY),
        18,
        kwargs=lambda world: {"number": world.examined.number},
    ),
    "desk:estimate-begin": _of_job(Act.EXAMINE),
    "desk:estimate-words": _of_job(Act.EXAMINE),
    "desk:estimate-option": _of_job(Act.EXAMINE),
    "desk:estimate-option-words": _of_job(Act.EXAMINE),
    "desk:estimate-option-off": _of_job(Act.EXAMINE),
    "desk:estimate-line": _of_job(Act.EXAMINE),
    "desk:estimate-line-off": _of_job(Act.EXAMINE),
    "desk:estimate-send": _of_job(Act.SEND_ESTIMATE),
    "desk:estimate-fee": _of_job(Act.EXAMINE),
    "desk:estimate-agree": Row((Act.ANSWER_FOR_OWNER,), kwargs=_number),
    "desk:estimate-withdraw": _of_job(Act.ANSWER_FOR_OWNER),
    "desk:estimate-renew": _of_job(Act.SEND_ESTIMATE),
    "desk:estimate-ceiling": _of_job(Act.ANSWER_FOR_OWNER),
    "desk:refused": _of_job(Act.ANSWER_FOR_OWNER),
    "desk:letters": Row((Act.SEE_LETTERS,), 10),
    "desk:letters-to-post": Row((Act.SEE_LETTERS,), 6),
    "desk:calls": Row((Act.SEE_LETTERS,), 6),
    "desk:letters-posted": Row((Act.SEE_LETTERS,), method="POST"),
    "desk:letter-pdf": Row((Act.SEE_LETTERS,), kwargs=_letter),
    "desk:letter-tried": Row((Act.SEE_LETTERS,), method="POST", kwargs=_letter),
    "desk:letters-again": Row((Act.SEND_AGAIN,), method="POST"),
    "desk:letter": Row((Act.SEE_LETTERS,), 6, kwargs=_letter),
    "desk:letter-told": Row((Act.SEE_LETTERS,), method="POST", kwargs=_letter),
    "desk:letter-again": Row((Act.SEND_AGAIN,), method="POST", kwargs=_letter),
    "desk:letter-arrived": Row((Act.SEND_AGAIN,), method="POST", kwargs=_letter),
    "desk:question-seen": Row((Act.SEE_LETTERS,), method="POST", kwargs=lambda world: {"pk": world.question.pk}),
    "handover:release": Row((Act.RELEASE,), 20, kwargs=_number),
}

SCAN = {
    "scan:tag": Row(STRANGER, 14, kwargs=lambda world: {"code": world.tag.code}),
    "scan:bench": Row((Act.SEE_JOB,), 20, kwargs=_number),
    "scan:move": _of_job(Act.MOVE),
    "scan:undo": _of_job(Act.MOVE),
    "scan:give": _of_job(Act.ASSIGN),
    "scan:start": _of_job(Act.WORK),
    "scan:stop": _of_job(Act.WORK, Act.ASSIGN),
    "scan:note": _of_job(Act.WORK, Act.HOLD),
    "scan:hold": _of_job(Act.HOLD),
    "scan:rest": _of_job(Act.MOVE),
    "scan:lift": _of_job(Act.HOLD),
    "scan:place": _of_job(Act.MOVE),
    "scan:not-this": _of_job(Act.MOVE),
    "scan:check": Row((Act.CHECK,), 16, kwargs=_number),
    "scan:check-photos": _of_job(Act.CHECK),
}


def _invoice(world: World) -> dict[str, Any]:
    return {"number": world.till.invoice.number}


def _payer(world: World) -> dict[str, Any]:
    return {"pk": world.till.invoice.payer_id}


TILL = {
    "till:invoice": Row((Act.INVOICE,), 40, kwargs=_number),
    "till:payment": Row((Act.TAKE_PAYMENT,), 18, kwargs=_number),
    "till:on-account": _of_job(Act.TAKE_PAYMENT),
    "till:refund-held": Row((Act.REFUND,), 18, kwargs=_number),
    "till:money": Row((Act.SEE_MONEY,), 18),
    "till:takings": Row((Act.SEE_MONEY,), 10),
    "till:close": Row((Act.COUNT_DRAWER,), method="POST"),
    "till:day": Row((Act.SEE_MONEY,), 8, kwargs=lambda world: {"on": world.till.payment.at.date()}),
    "till:count": Row((Act.SEE_MONEY,), 10, kwargs=lambda world: {"number": world.till.count.number}),
    "till:received": Row((Act.SEE_MONEY,), 10, kwargs=lambda world: {"pk": world.till.payment.pk}),
    "till:take-back": Row((Act.REVERSE_PAYMENT,), method="POST", kwargs=lambda world: {"pk": world.till.late.pk}),
    "till:issued": Row((Act.SEE_MONEY,), 14, kwargs=_invoice),
    "till:credit": Row((Act.CREDIT,), 10, kwargs=_invoice),
    "till:refund": Row((Act.REFUND,), 10, kwargs=_invoice),
    "till:payer": Row((Act.SEE_MONEY,), 16, kwargs=_payer),
    "till:statement": Row((Act.SEE_MONEY,), 16, kwargs=_payer),
}


def _token(world: World, **more: Any) -> dict[str, Any]:
    return {"token": world.token, **more}


OWNER = {
    "owner:page": Row(STRANGER, 18, kwargs=_token),
    "owner:ask": Row(STRANGER, method="POST", kwargs=_token),
    "owner:fresh": Row(STRANGER, method="POST", kwargs=_token),
    "owner:estimate": Row(STRANGER, kwargs=_token),
    "owner:paper": Row(STRANGER, kwargs=lambda world: _token(world, pk=world.paper.pk)),
    "owner:photo": Row(STRANGER, kwargs=lambda world: _token(world, pk=world.photo.pk, size="small")),
}

OFFICE = {
    "office:front": Row((Act.SET_SHOP, Act.SET_PRICES, Act.SET_STAFF, Act.SEE_COPIES), 24),
    "office:texts": Row((Act.SET_SHOP,), 6),
    "office:text": Row((Act.SET_SHOP,), 8, kwargs=lambda _world: {"kind": "stage-RDY"}),
    "office:staff": Row((Act.SET_STAFF,), 10),
    "office:invite": Row((Act.SET_STAFF,), 5),
    "office:person": Row((Act.SET_STAFF,), 12, kwargs=_somebody),
    "office:way-in": Row((Act.SET_STAFF,), method="POST", kwargs=_somebody),
    "office:pin": Row((Act.SET_STAFF,), method="POST", kwargs=_somebody),
    "office:sign-out": Row((Act.SET_STAFF,), method="POST", kwargs=_somebody),
    "office:leave": Row((Act.SET_STAFF,), method="POST", kwargs=_somebody),
    "office:me": Row(tuple(Act), 7),
    "office:forgot": Row(STRANGER, 4),
    "office:welcome": Row(STRANGER, kwargs=lambda _world: {"number": "MQ", "token": "no-such"}),
    "office:network": Row((Act.SET_SHOP,), 6),
    "office:copies": Row((Act.SEE_COPIES,), 7),
    "office:copies-now": Row((Act.SEE_COPIES,)),
    "office:copies-make": Row((Act.SEE_COPIES,), method="POST"),
    "office:copies-is-the-shop": Row((Act.SEE_COPIES,), method="POST"),
    "office:network-pdf": Row((Act.SET_SHOP,)),
    "office:begin": Row((Act.SET_SHOP,), 10),
    "office:enter": Row((Act.SET_SHOP,), kwargs=lambda _world: {"code": "hours"}),
    "office:walk-said": Row((Act.SET_SHOP,), method="POST", kwargs=lambda _world: {"code": "hours"}),
    "office:facts": Row((Act.SET_SHOP,), 8),
    "office:hours": Row((Act.SET_SHOP,), 10),
    "office:hours-close": Row((Act.SET_SHOP,), method="POST"),
    "office:hours-open": Row((Act.SET_SHOP,), method="POST", kwargs=_office("closed")),
    "office:taxes": Row((Act.SET_PRICES,), 10),
    "office:tax-withdraw": Row((Act.SET_PRICES,), method="POST", kwargs=_office("tax")),
    "office:prices": Row((Act.SET_PRICES,), 14),
    "office:price-begin": Row((Act.SET_PRICES,), method="POST"),
    "office:price-list": Row((Act.SET_PRICES,), 12, kwargs=_office("prices")),
    "office:price-pdf": Row((Act.SET_PRICES,), kwargs=_office("prices")),
    "office:price-reopen": Row((Act.SET_PRICES,), method="POST", kwargs=_office("prices")),
    "office:price-draft": Row((Act.SET_PRICES,), 10, kwargs=_office("draft")),
    "office:price-add": Row((Act.SET_PRICES,), method="POST", kwargs=_office("draft")),
    "office:price-rise": Row((Act.SET_PRICES,), method="POST", kwargs=_office("draft")),
    "office:price-withdraw": Row((Act.SET_PRICES,), method="POST", kwargs=_office("draft")),
    "office:terms": Row((Act.SET_SHOP,), 8),
    "office:terms-version": Row((Act.SET_SHOP,), 8, kwargs=lambda _world: {"number": 1}),
    "office:terms-new": Row((Act.SET_SHOP,), 8),
    "office:places": Row((Act.SET_SHOP,), 10),
    "office:place": Row((Act.SET_SHOP,), method="POST", kwargs=_office("place")),
    "office:devices": Row((Act.KIOSK,), 10),
    "office:device": Row((Act.KIOSK,), method="POST", kwargs=_office("device")),
    "office:device-register": Row((Act.KIOSK,), 6),
}

REGISTER = {
    "register:item": Row((Act.SEE_JOB,), 26, kwargs=lambda world: {"pk": world.job.item_id}),
    "register:item-right": Row((Act.CORRECT_JOB,), method="POST", kwargs=lambda world: {"pk": world.job.item_id}),
    "register:item-tag-again": Row((Act.PRINT_TAG,), method="POST", kwargs=lambda world: {"pk": world.job.item_id}),
    "register:item-tag": Row((Act.PRINT_TAG,), 8, kwargs=lambda world: {"pk": world.job.item_id}),
    "register:owner": Row((Act.SEE_OWNER,), 20, kwargs=lambda world: {"pk": world.letter.party_id}),
    "register:owner-right": Row(
        (Act.CORRECT_OWNER,), method="POST", kwargs=lambda world: {"pk": world.letter.party_id}
    ),
    "register:owner-again": Row((Act.SEND_AGAIN,), method="POST", kwargs=lambda world: {"pk": world.letter.party_id}),
    "register:put-right": Row((Act.CORRECT_JOB, Act.CORRECT_OWNER), 14, kwargs=_number),
    "register:put-on-item": _of_job(Act.CORRECT_JOB),
    "register:change-party": _of_job(Act.CORRECT_OWNER),
    "register:picture": Row((Act.CHOOSE_PHOTOS, Act.CORRECT_JOB), 12, kwargs=lambda world: {"pk": world.photo.pk}),
    "register:picture-move": Row(
        (Act.CHOOSE_PHOTOS, Act.CORRECT_JOB), method="POST", kwargs=lambda world: {"pk": world.photo.pk}
    ),
    "register:reprint": Row((Act.SEE_MONEY,), method="POST", kwargs=lambda world: {"pk": world.paper.pk}),
    "register:find": Row((Act.FIND,), 8),
}

ROWS: dict[str, Row] = {**SHOP, **BOARD, **MORNING, **INTAKE, **DESK, **TILL, **SCAN, **OWNER, **OFFICE, **REGISTER}
