"""Who may use a home, and what is refused with what words."""

import os
import socket
import stat
from pathlib import Path

import pytest

from shop.starting import home as homes
from shop.starting.home import CannotStartError


def test_a_port_taken_by_another_program_is_said_with_another_to_try() -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with pytest.raises(CannotStartError, match=rf"taken by another program.\n.*--port {port + 1}"):
            homes.check_port("127.0.0.1", port)
    homes.check_port("127.0.0.1", port)  # free again


def test_an_address_of_another_computer_is_refused() -> None:
    # 192.0.2.0/24 is kept for documentation (RFC 5737)
    with pytest.raises(CannotStartError, match="Choose an address of this computer"):
        homes.check_port("192.0.2.1", 8000)


def test_a_second_start_from_the_same_home_is_told_where_the_first_runs(tmp_path: Path) -> None:
    told = rf"already running.*http://127.0.0.1:8000, process {os.getpid()}"
    with (
        homes.held(tmp_path / "home", "demo", "http://127.0.0.1:8000"),
        pytest.raises(CannotStartError, match=told),
        homes.held(tmp_path / "home", "demo", "http://127.0.0.1:8001"),
    ):
        pass
    with homes.held(tmp_path / "home", "demo", "http://127.0.0.1:8001"):
        pass


def test_a_folder_with_other_things_is_never_taken_for_a_home(tmp_path: Path) -> None:
    (tmp_path / "letter to a friend").touch()
    told = "holds other things, such as letter to a friend"
    with pytest.raises(CannotStartError, match=told), homes.held(tmp_path, "demo", ""):
        pass


@pytest.mark.parametrize(("first", "second"), [("demo", "shop"), ("shop", "demo")])
def test_the_sample_shop_and_a_real_one_never_share_a_home(tmp_path: Path, first: str, second: str) -> None:
    with homes.held(tmp_path, first, ""):
        (tmp_path / "shop.sqlite3").touch()
    with pytest.raises(CannotStartError, match="is the home of"), homes.held(tmp_path, second, ""):
        pass


def test_a_home_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    home = tmp_path / "file" / "home"
    with pytest.raises(CannotStartError, match="Cannot write in"), homes.held(home, "demo", ""):
        pass


def test_what_is_made_in_a_home_is_the_owners_alone_to_read(tmp_path: Path) -> None:
    home = tmp_path / "home"
    with homes.held(home, "shop", ""):
        (home / "letter").write_text("to an owner")
    assert stat.S_IMODE(home.stat().st_mode) == 0o700
    assert stat.S_IMODE((home / "letter").stat().st_mode) == 0o600


def test_emptying_leaves_the_lock_and_the_kind(tmp_path: Path) -> None:
    with homes.held(tmp_path, "demo", ""):
        homes.keep(tmp_path, filled="2026-11-25T09:00:00+00:00")
        (tmp_path / "files" / "photos").mkdir(parents=True)
        (tmp_path / "shop.sqlite3").touch()
        homes.empty(tmp_path)
        assert sorted(path.name for path in tmp_path.iterdir()) == [homes.KIND, homes.LOCK]
        assert homes.kept(tmp_path) == {"kind": "demo"}
