"""Waits for a service that has just started, posts the README's example to it and shows the main figures.

Where the service has keys it says how to call it with one instead.
"""

import json
import os
import sys
import time
from pathlib import Path
from urllib.error import HTTPError, URLError
from urllib.request import Request, urlopen

EXAMPLE = Path("openapi/examples/lock-gate-truck.request.json")
PATIENCE_S = 60.0
UNAUTHORIZED = 401


def wait(base: str, process: int) -> None:
    """Return when the service is ready; exit when its process has gone or patience has run out."""
    started = time.monotonic()
    while time.monotonic() - started < PATIENCE_S:
        try:
            os.kill(process, 0)
            with urlopen(f"{base}/health/ready", timeout=5):
                return
        except ProcessLookupError:
            sys.exit("The service did not start; its reason stands above.")
        except (HTTPError, URLError, OSError):
            time.sleep(0.05)
    sys.exit(f"The service was not ready within {PATIENCE_S:g} s.")


def main() -> None:
    """Post the example and show what came back."""
    base, process = sys.argv[1], int(sys.argv[2])
    wait(base, process)
    request = Request(f"{base}/v1/fittings", EXAMPLE.read_bytes(), {"Content-Type": "application/json"})
    key = ""
    try:
        with urlopen(request, timeout=PATIENCE_S) as response:
            answer = json.load(response)
    except HTTPError as error:
        if error.code == UNAUTHORIZED:
            key = "-H 'X-API-Key: YOUR-KEY' "
            print("\n  The service has keys: every request for a fitting needs one of them.")
        else:  # a deployment's own catalogue may not have the example's slat
            print(f"The example was refused: {error.read().decode()}")
    else:
        coil, bracket, curtain = answer["coil"], answer["bracket"], answer["curtain"]
        print(f"""
  {answer["reference"]}: {answer["verdict"]}
  side plate {answer["side_plate"]["id"]}, wheel hole {answer["wheel"]["hole"]}, bracket {bracket["hole"]} \
({bracket["from_plate_front_mm"]} from its front, {bracket["from_plate_base_mm"]} from its base)
  {curtain["slat_count"]} slats of {curtain["slat_length_mm"]} mm, {curtain["mass_kg"]} kg, \
coil radius {coil["radius_mm"]} mm
  tracks {answer["tracks"]["length_mm"]} mm, top seal {answer["seals"]["top_cut_length_mm"]} mm, \
striker {answer["striker"]["height_above_sill_mm"]} mm over the sill""")
    print(
        f"""
  Try it yourself:   {base}/desk
  The contract:      {base}/docs
  or:                curl {key}-H 'Content-Type: application/json' --data @{EXAMPLE} {base}/v1/fittings
  Stop with Ctrl-C.
""",
        flush=True,
    )


if __name__ == "__main__":
    main()
