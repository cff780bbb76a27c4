"""Admission to an operation: a known key with the right scope, not too often, not too much at once."""

from typing import NamedTuple

from service.contract.operations import Operation
from service.contract.problems import Refusal
from service.web.asgi import Scope
from service.web.keys import KeyRing, admit
from service.web.live_file import LiveFile
from service.web.rate import Rate, address_of
from service.web.request_log import RequestState
from service.words.languages import marked

AGAIN = ((b"retry-after", b"1"),)
BATCHES = marked("One caller may have {most} batches under way at once.")
REQUESTS = marked("One caller may have {most} requests under way at once.")


class AtOnce(NamedTuple):
    """How much may be under way at once: in this process, and of one caller."""

    requests_max: int
    caller_requests_max: int
    caller_batches_max: int


class Admission:
    """Lets requests pass, or refuses them."""

    def __init__(self, *, keys: LiveFile[KeyRing] | None, rate: Rate | None, at_once: AtOnce) -> None:
        """Without keys everybody passes, without a rate as often as they like."""
        self._keys = keys
        self._rate = rate
        self._at_once = at_once
        self._under_way = 0
        self._requests: dict[str, int] = {}
        self._batches: dict[str, int] = {}

    @property
    def asks_for_keys(self) -> bool:
        """Whether callers need a key."""
        return self._keys is not None

    def admit(self, scope: Scope, state: RequestState, operation: Operation) -> str:
        """The caller of a request that may pass; what it has left of its rate goes into the answer's header.

        Raises:
            Refusal: the key is missing, unknown or without the scope, or it comes too often.
        """
        if not operation.access:
            return ""
        name = ""
        if self._keys is not None:
            given = state.headers
            key = admit(self._keys.content, given.get(b"authorization", ""), given.get(b"x-api-key", ""), operation.access)
            state.line.key = key.name
            name = f"key:{key.name}"
        caller = name or f"address:{address_of(scope)}"
        if self._rate is not None and operation.counted:
            taken = self._rate.hit(caller)
            state.fields = self._rate.fields(taken)
            if not taken.allowed:
                told = marked("At most {most} requests in {seconds} s; see Retry-After.")
                raise Refusal("too-many-requests", told, most=taken.limit, seconds=self._rate.limit.window_s)
        return caller

    def enter(self, caller: str, operation: Operation) -> None:
        """Take one of the places for requests that are answered at once; whoever has one leaves it again.

        Raises:
            Refusal: all are taken, or all that one caller may take.
        """
        if not operation.counted:
            return
        most = self._at_once
        if operation.streams:
            taken, caller_max, told = self._batches, most.caller_batches_max, BATCHES
        else:
            taken, caller_max, told = self._requests, most.caller_requests_max, REQUESTS
        of_caller = taken.get(caller, 0)
        if of_caller >= caller_max:
            raise Refusal("too-many-requests", told, most=caller_max, headers=AGAIN)
        if self._under_way >= most.requests_max:
            told = marked("{most} requests are being answered already.")
            raise Refusal("busy", told, most=most.requests_max, headers=AGAIN)
        self._under_way += 1
        taken[caller] = of_caller + 1

    def leave(self, caller: str, operation: Operation) -> None:
        """Give the place back."""
        if not operation.counted:
            return
        self._under_way -= 1
        taken = self._batches if operation.streams else self._requests
        taken[caller] -= 1
        if not taken[caller]:
            del taken[caller]
