"""The rate limit, counted in this process."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.web.rate import Limit, Rate, RateError, Taken, address_of, limit_of


class Clock:
    """A clock that goes on when it is told to."""

    now_s = 100.0

    def __call__(self):
        """The time it was told."""
        return self.now_s


@pytest.mark.parametrize(
    ("text", "limit"),
    [("600/minute", Limit(600, 60)), ("1/second", Limit(1, 1)), ("999999999/hour", Limit(999_999_999, 3600))],
)
def test_a_limit_is_read(text, limit):
    assert limit_of(text) == limit


@pytest.mark.parametrize(
    "text", ["", "600", "0/minute", "-1/minute", "600/minutes", "600 / minute", "1e3/hour", "1/second\n"]
)
def test_a_limit_of_another_form_is_refused(text):
    with pytest.raises(RateError, match="600/minute"):
        limit_of(text)


def test_a_caller_has_so_many_requests_in_its_window():
    clock = Clock()
    limited = Rate(Limit(3, 60), clock=clock)
    first = [limited.hit("shop") for _ in range(4)]
    clock.now_s += 59.5
    late, other = limited.hit("shop"), limited.hit("office")
    clock.now_s += 0.5
    assert [*first, late, other, limited.hit("shop")] == [
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
def test_the_count_is_that_of_a_list_of_every_request(given_steps, requests):
    """The independent way: keep every time; a window begins with the first request after the last one ended."""
    clock = Clock()
    limited = Rate(Limit(requests, 60), clock=clock)
    windows = {}

    for step_s, name in given_steps:
        clock.now_s += step_s
        times = windows.setdefault(name, [])
        if times and clock.now_s >= times[0] + 60:
            times.clear()
        times.append(clock.now_s)
        taken = limited.hit(name)
        assert taken.allowed == (len(times) <= requests)
        assert taken.remaining == max(0, requests - len(times))
        assert taken.reset_s == times[0] + 60 - clock.now_s


def test_callers_of_windows_gone_by_are_forgotten():
    clock = Clock()
    limited = Rate(Limit(3, 60), clock=clock)
    for number in range(1000):
        limited.hit(str(number))
    clock.now_s += 60
    limited.hit("shop")
    assert set(limited._windows) == {"shop"}  # noqa: SLF001 - memory is what is tested


def test_the_fields_have_the_form_of_the_draft():
    """Draft "RateLimit header fields for HTTP": its examples are 100 requests a minute, and 50 left for 30 seconds."""
    limited = Rate(limit_of("100/minute"))
    assert limited.fields(Taken(allowed=True, limit=100, remaining=50, reset_s=30)) == (
        (b"ratelimit-policy", b'"default";q=100;w=60'),
        (b"ratelimit", b'"default";r=50;t=30'),
    )


@given(st.integers(1, 10**9), st.sampled_from(["second", "minute", "hour"]), st.integers(1, 30))
def test_a_refusal_says_when_to_come_back(requests, window, hits):
    limited = Rate(limit_of(f"{min(requests, 999_999_999)}/{window}"), clock=Clock())
    taken = [limited.hit("shop") for _ in range(hits)][-1]
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
def test_a_caller_without_a_key_is_its_address(client, name):
    assert address_of({"type": "http", "client": client}) == name


def test_what_is_left_is_never_more_than_the_window():
    clock = Clock()
    clock.now_s = 5709.129
    assert clock.now_s + 3600 - clock.now_s > 3600  # floats are like that
    assert Rate(Limit(5, 3600), clock=clock).hit("shop").reset_s == 3600
