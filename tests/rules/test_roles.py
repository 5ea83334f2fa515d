"""The role table: who may do what, and who may never (trade practice, no source)."""

import pytest

from shop.people.roles import MAY, Act, Role, may


def test_the_head_luthier_may_do_everything() -> None:
    assert all(may(Role.HEAD, act) for act in Act)


def test_the_desk_may_not_pass_the_second_check() -> None:
    assert not may(Role.DESK, Act.CHECK)


def test_the_bench_sees_neither_money_nor_addresses() -> None:
    for role in (Role.LUTHIER, Role.TECHNICIAN, Role.BOW, Role.RESTORER, Role.APPRENTICE):
        assert not may(role, Act.SEE_MONEY)
        assert not may(role, Act.SEE_OWNER)


def test_an_outside_workshop_opens_nothing_by_itself() -> None:
    assert not any(may(Role.OUTSIDE, act) for act in Act)


def test_the_bookkeeper_stays_away_from_the_bench() -> None:
    assert not may(Role.BOOKS, Act.WORK)
    assert not may(Role.BOOKS, Act.MOVE)


@pytest.mark.parametrize("act", list(Act))
def test_every_act_has_a_row(act: Act) -> None:
    assert Role.HEAD in MAY[act]
