"""A Litestar operation that decodes the same request and answers with bytes made beforehand."""

from pathlib import Path

from litestar import Litestar, Response, post

from service.contract.requests import FittingRequest

ANSWER = Path("openapi/examples/lock-gate-truck.answer.json").read_bytes()


@post("/v1/fittings", status_code=200, sync_to_thread=False)
def fittings(data: FittingRequest) -> Response[bytes]:
    """Nothing is calculated."""
    del data
    return Response(ANSWER, media_type="application/json")


app = Litestar([fittings], openapi_config=None, logging_config=None)
