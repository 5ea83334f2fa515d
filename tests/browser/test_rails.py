"""The rails in a real Chromium: by pointer, by finger, by keys, without script, and on two screens at once."""

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import FloatRect, Locator, Page, ViewportSize, expect

from jobs.bench.models import WorkSpell
from jobs.book.models import Hold, Job
from jobs.book.stages import Stage
from jobs.moves import steps
from shop.people.roles import Role
from tests import factory
from tests.browser.pages import DESK, PHONE, TABLET, WALL, no_sideways_scroll

pytestmark = [pytest.mark.needs_chromium, pytest.mark.django_db(transaction=True)]
Screen = Callable[..., Page]


@pytest.fixture
def screen(device: Screen) -> Screen:
    """Opens the rails for someone signed in on a device of its own."""

    def open_rails(role: Role = Role.TECHNICIAN, size: ViewportSize = DESK, path: str = "/", **how: Any) -> Page:
        return device(path, size, role, **how)

    return open_rails


def hang(stage: Stage, number: str, **fields: Any) -> Job:
    """A job of Jorin's that is agreed, on a cord."""
    job = factory.job(stage, number=f"26-{number}", assigned=factory.person(Role.TECHNICIAN), **fields)
    factory.approved(job, "Fit a new bridge")
    return job


def tag(page: Page, number: str) -> Locator:
    return page.locator(f"#t26-{number} > a")


def hang_to_rest(leaf: Locator) -> None:
    """Glue, varnish, settling, until nobody knows when."""
    leaf.locator("summary", has_text="Glue, varnish, settling").click()
    leaf.get_by_role("radio", name="not known yet").check()
    leaf.get_by_role("button", name="Hang it to rest").click()


def cord_of(number: str) -> str:
    return Job.objects.get(number=f"26-{number}").stage


def box(found: Locator) -> FloatRect:
    rectangle = found.bounding_box()
    assert rectangle is not None
    return rectangle


def middle(page: Page, what: str, down: float = 0.5) -> tuple[float, float]:
    at = box(page.locator(what))
    return at["x"] + at["width"] / 2, at["y"] + at["height"] * down


def drag(page: Page, number: str, stage: str) -> None:
    """Pull a tag to a cord with the mouse, waiting for what the cords say."""
    page.mouse.move(*middle(page, f"#t26-{number} > a"))
    page.mouse.down()
    x, y = middle(page, f"#t26-{number} > a")
    page.mouse.move(x + 20, y + 8, steps=3)
    expect(page.locator("#c-BEN .word")).to_contain_text("hangs here now")
    x, _ = middle(page, f"#c-{stage}")
    page.mouse.move(x, y + 60, steps=6)


def test_a_tag_is_pulled_to_another_cord_and_the_move_can_be_taken_back(screen: Screen) -> None:
    hang(Stage.BEN, "0406")
    page = screen()
    drag(page, "0406", "CUR")
    expect(page.locator("#c-CUR .word")).to_contain_text("may hang here")
    expect(page.locator("#c-RDY .word")).to_contain_text("not here")
    expect(page.locator("#c-CHK .word")).to_contain_text("No bench time is written down.")
    expect(page.locator("#c-CUR .let")).to_be_visible()
    page.mouse.up()
    expect(page.locator("#c-CUR #t26-0406")).to_be_visible()
    assert cord_of("0406") == Stage.CUR
    expect(page.locator("#told")).to_contain_text("0406 hangs on Glue, varnish, settling now.")
    expect(tag(page, "0406")).to_be_focused()
    page.get_by_role("button", name="Take it back").click()
    expect(page.locator("#c-BEN #t26-0406")).to_be_visible()
    assert cord_of("0406") == Stage.BEN


def test_dropped_where_it_may_not_hang_it_goes_back_and_the_reason_stands_on_the_page(screen: Screen) -> None:
    job = hang(Stage.BEN, "0406")
    WorkSpell.objects.create(job=job, person=factory.person(Role.LUTHIER), started_at=timezone.now())
    page = screen()
    drag(page, "0406", "CUR")
    expect(page.locator("#hand")).to_contain_text("Not on Glue, varnish, settling.")
    page.mouse.up()
    expect(page.get_by_role("alert")).to_have_text(
        "Not on Glue, varnish, settling. The clock of Tobiah is running. Stop it first."
    )
    expect(page.locator("#c-BEN #t26-0406")).to_be_visible()
    assert cord_of("0406") == Stage.BEN


def test_going_back_asks_why_in_the_unfolded_tag(screen: Screen) -> None:
    hang(Stage.BEN, "0406")
    page = screen()
    drag(page, "0406", "QUE")
    page.mouse.up()
    expect(page.get_by_label("Why does it go back to Bench queue?")).to_be_focused()
    page.keyboard.type("the wood is late")
    page.keyboard.press("Enter")
    expect(page.locator("#c-QUE #t26-0406")).to_be_visible()
    assert Job.objects.get(number="26-0406").entries.get(action=steps.MOVED).data["reason"] == "the wood is late"


def test_a_tag_is_moved_by_keys_alone_and_tab_stops_once_per_cord(screen: Screen) -> None:
    for number in ("0406", "0407", "0408"):
        hang(Stage.BEN, number)
    hang(Stage.SET, "0409")
    page = screen()
    tag(page, "0406").focus()
    page.keyboard.press("ArrowDown")
    expect(tag(page, "0407")).to_be_focused()
    page.keyboard.press("End")
    expect(tag(page, "0408")).to_be_focused()
    page.keyboard.press("ArrowRight")
    expect(tag(page, "0409")).to_be_focused()
    page.keyboard.press("Shift+Tab")
    expect(tag(page, "0408")).to_be_focused()
    page.keyboard.press("Home")
    page.keyboard.press("m")
    expect(page.locator("#hand")).to_contain_text("0406, Violin 4/4, is in your hand.")
    expect(page.locator(".held-tag")).to_be_focused()
    page.keyboard.press("ArrowRight")
    expect(page.locator("#told")).to_contain_text("may hang here")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    expect(page.locator("#told")).to_contain_text(
        "Second check: not here. No bench time is written down. Work on it first."
    )
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("Not on Second check.")
    page.keyboard.press("Escape")
    expect(tag(page, "0406")).to_be_focused()
    assert cord_of("0406") == Stage.BEN
    page.keyboard.press("m")
    expect(page.locator("#c-CUR .word")).to_contain_text("may hang here")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    expect(page.locator("#c-CUR #t26-0406 > a")).to_be_focused()
    assert cord_of("0406") == Stage.CUR


def test_enter_unfolds_a_tag_beside_itself_and_escape_folds_it(screen: Screen) -> None:
    hang(Stage.BEN, "0406")
    page = screen()
    tag(page, "0406").focus()
    page.keyboard.press("Enter")
    leaf = page.get_by_role("dialog")
    expect(leaf).to_contain_text("May hang on")
    expect(leaf.get_by_role("heading", name="Violin 4/4")).to_be_focused()
    here, there = box(tag(page, "0406")), box(leaf)
    assert there["x"] >= here["x"] + here["width"] or there["x"] + there["width"] <= here["x"]
    page.keyboard.press("Escape")
    expect(leaf).to_be_hidden()
    expect(tag(page, "0406")).to_be_focused()


def test_tape_is_laid_in_the_unfolded_tag_which_stays_open(screen: Screen) -> None:
    hang(Stage.BEN, "0406")
    page = screen()
    tag(page, "0406").click()
    leaf = page.get_by_role("dialog")
    leaf.get_by_text("Lay tape: it waits").click()
    leaf.get_by_label("parts", exact=True).check()
    leaf.get_by_label("In a few words").fill("bridge blank")
    leaf.get_by_role("button", name="Lay tape", exact=True).click()
    expect(page.locator("#t26-0406 .tape")).to_contain_text("parts: bridge blank")
    leaf.get_by_role("button", name="Lift tape").click()
    expect(page.locator("#t26-0406 .tape")).to_have_count(0)
    assert Hold.objects.get().lifted_at is not None


def test_another_screen_sees_a_change_within_three_seconds_and_keeps_its_place(screen: Screen) -> None:
    job = hang(Stage.BEN, "0406")
    for number in range(500, 512):
        hang(Stage.ANS, f"0{number}")
    mine, other = screen(), screen(Role.LUTHIER, ViewportSize(width=1440, height=500))
    tag(other, "0511").focus()
    other.evaluate("scrollTo(0, 150)")
    tag(mine, "0406").click()
    hang_to_rest(mine.get_by_role("dialog"))
    expect(other.locator("#c-CUR #t26-0406")).to_be_visible(timeout=3000)
    expect(other.locator("#t26-0406 .who")).to_have_text(re.compile(r"moved by Jorin \d\d:\d\d"))
    expect(tag(other, "0511")).to_be_focused()
    assert other.evaluate("scrollY") == 150
    # an unfolded tag stays open, and what is typed in it stays typed, while others move on
    tag(other, "0511").click()
    other.get_by_text("Lay tape: it waits").click()
    other.get_by_label("In a few words").fill("half a sentence")
    steps.move(job.pk, Stage.SET, by=factory.person(Role.DESK), at=timezone.now(), seen=2, key="maris-press")
    expect(other.locator("#c-SET #t26-0406")).to_be_visible(timeout=3000)
    expect(other.get_by_label("In a few words")).to_have_value("half a sentence")
    expect(other.get_by_label("In a few words")).to_be_focused()


def test_the_second_of_two_movers_is_told_who_when_and_where(screen: Screen) -> None:
    job = hang(Stage.BEN, "0406")
    page = screen()
    tag(page, "0406").click()
    leaf = page.get_by_role("dialog")
    expect(leaf.locator("summary", has_text="Glue, varnish, settling")).to_be_visible()
    steps.move(job.pk, Stage.SET, by=factory.person(Role.LUTHIER), at=timezone.now(), seen=1, key="tobiahs-press")
    hang_to_rest(leaf)
    told = page.get_by_role("alert").filter(has_text="Tobiah moved this")
    expect(told).to_have_text(
        re.compile(r"Tobiah moved this to Set-up and playing at \d\d:\d\d\. Look again, then choose\.")
    )
    expect(page.locator("#c-SET #t26-0406")).to_be_visible()
    assert cord_of("0406") == Stage.SET


def test_a_tag_moved_by_another_slips_from_the_hand_with_words(screen: Screen) -> None:
    job, other = hang(Stage.BEN, "0406"), hang(Stage.BEN, "0407")
    page = screen()
    tag(page, "0406").focus()
    page.keyboard.press("m")
    expect(page.locator("#c-CUR .word")).to_contain_text("may hang here")
    # another tag moves: this one stays in the hand, and the cords still say what they say
    steps.move(other.pk, Stage.CUR, by=factory.person(Role.LUTHIER), at=timezone.now(), seen=1, key="tobiahs-first")
    expect(page.locator("#c-CUR #t26-0407")).to_be_visible(timeout=3000)
    expect(page.locator("#c-CUR .word")).to_contain_text("may hang here")
    expect(page.locator(".held-tag")).to_be_focused()
    steps.move(job.pk, Stage.SET, by=factory.person(Role.LUTHIER), at=timezone.now(), seen=1, key="tobiahs-second")
    expect(page.get_by_role("alert")).to_contain_text(
        "0406 changed while it was in your hand: moved by Tobiah", timeout=3000
    )
    expect(page.locator(".held-tag")).to_have_count(0)


class Finger:
    """One finger on a touch screen, by the browser's own input events."""

    def __init__(self, page: Page) -> None:
        self.session = page.context.new_cdp_session(page)

    def _send(self, kind: str, at: tuple[float, float] | None) -> None:
        points = [] if at is None else [{"x": at[0], "y": at[1]}]
        self.session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def down(self, at: tuple[float, float]) -> None:
        self._send("touchStart", at)

    def slide(self, start: tuple[float, float], to: tuple[float, float]) -> None:
        for step in range(1, 9):
            self._send("touchMove", tuple(a + (b - a) * step / 8 for a, b in zip(start, to, strict=True)))  # type: ignore[arg-type]

    def up(self) -> None:
        self._send("touchEnd", None)


def test_a_short_press_lifts_a_tag_and_a_finger_carries_it(screen: Screen) -> None:
    hang(Stage.BEN, "0406")
    page = screen(size=TABLET, touch=True)
    finger, start = Finger(page), middle(page, "#t26-0406 > a")
    finger.down(start)
    expect(page.locator("#c-CUR .word")).to_contain_text("may hang here")
    finger.slide(start, (middle(page, "#c-CUR")[0], start[1] + 40))
    expect(page.locator("#c-CUR .let")).to_be_visible()
    finger.up()
    expect(page.locator("#c-CUR #t26-0406")).to_be_visible()
    assert cord_of("0406") == Stage.CUR


def test_a_finger_that_moves_at_once_scrolls_and_lifts_nothing(screen: Screen) -> None:
    for number in range(400, 406):
        hang(Stage.BEN, f"0{number}")
    page = screen(size=PHONE, path="/?at=BEN", touch=True)
    finger, start = Finger(page), middle(page, "#t26-0402 > a")
    finger.down(start)
    finger.slide(start, (start[0], start[1] - 300))
    finger.up()
    page.wait_for_function("scrollY > 100")
    expect(page.locator(".held-tag")).to_have_count(0)


def test_on_a_phone_a_pressed_tag_stays_in_the_hand_until_it_is_hung(screen: Screen) -> None:
    hang(Stage.BEN, "0406")
    page = screen(size=PHONE, path="/?at=BEN", touch=True)
    finger, start = Finger(page), middle(page, "#t26-0406 > a")
    finger.down(start)
    expect(page.locator("#hand")).to_contain_text("is in your hand.")
    finger.up()
    page.get_by_role("navigation", name="Stages").get_by_text("Glue, varnish, settling").tap()
    expect(page.locator("#c-CUR")).to_be_visible()
    expect(page.locator("#c-CUR .word")).to_contain_text("may hang here")
    page.get_by_role("button", name="Hang it here").tap()
    expect(page.locator("#c-CUR #t26-0406")).to_be_visible()
    assert cord_of("0406") == Stage.CUR


def test_without_script_every_step_is_a_page_and_a_form(screen: Screen) -> None:
    hang(Stage.BEN, "0406")
    for size in (DESK, PHONE):
        job = Job.objects.get(number="26-0406")
        Job.objects.filter(pk=job.pk).update(stage=Stage.BEN)
        page = screen(size=size, path="/?at=BEN", js=False)
        tag(page, "0406").click()
        expect(page.get_by_role("heading", name="Violin 4/4")).to_be_visible()
        expect(page.get_by_text("Take it in hand")).to_be_hidden()
        page.get_by_text("goes back: say why").last.click()
        page.get_by_label("Why does it go back to Bench queue?").fill("the wood is late")
        page.get_by_role("button", name="Hang it on Bench queue").click()
        expect(page.locator("#c-QUE #t26-0406")).to_be_visible()
        assert cord_of("0406") == Stage.QUE
        page.get_by_role("button", name="Take it back").click()
        expect(page.locator("#c-BEN #t26-0406")).to_be_visible()


def test_a_tablet_keeps_four_cords_open_and_gathers_the_one_longest_unused(screen: Screen) -> None:
    hang(Stage.BEN, "0406")
    hang(Stage.RDY, "0403")
    page = screen(size=TABLET)
    opened = "[...document.querySelectorAll('.seg.op')].map(seg => seg.dataset.stage).join()"
    assert page.evaluate(opened) == "QUE,BEN,CUR,SET"
    page.get_by_role("navigation", name="Stages").get_by_text("Ready to collect").click()
    assert page.evaluate(opened) == "BEN,CUR,SET,RDY"
    page.reload()
    page.wait_for_function(f"{opened} === 'BEN,CUR,SET,RDY'")


def test_the_wall_draws_itself_again_and_says_how_old_it_is(screen: Screen) -> None:
    job = hang(Stage.BEN, "0406")
    page = screen(Role.DESK, WALL, "/wall/")
    steps.move(job.pk, Stage.CUR, by=factory.person(Role.LUTHIER), at=timezone.now(), seen=1, key="tobiahs-press")
    expect(page.locator("#c-CUR #t26-0406")).to_be_visible(timeout=3000)
    expect(page.locator(".old")).to_be_hidden()
    page.clock.install()
    page.context.set_offline(True)
    page.clock.fast_forward(timedelta(seconds=95).seconds * 1000)
    page.clock.run_for(3000)
    expect(page.locator(".old")).to_be_visible()
    expect(page.locator(".clock")).to_have_text(re.compile(r"as of \d\d:\d\d"))


@pytest.mark.parametrize("width", [320, 390, 768, 1024, 1440, 1920])
def test_no_width_scrolls_sideways(screen: Screen, width: int) -> None:
    for number, stage in enumerate((*[Stage.ANS] * 15, Stage.QUE, Stage.BEN, Stage.CHK), 400):
        job = hang(
            stage,
            f"0{number}",
            promised=timezone.now().date() - timedelta(days=1),
            work="retouching the varnish of the back",
        )
        Hold.objects.create(job=job, kind="outside", words="Donaudampfschifffahrtsgesellschaft", laid_at=factory.NOW)
    page = screen(Role.HEAD, ViewportSize(width=width, height=800))
    assert no_sideways_scroll(page)
    page.locator(".tag > a:visible").first.click()
    expect(page.get_by_text("May hang on")).to_be_visible()
    assert no_sideways_scroll(page)
