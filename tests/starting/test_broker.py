"""The file-system broker: whole messages only, each taken once, a half one never stops a worker."""

import threading
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from queue import Empty

import pytest
from kombu.connection import Connection
from kombu.exceptions import ChannelError

from shop.broker import Channel, Transport


@pytest.fixture(autouse=True)
def _nothing_bound_yet() -> None:
    """kombu remembers bindings a process; each test has a folder of its own."""
    Transport.global_state.clear()


def _connection(folder: Path) -> Connection:
    options = {
        "data_folder_in": str(folder / "queue"),
        "data_folder_out": str(folder / "queue"),
        "control_folder": str(folder / "control"),
    }
    return Connection("filesystem://", transport=Transport, transport_options=options)


def test_what_is_put_is_taken_once_and_in_order(tmp_path: Path) -> None:
    with _connection(tmp_path) as connection:
        queue = connection.SimpleQueue("shop")
        for number in range(5):
            queue.put({"number": number})
        assert [queue.get(timeout=5).payload["number"] for _ in range(5)] == [0, 1, 2, 3, 4]
        with pytest.raises(Empty):
            queue.get(block=False)
        queue.close()


def test_queues_do_not_take_from_each_other(tmp_path: Path) -> None:
    with _connection(tmp_path) as connection:
        shop, messages = connection.SimpleQueue("shop"), connection.SimpleQueue("messages")
        shop.put({"for": "shop"})
        with pytest.raises(Empty):
            messages.get(block=False)
        assert shop.get(timeout=5).payload == {"for": "shop"}
        shop.close()
        messages.close()


@pytest.mark.parametrize("left", ["", '{"body": "half', "\x00\x00"])
def test_a_half_message_is_put_aside_and_the_next_is_taken(tmp_path: Path, left: str) -> None:
    with _connection(tmp_path) as connection:
        queue = connection.SimpleQueue("shop")
        (tmp_path / "queue" / "00000000000000000001_half.shop.msg").write_text(left)
        queue.put({"number": 1})
        assert queue.get(timeout=5).payload == {"number": 1}
        assert not list((tmp_path / "queue").glob("*half.shop.msg"))
        queue.close()


def test_the_list_of_queues_is_whole_whoever_looks_and_nobody_s_is_lost(tmp_path: Path) -> None:
    """kombu's own empties the list before it waits for its turn: whoever looked then read nothing, and stopped."""
    start = threading.Barrier(4, timeout=30)
    faults: list[Exception] = []

    def each(do: Callable[[Channel, str], object]) -> None:
        with _connection(tmp_path) as connection, connection.channel() as channel:
            for number in range(60):
                start.wait()
                try:
                    do(channel, f"exchange{number}")
                except (ValueError, ChannelError) as fault:
                    faults.append(fault)

    def bind(channel: Channel, exchange: str, who: str) -> None:
        channel._queue_bind(exchange, who, "", who)

    def look(channel: Channel, exchange: str) -> None:
        for _ in range(8):
            channel.get_table(exchange)

    running = [threading.Thread(target=each, args=(partial(bind, who=who),)) for who in "abc"]
    running.append(threading.Thread(target=each, args=(look,)))
    for thread in running:
        thread.start()
    for thread in running:
        thread.join()
    assert faults == []
    with _connection(tmp_path) as connection, connection.channel() as channel:
        for number in range(60):
            assert {bound.queue for bound in channel.get_table(f"exchange{number}")} == {"a", "b", "c"}


def test_two_writers_and_two_readers_lose_nothing_and_read_nothing_twice(tmp_path: Path) -> None:
    seen: list[int] = []
    done = threading.Event()

    def write(start: int) -> None:
        with _connection(tmp_path) as connection:
            queue = connection.SimpleQueue("shop")
            for number in range(start, start + 150):
                queue.put({"number": number, "padding": "x" * 4000})
            queue.close()

    def read() -> None:
        with _connection(tmp_path) as connection:
            queue = connection.SimpleQueue("shop")
            while True:
                try:
                    message = queue.get(timeout=3)
                except Empty:
                    # a slow disk keeps a reader waiting: only one who has read all, or waited long, is done
                    if done.is_set() and (len(seen) >= 300 or time.monotonic() > last):
                        break
                    continue
                message.ack()
                seen.append(message.payload["number"])
            queue.close()

    last = time.monotonic() + 90
    readers = [threading.Thread(target=read) for _ in range(2)]
    writers = [threading.Thread(target=write, args=(start,)) for start in (0, 1000)]
    for thread in (*readers, *writers):
        thread.start()
    for thread in writers:
        thread.join()
    done.set()
    for thread in readers:
        thread.join()
    assert sorted(seen) == [*range(150), *range(1000, 1150)]
