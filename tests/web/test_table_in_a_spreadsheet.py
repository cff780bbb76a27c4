"""The answer to a table as a spreadsheet program, LibreOffice, opens it: figures are numbers, no cell is a formula."""

import csv
import io
import os
import subprocess
import zipfile

import httpx
import pytest
from lxml import etree

from service.contract.operations import CSV

pytestmark = pytest.mark.heavy

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
HEADER = ["reference", "slat", "width_mm", "height_mm", "headroom_mm", "depth_mm", "header_thickness_mm", "x_note"]
NOTES = ["=1+1", "-4", "@A1", "+1", "\t=1+1", "Tür; links, innen"]
COUNTRIES = {
    "English": (",", ".", 1033),
    "German": (";", ",", 1031),
    "French": (";", ",", 1036),
    "German, tabs": ("\t", ",", 1031),
}
"""Delimiter, decimal mark, and the number by which LibreOffice knows the locale."""


def cells_of(folder, content, delimiter, locale):
    """The cells of the sheet that LibreOffice makes of a table: rows of numbers and texts; and how many are formulas."""
    (folder / "answer.csv").write_bytes(content)
    # delimiter, quotation mark, UTF-8, first line, formats, locale, quoted cells as text only, special numbers
    reading = f"CSV:{ord(delimiter)},34,76,1,,{locale},false,false"
    profile = f"-env:UserInstallation={folder.as_uri()}/profile"
    told = ("--headless", f"--infilter={reading}", "--convert-to", "xlsx", "--outdir", folder)
    subprocess.run(
        ["soffice", profile, *told, folder / "answer.csv"],
        check=True,
        capture_output=True,
        timeout=300,
        env={**os.environ, "HOME": str(folder)},
    )
    with zipfile.ZipFile(folder / "answer.xlsx") as packed:
        sheet = etree.fromstring(packed.read("xl/worksheets/sheet1.xml"))
        shared = etree.fromstring(packed.read("xl/sharedStrings.xml"))
    texts = ["".join(one.itertext(f"{MAIN}t")) for one in shared.iter(f"{MAIN}si")]
    rows = []
    for row in sheet.iter(f"{MAIN}row"):
        by_place = {}
        for cell in row.iter(f"{MAIN}c"):
            value = cell.findtext(f"{MAIN}v")
            if value is not None:
                by_place[cell.get("r").rstrip("0123456789")] = texts[int(value)] if cell.get("t") == "s" else float(value)
        rows.append(by_place)
    return rows, len(list(sheet.iter(f"{MAIN}f")))


@pytest.mark.parametrize(("delimiter", "decimal", "locale"), COUNTRIES.values(), ids=COUNTRIES)
def test_a_spreadsheet_finds_numbers_where_there_are_figures(service, tmp_path, delimiter, decimal, locale):
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter)
    writer.writerow(HEADER)
    width = f"1180{decimal}5"
    writer.writerows([f"Schleuse {place}", "slim", width, 1420, 310, 620, 40, note] for place, note in enumerate(NOTES))
    answer = httpx.post(f"{service}/v1/fittings/table?fields=full", content=out.getvalue(), headers={"Content-Type": CSV})
    # independent program: LibreOffice
    (header, *rows), formulas = cells_of(tmp_path, answer.content, delimiter, locale)
    assert formulas == 0
    assert header["A"] == "index"  # the byte order mark is no part of it
    opening = {name: float(value) for name, value in zip(HEADER[2:7], (1180.5, 1420, 310, 620, 40), strict=True)}
    request = {"reference": "Schleuse 0", "opening": opening, "shutter": {"slat": "slim"}}
    single = httpx.post(f"{service}/v1/fittings", json=request).json()
    read = [{header[place]: cell for place, cell in row.items()} for row in rows]
    assert [row["reference"] for row in read] == [f"Schleuse {place}" for place in range(len(NOTES))]
    assert [row["x_note"] for row in read] == ["'=1+1", -4, "'@A1", "'+1", "'\t=1+1", "Tür; links, innen"]
    groups = {
        f"{group}.{name}": figure
        for group, members in single.items()
        if isinstance(members, dict) and group not in {"audit", "words"}
        for name, figure in members.items()
        if isinstance(figure, int | float) and not isinstance(figure, bool)
    }
    groups |= {f"checks.{one['id']}.margin": one["margin"] for one in single["checks"]}
    assert len(groups) > 90
    assert {name: read[0].get(name) for name in groups} == groups
    assert read[0]["audit.request_sha256"] == single["audit"]["request_sha256"]
