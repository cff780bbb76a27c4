"""The rate limit: counted in this process, counted together in a real Redis, and served on while the store is down."""

import asyncio
import re
import shutil
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from serving import PATIENCE_S, free_port
from structlog.testing import CapturingLogger

from service.web import rate
from service.web.rate import Limit, Rate, RateError, Taken, address_of, limit_of

SOCKET = "redis.sock"


class Clock:
    """A clock that goes on when it is told to."""

    now_s = 100.0

    def __call__(self) -> float:
        """The time it was told."""
        return self.now_s


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> CapturingLogger:
    """What is logged."""
    logger = CapturingLogger()
    monkeypatch.setattr(rate, "log", logger)
    return logger


def events(told: CapturingLogger) -> list[str]:
    return [call.args[0] for call in told.calls]


@pytest.mark.parametrize(
    ("text", "limit"),
    [("600/minute", Limit(600, 60)), ("1/second", Limit(1, 1)), ("999999999/hour", Limit(999_999_999, 3600))],
)
def test_a_limit_is_read(text: str, limit: Limit) -> None:
    assert limit_of(text) == limit


@pytest.mark.parametrize(
    "text", ["", "600", "0/minute", "-1/minute", "600/minutes", "600 / minute", "1e3/hour", "1/second\n"]
)
def test_a_limit_of_another_form_is_refused(text: str) -> None:
    with pytest.raises(RateError, match="600/minute"):
        limit_of(text)


@pytest.mark.parametrize("store", ["", "file:///x", "redis.example:6379", "redis://:secret@host:notaport"])
def test_a_store_of_another_kind_is_refused_without_repeating_its_address(store: str) -> None:
    with pytest.raises(RateError) as refused:
        Rate(Limit(1, 1), store)
    assert not store or store not in str(refused.value)
    assert "secret" not in str(refused.value)


def test_a_caller_has_so_many_requests_in_its_window() -> None:
    clock = Clock()
    limited = Rate(Limit(3, 60), clock=clock)

    async def run() -> list[Taken]:
        first = [await limited.hit("shop") for _ in range(4)]
        clock.now_s += 59.5
        late = await limited.hit("shop")
        other = await limited.hit("office")
        clock.now_s += 0.5
        return [*first, late, other, await limited.hit("shop")]

    assert asyncio.run(run()) == [
        Taken(allowed=True, limit=3, remaining=2, reset_s=60),
        Taken(allowed=True, limit=3, remaining=1, reset_s=60),
        Taken(allowed=True, limit=3, remaining=0, reset_s=60),
        Taken(allowed=False, limit=3, remaining=0, reset_s=60),
        Taken(allowed=False, limit=3, remaining=0, reset_s=1),
        Taken(allowed=True, limit=3, remaining=2, reset_s=60),
        Taken(allowed=True, limit=3, remaining=2, reset_s=60),
    ]


steps = st.lists(st.tuples(st.integers(0, 40), st.sampled_from("abc")), max_size=60)


@given(steps, st.integers(1, 5))
def test_the_count_is_that_of_a_list_of_every_request(given_steps: list[tuple[int, str]], requests: int) -> None:
    """The independent way: keep every time; a window begins with the first request after the last one ended."""
    clock = Clock()
    limited = Rate(Limit(requests, 60), clock=clock)
    windows: dict[str, list[float]] = {}

    async def run() -> None:
        for step_s, name in given_steps:
            clock.now_s += step_s
            times = windows.setdefault(name, [])
            if times and clock.now_s >= times[0] + 60:
                times.clear()
            times.append(clock.now_s)
            taken = await limited.hit(name)
            assert taken.allowed == (len(times) <= requests)
            assert taken.remaining == max(0, requests - len(times))
            assert taken.reset_s == times[0] + 60 - clock.now_s

    asyncio.run(run())


def test_callers_of_windows_gone_by_are_forgotten() -> None:
    clock = Clock()
    limited = Rate(Limit(3, 60), clock=clock)

    async def run() -> None:
        for number in range(1000):
            await limited.hit(str(number))
        clock.now_s += 60
        await limited.hit("shop")

    asyncio.run(run())
    assert set(limited._own._windows) == {"shop"}  # noqa: SLF001 - memory is what is tested


def test_the_fields_have_the_form_of_the_draft() -> None:
    """Draft "RateLimit header fields for HTTP": its examples are 100 requests a minute, and 50 left for 30 seconds."""
    limited = Rate(limit_of("100/minute"))
    assert limited.fields(Taken(allowed=True, limit=100, remaining=50, reset_s=30)) == (
        (b"ratelimit-policy", b'"default";q=100;w=60'),
        (b"ratelimit", b'"default";r=50;t=30'),
    )


@given(st.integers(1, 10**9), st.sampled_from(["second", "minute", "hour"]), st.integers(1, 30))
def test_a_refusal_says_when_to_come_back(requests: int, window: str, hits: int) -> None:
    limited = Rate(limit_of(f"{min(requests, 999_999_999)}/{window}"), clock=Clock())

    async def run() -> Taken:
        return [await limited.hit("shop") for _ in range(hits)][-1]

    taken = asyncio.run(run())
    fields = dict(limited.fields(taken))
    left = re.fullmatch(rb'"default";r=(\d+);t=(\d+)', fields[b"ratelimit"])
    assert left is not None
    assert (b"retry-after" in fields) == (not taken.allowed)
    assert fields.get(b"retry-after", left[2]) == left[2]  # the draft: both name the same moment


@pytest.mark.parametrize(
    ("client", "name"),
    [
        (("192.0.2.7", 5000), "192.0.2.7"),
        (("2001:db8:1:2:3:4:5:6", 5000), "2001:db8:1:2::/64"),
        (("fe80::1%eth0", 5000), "fe80::/64"),
        (("::1", 5000), "::/64"),
        (("::ffff:192.0.2.7", 5000), "192.0.2.7"),
        (("not:an:address", 5000), "not:an:address"),
        (("n\0t:one", 5000), "n\0t:one"),
        (("", 0), ""),
        (None, "unknown"),
    ],
)
def test_a_caller_without_a_key_is_its_address(client: tuple[str, int] | None, name: str) -> None:
    assert address_of({"type": "http", "client": client}) == name


@contextmanager
def redis_at(port: int, folder: Path) -> Iterator[str]:
    """A Redis of its own that keeps nothing, for as long as the context lasts."""
    program = shutil.which("redis-server") or shutil.which("valkey-server")
    assert program, "redis-server is missing: apt-get install redis-server"
    command = [
        program,
        "--port",
        str(port),
        "--bind",
        "127.0.0.1",
        "--save",
        "",
        "--dir",
        str(folder),
        "--unixsocket",
        SOCKET,
    ]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as server:
        try:
            started = time.monotonic()
            while not answers(port):
                assert server.poll() is None, "redis-server has ended"
                assert time.monotonic() - started < PATIENCE_S, "redis-server does not answer"
                time.sleep(0.02)
            yield f"redis://127.0.0.1:{port}"
        finally:
            server.terminate()
            server.wait(PATIENCE_S)


def answers(port: int) -> bool:
    try:
        with socket.create_connection(("127.0.0.1", port), 1) as talking:
            talking.sendall(b"PING\r\n")
            return talking.recv(16) == b"+PONG\r\n"
    except OSError:
        return False


@pytest.fixture
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """A store that is there is not taken for one that is down, however busy the machine is."""
    monkeypatch.setattr(rate, "STORE_TIMEOUT_S", PATIENCE_S)


@pytest.fixture(scope="module")
def running_redis(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a real Redis."""
    with redis_at(free_port(), tmp_path_factory.mktemp("redis")) as address:
        yield address


@pytest.fixture
def redis(running_redis: str, patient: None) -> str:  # noqa: ARG001 - it is waited for
    """The address of a real Redis that is given its time."""
    return running_redis


async def hits(address: str, limit: Limit, names: list[str]) -> list[Taken]:
    """What a service of its own gets for its callers' requests."""
    limited = Rate(limit, address)
    try:
        return [await limited.hit(name) for name in names]
    finally:
        await limited.close()


def test_services_with_a_store_count_together(redis: str, told: CapturingLogger) -> None:
    async def run() -> list[Taken]:
        taken = []
        for _ in range(3):
            taken += await hits(redis, Limit(5, 3600), ["shop", "shop"])
        return [*taken, *await hits(redis, Limit(5, 3600), ["office"])]

    taken = asyncio.run(run())
    assert [one.allowed for one in taken] == [True] * 5 + [False, True]
    assert [one.remaining for one in taken] == [4, 3, 2, 1, 0, 0, 4]
    # an hour, less what the requests took
    assert all(3500 < one.reset_s <= 3600 for one in taken)
    assert events(told) == []


@pytest.mark.usefixtures("patient")
def test_a_store_is_reached_by_its_socket_too(tmp_path: Path, told: CapturingLogger) -> None:
    with redis_at(free_port(), tmp_path) as address:
        by_port = asyncio.run(hits(address, Limit(5, 3600), ["shop"]))
        by_socket = asyncio.run(hits(f"unix://{tmp_path / SOCKET}", Limit(5, 3600), ["shop"]))
    assert [one.remaining for one in by_port + by_socket] == [4, 3]
    assert events(told) == []


def test_requests_at_once_are_counted_each(redis: str) -> None:
    async def run() -> list[Taken]:
        limited = Rate(Limit(50, 3600), redis)
        try:
            return await asyncio.gather(*(limited.hit("crowd") for _ in range(200)))
        finally:
            await limited.close()

    taken = asyncio.run(run())
    assert sum(one.allowed for one in taken) == 50
    assert sorted(one.remaining for one in taken) == [0] * 151 + list(range(1, 50))


def test_a_window_in_the_store_ends(redis: str) -> None:
    window, key = Limit(1, 3600), b"lathwind:rate:1/3600:ends"
    assert [one.allowed for one in asyncio.run(hits(redis, window, ["ends", "ends"]))] == [True, False]
    with socket.create_connection(("127.0.0.1", int(redis.rpartition(":")[2])), PATIENCE_S) as talking:
        talking.sendall(b"PTTL " + key + b"\r\n")
        assert 0 < int(talking.recv(32).strip(b":\r\n")) <= 3_600_000
        talking.sendall(b"PEXPIRE " + key + b" 0\r\n")  # its end is moved to this moment
        assert talking.recv(16) == b":1\r\n"
    assert [one.allowed for one in asyncio.run(hits(redis, window, ["ends"]))] == [True]


def test_a_count_that_lost_its_end_gets_one(redis: str) -> None:
    """A count without an end would shut its caller out for good."""
    port = int(redis.rpartition(":")[2])
    with socket.create_connection(("127.0.0.1", port), 1) as talking:
        talking.sendall(b"SET lathwind:rate:5/3600:stuck 99\r\n")
        assert talking.recv(16) == b"+OK\r\n"
    (taken,) = asyncio.run(hits(redis, Limit(5, 3600), ["stuck"]))
    assert (taken.allowed, taken.reset_s) == (False, 3600)


def test_a_store_that_is_not_there_stops_nobody(told: CapturingLogger) -> None:
    address = f"redis://:hidden-word@127.0.0.1:{free_port()}"
    taken = asyncio.run(hits(address, Limit(2, 60), ["shop"] * 3))
    assert [one.allowed for one in taken] == [True, True, False]  # counted in this process
    (call,) = told.calls
    assert (call.method_name, call.args) == ("error", ("rate_store_down",))
    assert call.kwargs == {"reason": "ConnectionError"}  # at the first try, and without the address


def test_a_store_that_does_not_answer_stops_nobody(told: CapturingLogger) -> None:
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        taken = asyncio.run(hits(f"redis://127.0.0.1:{silent.getsockname()[1]}", Limit(2, 60), ["shop"] * 3))
    assert [one.allowed for one in taken] == [True, True, False]
    assert [(call.args[0], call.kwargs) for call in told.calls] == [("rate_store_down", {"reason": "TimeoutError"})]


def test_a_server_that_talks_nonsense_stops_nobody(told: CapturingLogger) -> None:
    async def run() -> list[Taken]:
        async def nonsense(_reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            writer.write(b"HTTP/1.1 400 Bad Request\r\n\r\n")
            await writer.drain()
            writer.close()

        server = await asyncio.start_server(nonsense, "127.0.0.1", 0)
        async with server:
            port = server.sockets[0].getsockname()[1]
            return await hits(f"redis://127.0.0.1:{port}", Limit(2, 60), ["shop"] * 3)

    assert [one.allowed for one in asyncio.run(run())] == [True, True, False]
    assert events(told) == ["rate_store_down"]


@pytest.mark.parametrize("reply", [b"+OK\r\n", b"$-1\r\n", b"*1\r\n:1\r\n", b"*2\r\n$1\r\na\r\n:5\r\n"])
def test_a_store_whose_reply_has_another_form_stops_nobody(told: CapturingLogger, reply: bytes) -> None:
    async def run() -> list[Taken]:
        async def other(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            while await reader.read(4096):
                writer.write(reply)
            writer.close()

        async with await asyncio.start_server(other, "127.0.0.1", 0) as server:
            return await hits(f"redis://127.0.0.1:{server.sockets[0].getsockname()[1]}", Limit(2, 60), ["shop"] * 3)

    assert [one.allowed for one in asyncio.run(run())] == [True, True, False]
    assert events(told) == ["rate_store_down"]


def test_what_is_left_is_never_more_than_the_window() -> None:
    clock = Clock()
    clock.now_s = 5709.129
    assert clock.now_s + 3600 - clock.now_s > 3600  # floats are like that
    assert asyncio.run(Rate(Limit(5, 3600), clock=clock).hit("shop")).reset_s == 3600


@pytest.mark.usefixtures("patient")
def test_a_store_that_wants_a_password_stops_nobody(tmp_path: Path, told: CapturingLogger) -> None:
    with redis_at(free_port(), tmp_path) as address:
        port = int(address.rpartition(":")[2])
        with socket.create_connection(("127.0.0.1", port), 1) as talking:
            talking.sendall(b"CONFIG SET requirepass hidden-word\r\n")
            assert talking.recv(16) == b"+OK\r\n"
        taken = asyncio.run(hits(address, Limit(2, 60), ["shop"] * 3))
        right = asyncio.run(hits(f"redis://:hidden-word@127.0.0.1:{port}", Limit(2, 60), ["shop"]))
    assert [one.allowed for one in taken] == [True, True, False]
    assert right[0].remaining == 1
    assert events(told) == ["rate_store_down"]


@pytest.mark.usefixtures("patient")
def test_a_store_that_goes_and_comes_is_told_once_each_and_counted_in_again(tmp_path: Path, told: CapturingLogger) -> None:
    port, clock = free_port(), Clock()

    async def run() -> None:
        limited = Rate(Limit(100, 3600), f"redis://127.0.0.1:{port}", clock=clock)
        try:
            with redis_at(port, tmp_path):
                assert (await limited.hit("shop")).remaining == 99
                assert (await limited.hit("shop")).remaining == 98
            for expected in (99, 98, 97):  # this process's own count
                assert (await limited.hit("shop")).remaining == expected
            clock.now_s += 1.0
            assert (await limited.hit("shop")).remaining == 96  # tried again, still down
            with redis_at(port, tmp_path):
                assert (await limited.hit("shop")).remaining == 95  # not tried yet
                clock.now_s += 1.0
                assert (await limited.hit("shop")).remaining == 99  # a new store begins at nothing
                assert (await limited.hit("shop")).remaining == 98
        finally:
            await limited.close()

    asyncio.run(run())
    assert events(told) == ["rate_store_down", "rate_store_back"]


def test_while_the_store_is_down_one_request_tries_it_and_the_others_do_not_wait(told: CapturingLogger) -> None:
    clock = Clock()
    connected: list[int] = []

    async def run() -> None:
        async def silent(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            connected.append(1)
            await reader.read()
            writer.close()

        server = await asyncio.start_server(silent, "127.0.0.1", 0)
        limited = Rate(Limit(100, 60), f"redis://127.0.0.1:{server.sockets[0].getsockname()[1]}", clock=clock)
        async with server:
            await limited.hit("shop")
            connected.clear()
            clock.now_s += 1.0
            await asyncio.gather(*(limited.hit("shop") for _ in range(20)))
            await limited.close()

    asyncio.run(run())
    assert len(connected) == 1
    assert events(told) == ["rate_store_down"]
