"""The rails as columns: what hangs where, in which order, how crowded, and what is said beside each cord. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from jobs.bench.rests import Rest
from jobs.board.words import Day, Sentence, Tape, also_words, day_line, day_sentence, tapes_of, who_line
from jobs.book.said import days_words, number_words
from jobs.book.stages import PLACES, Place, Stage
from shop.clock import day_words

FULL, SLIM = 6, 12
HOOKS = 7
# The rails folded into six lines: which stages share a line.
LINES: tuple[tuple[Stage, ...], ...] = (
    (Stage.EXP, Stage.IN, Stage.EXA),
    (Stage.ANS,),
    (Stage.QUE,),
    (Stage.BEN,),
    (Stage.CUR, Stage.SET),
    (Stage.CHK, Stage.RDY),
)


@dataclass(frozen=True, slots=True)
class Hung:
    """What the book says of one open job."""

    number: str
    stage: Stage
    item: str
    silhouette: str
    since: date  # since when it hangs there
    revision: int = 1
    owner: str = ""
    who: str = ""  # given name of whoever has it
    work: str = ""
    promised: date | None = None
    sureness: str = ""
    holds: tuple[tuple[str, str], ...] = ()  # (kind, words)
    clock: str = ""  # given name of whoever's clock runs on it
    asked: date | None = None
    runs_out: date | None = None
    moved: str = ""  # “moved by Tobiah 10:12” while that is news
    also: tuple[str, ...] = ()  # numbers of other open jobs on the same item
    rest: Rest | None = None  # glue, varnish or settling, by the clock

    @property
    def short(self) -> str:
        """“0417”."""
        return self.number.partition("-")[2] or self.number

    def is_late(self, today: date) -> bool:
        """Whether its day has passed and it is not ready."""
        return self.promised is not None and self.promised < today and self.stage is not Stage.RDY


@dataclass(frozen=True, slots=True)
class Tag:
    """One paper tag."""

    number: str
    short: str
    item: str
    silhouette: str
    owner: str
    who: str
    day: Day
    tapes: tuple[Tape, ...]
    moved: str
    also: str  # “also 0421”: another open job on the same item
    key: str  # where it hangs on its cord: smaller is higher
    revision: int
    rest: Rest | None = None

    @property
    def marks(self) -> str:
        """Class names of its state."""
        states = (("late", self.day.late), ("held", self.tapes), ("news", self.moved), ("rests", self.rest))
        return " ".join(("tag", *(name for name, is_so in states if is_so)))


@dataclass(frozen=True, slots=True)
class Column:
    """One cord."""

    place: Place
    count: int
    word: str
    tags: tuple[Tag, ...]
    slim: bool
    more: int  # tags that are counted only
    span: int = 1  # hooks of its line when folded
    open: bool = False  # stays open where there is room for four
    current: bool = False  # the one shown where there is room for one

    @property
    def name(self) -> str:
        """Its name, with a soft hyphen where a gathered segment is too narrow for the word."""
        return self.place.name.replace("Examination", "Exami\u00adnation")

    @property
    def is_long(self) -> bool:
        """Whether its name needs smaller letters on the rail."""
        return len(self.place.name) > 20 or max(map(len, self.place.name.split())) > 10

    @property
    def marks(self) -> str:
        """Class names: how wide, how crowded, open or gathered."""
        width = "w0" if not self.count else "w1" if self.count < 3 else "w2"
        return f"{width} f{self.span} {'op' if self.open else 'ga'}{' lng' if self.is_long else ''}{' slim' if self.slim else ''}{' cur' if self.current else ''}"


def hang_key(hung: Hung, today: date) -> str:
    """Where a tag hangs: soonest day first, no day last, longest there first; in Ready the longest ready first."""
    since, day = hung.since.isoformat(), hung.promised.isoformat() if hung.promised else "9999"
    if hung.stage is Stage.RDY:
        agreed = hung.promised is not None and hung.promised >= today
        return f"1{day}{since}{hung.number}" if agreed else f"0{since}{hung.number}"
    return f"{day}{since}{hung.number}"


def landing_key(hung: Hung, to: Stage, today: date) -> str:
    """Where it would hang on another cord if it were moved there today."""
    moved = Hung(hung.number, to, hung.item, hung.silhouette, since=today, promised=hung.promised)
    return hang_key(moved, today)


def tag_of(hung: Hung, today: date) -> Tag:
    """The paper tag of a job."""
    return Tag(
        number=hung.number,
        short=hung.short,
        item=hung.item,
        silhouette=hung.silhouette,
        owner=hung.owner,
        who=who_line(
            hung.stage,
            who=hung.who,
            work=hung.work,
            clock=hung.clock,
            asked=hung.asked,
            runs_out=hung.runs_out,
            today=today,
            rests=hung.rest.words if hung.rest else "",
        ),
        day=day_line(hung.stage, promised=hung.promised, sureness=hung.sureness, since=hung.since, today=today),
        tapes=tapes_of(hung.holds),
        moved=hung.moved,
        also=also_words(hung.also),
        key=hang_key(hung, today),
        revision=hung.revision,
        rest=hung.rest,
    )


def crowd(count: int, *, span: int = 0, all_of_it: bool = False) -> tuple[bool, int]:
    """(slim?, how many tags are shown) for a cord of `count`.

    Six hang full; more turn slim; beyond twelve the rest is counted. Folded, a line has `span` hooks for it:
    slim tags hang two on a hook. `all_of_it` shows every tag, full: the cord that was opened alone.
    """
    if all_of_it:
        return False, count
    full, most = (span, 2 * span) if span else (FULL, SLIM)
    if count <= full:
        return False, count
    return True, count if count <= most else most


def spans(counts: Sequence[int], hooks: int = HOOKS) -> tuple[int, ...]:
    """Hooks of one folded line shared out by need, at least one each; nothing is left over."""
    shares = [1] * len(counts)
    for _ in range(hooks - len(counts)):
        neediest = max(range(len(counts)), key=lambda place: (counts[place] / shares[place], counts[place]))
        shares[neediest] += 1
    return tuple(shares)


def column_word(stage: Stage, hung: Sequence[Hung], today: date) -> str:
    """A few words beside the cord: what matters most on it."""
    if not hung:
        return "no one waits here"
    late = sum(one.is_late(today) for one in hung)
    if late:
        return f"{number_words(late)} past {'its' if late == 1 else 'their'} day"
    rests = rest_word(hung) if stage is Stage.CUR else ""
    if rests:
        return rests
    clocks = [one for one in hung if one.clock]
    if clocks:
        return f"{clocks[0].short}: clock runs" if len(clocks) == 1 else f"{number_words(len(clocks))} clocks run"
    longest = max((today - one.since).days for one in hung)
    if (stage is Stage.ANS and longest >= 7) or (stage is Stage.RDY and longest >= 2):
        return f"longest: {days_words(longest)}"
    if stage is Stage.RDY:
        return ""
    for day, name in ((today, "today"), (today + timedelta(days=1), "tomorrow")):
        due = sum(one.promised == day for one in hung)
        if due:
            return f"{number_words(due)} for {name}"
    parts = sum(any(kind == "parts" for kind, _ in one.holds) for one in hung)
    if parts:
        return f"{number_words(parts)} wait{'s' if parts == 1 else ''} for parts"
    days = [one.promised for one in hung if one.promised is not None]
    return f"first: {day_words(min(days))}" if days else "no day yet"


def rest_word(hung: Sequence[Hung]) -> str:
    """“0408 may come off, check”, “three rests are over, check”, “0408 off at 15:00”: what comes off first."""
    rests = [(one.rest, one.short) for one in hung if one.rest is not None]
    over = [(rest, short) for rest, short in rests if rest.over]
    if len(over) > 1:
        return f"{number_words(len(over))} rests are over, check"
    ahead = sorted((rest.until, short, rest.words) for rest, short in rests if rest.until is not None)
    return f"{ahead[0][1]} {ahead[0][2]}" if ahead else ""


def hang_all(
    jobs: Iterable[Hung],
    *,
    today: date,
    folded: bool = False,
    alone: Stage | None = None,
    current: Stage | None = None,
    opened: Sequence[Stage] = (),
) -> tuple[Column, ...]:
    """Hang every job on its cord, soonest day on top.

    `alone` shows one cord in full; `current` is the cord a phone begins with; `opened` are those a tablet keeps open.
    """
    cords: dict[Stage, list[Hung]] = {place.code: [] for place in PLACES}
    for one in jobs:
        cords[one.stage].append(one)
    share = {
        stage: span
        for line in LINES
        for stage, span in zip(line, spans([len(cords[stage]) for stage in line]), strict=True)
    }
    current = alone or current or next((stage for stage in opened if cords[stage]), Stage.EXP)
    columns = []
    for place in PLACES:
        hung = sorted(cords[place.code], key=lambda one: hang_key(one, today))
        slim, shown = crowd(len(hung), span=share[place.code] if folded else 0, all_of_it=place.code is alone)
        columns.append(
            Column(
                place=place,
                count=len(hung),
                word=column_word(place.code, hung, today),
                tags=tuple(tag_of(one, today) for one in hung[:shown]),
                slim=slim,
                more=len(hung) - shown,
                span=share[place.code],
                open=place.code in opened,
                current=place.code is current,
            )
        )
    return tuple(columns)


def the_day(jobs: Sequence[Hung], *, today: date, when: str) -> Sentence:
    """The one sentence above the rails."""
    coming = [one.promised for one in jobs if one.stage is not Stage.RDY]
    return day_sentence(
        when,
        total=len(jobs),
        late=sum(one.is_late(today) for one in jobs),
        today=coming.count(today),
        tomorrow=coming.count(today + timedelta(days=1)),
        parts=sum(any(kind == "parts" for kind, _ in one.holds) for one in jobs),
    )
