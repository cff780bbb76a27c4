"""Waiting for a body's messages: those that come in time are handed on, the others end, and nothing else does."""

import asyncio

import pytest

from service.contract.problems import Refusal
from service.web import body
from service.web.body import Patience

MESSAGE = {"type": "http.request", "body": b"x", "more_body": False}


@pytest.fixture(autouse=True)
def looking_often(monkeypatch):
    monkeypatch.setattr(body, "LOOKED_AT_EVERY_S", 0.01)


async def at_once():
    return MESSAGE


async def never():
    await asyncio.Event().wait()


def test_a_message_that_is_there_is_handed_on():
    assert asyncio.run(Patience(0.0).wait(at_once())) is MESSAGE


def test_a_message_that_never_comes_ends_the_wait():
    with pytest.raises(Refusal):
        asyncio.run(Patience(0.02).wait(never()))


def test_a_wait_that_another_ends_is_no_timeout():
    async def main():
        waiting = asyncio.ensure_future(Patience(60.0).wait(never()))
        await asyncio.sleep(0.05)
        waiting.cancel()
        with pytest.raises(asyncio.CancelledError):
            await waiting

    asyncio.run(main())


def test_one_wait_ends_and_the_others_go_on():
    async def main():
        patience, there = Patience(0.1), asyncio.Event()

        async def late():
            await there.wait()
            return MESSAGE

        first = asyncio.ensure_future(patience.wait(never()))
        await asyncio.sleep(0.07)
        second = asyncio.ensure_future(patience.wait(late()))
        with pytest.raises(Refusal):
            await first
        there.set()
        assert await second is MESSAGE

    asyncio.run(main())
