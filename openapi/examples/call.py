"""Calculates a fitting, keeps the answer, and lets it be verified. Needs nothing but Python.

Usage: python call.py [ADDRESS [KEY]]
"""

import json
import sys
import time
from urllib.error import HTTPError
from urllib.request import Request, urlopen

ADDRESS, *KEY = sys.argv[1:] or ["http://127.0.0.1:8000"]
HEADERS = {"Content-Type": "application/json", **({"Authorization": f"Bearer {KEY[0]}"} if KEY else {})}
OPENING = {"width_mm": 1180, "height_mm": 1420, "headroom_mm": 310, "depth_mm": 620, "header_thickness_mm": 40}


def post(path, content, tries=3):
    """The answer to a request, and whether it is a problem; where the service is busy, asked again when it says so."""
    body = json.dumps(content).encode()
    try:
        with urlopen(Request(ADDRESS + path, body, HEADERS), timeout=60) as answer:
            return json.load(answer), False
    except HTTPError as refused:
        if refused.code in {429, 503} and tries > 1:
            time.sleep(int(refused.headers["Retry-After"]))
            return post(path, content, tries - 1)
        return json.load(refused), True


def calculate(request):
    """Print what is to be known of one opening; the answer, where there is one."""
    answer, is_problem = post("/v1/fittings", request)
    if is_problem:
        for fault in answer.get("errors", []):
            print("refused:", fault.get("pointer"), fault["detail"])
        return None
    print(answer["verdict"], "- coil radius", answer["coil"]["radius_mm"], "mm, bracket hole", answer["bracket"]["hole"])
    for warning in answer["words"]["warnings"]:
        print(warning["message"], warning["remedy"])
    return answer


calculate({"opening": {**OPENING, "width_mm": "1180"}, "shutter": {"slat": "slim"}})
stored = json.dumps(calculate({"opening": OPENING, "shutter": {"slat": "slim"}}))  # keep it whole: it proves itself
print("verified:", post("/v1/audits/verification", json.loads(stored))[0]["outcome"])
