"""The file-system broker with whole messages only.

kombu's own writes a message in place, so that a worker may read half of one and stop; a full disk or a power cut leaves
such halves too. The same goes for its list of queues, which it empties before it waits for its turn to write. Here a message is written under another name and renamed, taken by renaming, and one that cannot be read
is put aside: the database is the truth, and a sweep finds what the message was about.
"""

import json
import logging
from pathlib import Path
from queue import Empty
from threading import RLock
from time import time_ns
from typing import Any
from uuid import uuid4

from kombu.exceptions import ChannelError
from kombu.transport import filesystem

log = logging.getLogger(__name__)
_SUFFIX = ".msg"
_binding = RLock()


def _is_for(name: str, ending: str) -> bool:
    return not name.startswith(".") and name.partition(".")[2] == ending[1:]


class Channel(filesystem.Channel):
    """Puts and takes messages by rename within the queue's own folder, which is made when it is first wanted."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for folder in (self.data_folder_in, self.data_folder_out, self.control_folder):
            Path(folder).mkdir(parents=True, exist_ok=True)

    def queue_bind(self, *args: Any, **kwargs: Any) -> None:
        # kombu notes a binding for all connections of this process before it is written: who finds it noted must find it written
        with _binding:
            super().queue_bind(*args, **kwargs)

    def _queue_bind(self, exchange: str, routing_key: str, pattern: str, queue: str) -> None:
        file = Path(self._exchange_file(exchange))
        half = file.with_name(f".{file.name}.{uuid4().hex}")
        try:
            with file.with_name(".bind").open("a") as turn:
                filesystem.lock(turn, filesystem.LOCK_EX)  # given back when the file is closed
                wanted, bound = [routing_key or "", pattern or "", queue or ""], [*map(list, self.get_table(exchange))]
                if wanted not in bound:
                    half.write_text(json.dumps([wanted, *bound]))
                    half.rename(file)
        except OSError as fault:
            half.unlink(missing_ok=True)
            raise ChannelError(f"The queue could not be named in {file}: {fault}") from fault

    def _put(self, queue: str, payload: Any, **kwargs: Any) -> None:  # type: ignore[override]
        folder = Path(self.data_folder_out)
        name = f"{time_ns():020}_{uuid4().hex}.{queue}{_SUFFIX}"
        half = folder / f".{name}.half"
        try:
            half.write_text(json.dumps(payload))
            half.rename(folder / name)
        except OSError as fault:
            half.unlink(missing_ok=True)
            raise ChannelError(f"The message could not be kept in {folder}: {fault}") from fault

    def _get(self, queue: str, timeout: float | None = None) -> Any:
        folder = Path(self.data_folder_in)
        ending = f".{queue}{_SUFFIX}"
        for name in sorted(found.name for found in folder.iterdir() if _is_for(found.name, ending)):
            taken = folder / f".{name}.taken.{uuid4().hex}"
            try:
                (folder / name).rename(taken)
            except OSError:
                continue  # another worker took it
            text = taken.read_text()
            taken.unlink()
            try:
                return json.loads(text)
            except ValueError:
                log.warning("A message that was not whole is left out: %s", name)
        raise Empty

    def _size(self, queue: str) -> int:
        ending = f".{queue}{_SUFFIX}"
        return sum(_is_for(found.name, ending) for found in Path(self.data_folder_in).iterdir())


class Transport(filesystem.Transport):
    """Stands for filesystem:// in shop.celery."""

    Channel = Channel
    driver_name = "filesystem"
