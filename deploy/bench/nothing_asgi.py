"""An ASGI application that reads a request and answers with bytes made beforehand: the server's own floor."""

from collections.abc import Awaitable, Callable
from typing import Any

from answered import CONTENT, HEADERS

START = {
    "type": "http.response.start",
    "status": 200,
    "headers": [(name.encode(), value.encode()) for name, value in HEADERS.items()],
}
END = {"type": "http.response.body", "body": CONTENT}


async def app(scope: dict[str, Any], receive: Callable[[], Awaitable[Any]], send: Callable[[Any], Awaitable[None]]) -> None:
    """Nothing is read from what is sent."""
    if scope["type"] != "http":
        return
    while (await receive()).get("more_body", False):
        pass
    await send(START)
    await send(END)
