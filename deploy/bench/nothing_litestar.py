"""A Litestar operation that decodes the same request and answers with bytes made beforehand."""

from answered import CONTENT, HEADERS
from litestar import Litestar, Response, post

from service.contract.requests import FittingRequest

OTHERS = {name: value for name, value in HEADERS.items() if not name.startswith("content-")}


@post("/v1/fittings", status_code=200, sync_to_thread=False)
def fittings(data: FittingRequest) -> Response[bytes]:
    """Nothing is calculated."""
    del data
    return Response(CONTENT, media_type="application/json", headers=OTHERS)


app = Litestar([fittings], openapi_config=None, logging_config=None)
