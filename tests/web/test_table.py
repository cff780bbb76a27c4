"""Tables over HTTP: dialects of spreadsheets of several countries in and out, figures equal to those of single answers."""

import csv
import io
import json
import re

import httpx
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from serving import PATIENCE_S, serving

from service.calculation.checks import ROWS
from service.contract.examples import BATCHES, FITTINGS, text
from service.contract.operations import CSV
from service.contract.requests import Duty, Opening, Shutter
from service.contract.spreadsheet import CARRIED_MAX, COLUMNS, NUMBER_COLUMNS, REQUIRED, TEXT_COLUMNS
from service.contract.table_answers import FORMS
from service.settings import Settings

PATH = "/v1/fittings/table"
BOM = "\ufeff"
GOOD = FITTINGS["lock-gate-truck"].request
HEADER = "slat,width_mm,height_mm,headroom_mm,depth_mm,header_thickness_mm,reference"
ROW = "slim,1180,1420,310,620,40,"
SIZES = ("slim", 1180.5, 1420.25, 310, 620, 40)
FORMULAS = [
    "=1+1", "+1", "-1+1", "-A1", "@A1", "\uff1d1+1", "\uff0b1", "\uff0d1", "\uff201", "\u200b=1", "\0=1", "\ufeff=1",
    "\u00ad\u202e=1", "\x85@1",
]  # fmt: skip
"""Texts that some spreadsheet program takes for a formula."""


def post(client, content, query="", content_type=CSV, **headers):
    body = content.encode() if isinstance(content, str) else content
    return client.post(PATH + query, content=body, headers={"Content-Type": content_type, **headers}, timeout=120)


def rows_of(answer, delimiter=","):
    """The rows of an answer by column."""
    assert answer.status_code == 200, answer.text
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline=""), delimiter=delimiter))


def written(delimiter, header, *rows, decimal="."):
    """A table as the csv module writes it, floats with a decimal mark."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter)
    writer.writerow(header)
    writer.writerows([str(cell).replace(".", decimal) if isinstance(cell, float) else cell for cell in row] for row in rows)
    return out.getvalue()


def problem_of(client, body, query="", delimiter=","):
    """The problem of the one row of a table."""
    (row,) = rows_of(post(client, body, query), delimiter)
    assert row["status"] == "422"
    return row["problem"]


def with_width(cell, delimiter=";"):
    """A table of one row with a width as it is written."""
    return written(delimiter, HEADER.split(","), ["slim", cell, 1420, 310, 620, 40, "gate"])


def single(client, **members):
    """The single answer to the openings of these tests."""
    return client.post("/v1/fittings", json={"opening": members, "shutter": {"slat": "slim"}}).json()


def flat(content, path=""):
    """The single members of an answer by their paths, checks by id, warnings as codes; lists of other things left out."""
    found = {}
    for name, value in content.items():
        if isinstance(value, dict):
            found |= flat(value, f"{path}{name}.")
        elif name == "warnings":
            found[name] = " ".join(one["code"] for one in value)
        elif name == "checks":
            found |= {f"checks.{one['id']}.{key}": one[key] for one in value for key in ("value", "limit", "margin")}
        elif not isinstance(value, list):
            found[f"{path}{name}"] = value
    return found


def test_a_table_is_what_spreadsheets_read(client):
    answer = post(client, text(CSV))
    rows = rows_of(answer)
    assert answer.headers["content-type"] == "text/csv; charset=utf-8; header=present"
    assert answer.headers["content-disposition"] == 'attachment; filename="fittings.csv"'
    assert answer.content.startswith(BOM.encode())
    assert answer.content.endswith(b"\r\n")
    assert [row["status"] for row in rows] == ["200", "422", "200"]
    assert (rows[0]["coil.radius_mm"], rows[0]["curtain.slat_count"], rows[2]["verdict"]) == ("80.333", "54", "does_not_fit")
    assert rows[1]["problem"].startswith("Row 3, column slat: ")
    # independent program: pandas
    frame = pd.read_csv(io.BytesIO(answer.content))
    assert list(frame["index"]) == [0, 1, 2]
    assert frame["curtain.slat_length_mm"][0] == pytest.approx(1165.608, abs=0.001)


@pytest.mark.parametrize(("fields", "path"), [("short", "/v1/fittings/short"), ("full", "/v1/fittings?fields=figures")])
@pytest.mark.parametrize(("delimiter", "decimal"), [(",", "."), (";", ","), ("\t", ".")])
def test_a_rows_figures_equal_those_of_the_single_answer(client, fields, path, delimiter, decimal):
    requests = [one.request for one in FITTINGS.values() if not {"survey", "obstacles"} & set(one.request["opening"])]
    assert len(requests) > 4
    places = {**TEXT_COLUMNS, **NUMBER_COLUMNS}
    table = [
        [_at(request, path) for path in places.values()] + [",".join(request.get("options", []))] for request in requests
    ]
    rows = rows_of(post(client, written(delimiter, [*places, "options"], *table, decimal=decimal), f"?fields={fields}"
        f"&decimal={'point' if decimal == '.' else 'comma'}"), delimiter)  # fmt: skip
    for index, (row, request) in enumerate(zip(rows, requests, strict=True)):
        expected = flat(client.post(path, json=request).json())
        expected = {name: value for name, value in expected.items() if not name.startswith("audit.request.")}
        assert set(expected) <= set(row)
        for name, value in expected.items():
            assert _cell(row[name], value, decimal) == value, name
        others = set(row) - set(expected)
        assert {name: row[name] for name in others if row[name]} == {"index": str(index), "status": "200"}


def _at(request, path):
    """A request's member; None where it has none."""
    for member in path:
        request = request.get(member, {}) if isinstance(request, dict) else None
    return None if request == {} else float(request) if isinstance(request, int) else request


def _cell(cell, like, decimal):
    """A cell as a value of the kind of another."""
    if isinstance(like, bool):
        return {"true": True, "false": False}[cell]
    return float(cell.replace(decimal, ".")) if isinstance(like, int | float) else cell


def test_the_columns_are_the_same_whatever_a_table_holds(client):
    bad = post(client, f"{HEADER}\n{ROW.replace('1180', '1')}\n", "?fields=full")
    assert list(rows_of(bad)[0]) == ["index", "reference", "status", "verdict", *FORMS["full"].columns, "problem"]
    (good,) = rows_of(post(client, f"{HEADER}\n{ROW}\n", "?fields=full"))
    assert list(good) == list(rows_of(bad)[0])
    assert {f"checks.{id}.margin" for id in ROWS} <= set(good)


@pytest.mark.parametrize("language", ["en", "de", "fr"])
def test_parts_are_those_of_the_single_answer_with_their_labels(client, language):
    spoken = {"Accept-Language": language}
    request = {**GOOD, "reference": "gate", "duty": {"road_speed_km_h": 90}}
    whole = client.post("/v1/fittings", json=request, headers=spoken).json()
    header = [*HEADER.split(","), "options", "road_speed_km_h", "x_bay"]
    opening = [GOOD["opening"][name] for name in HEADER.split(",")[1:-1]]
    good = ["slim", *opening, "gate", " ".join(GOOD["options"]), 90, "7 b"]
    bad = ["slim", 1, *opening[1:], "bad", "", "", "8"]
    answer = post(client, written(",", header, good, bad), "?fields=parts", **spoken)
    *rows, last = rows_of(answer)
    assert answer.headers["content-disposition"] == 'attachment; filename="parts.csv"'
    assert answer.headers["content-language"] == language
    labels = [one["label"] for one in whole["words"]["parts"]]
    assert len(rows) == len(whole["parts"]) > 20
    for row, part, label in zip(rows, whole["parts"], labels, strict=True):
        assert (row["index"], row["reference"], row["status"], row["x_bay"]) == ("0", "gate", "200", "7 b")
        assert row["verdict"] == whole["verdict"]
        assert row["label"].lstrip("'") == label
        told = {name: row[name] for name in ("key", "catalogue_id", "article", "quantity", "unit", "cut_length_mm")}
        assert told == {name: str(part.get(name, "")) for name in told}
    assert (last["index"], last["status"], last["x_bay"], last["key"], "width_mm" in last["problem"]) == (
        "1", "422", "8", "", True,
    )  # fmt: skip


DIALECTS = {
    "English": ({"sep": ",", "decimal": "."}, "utf-8"),
    "English with BOM": ({"sep": ",", "decimal": "."}, "utf-8-sig"),
    "German": ({"sep": ";", "decimal": ","}, "utf-8-sig"),
    "French": ({"sep": ";", "decimal": ","}, "utf-8"),
    "French, text in UTF-16": ({"sep": "\t", "decimal": ","}, "utf-16"),
    "semicolons and points": ({"sep": ";", "decimal": "."}, "utf-8"),
    "tabs and points": ({"sep": "\t", "decimal": "."}, "utf-16"),
}


@pytest.mark.parametrize(("dialect", "encoding"), DIALECTS.values(), ids=DIALECTS)
def test_what_pandas_writes_is_understood_and_answered_so(client, dialect, encoding):
    # independent program: pandas
    widths = [1180.5, 900.25, 1000.0]
    frame = pd.DataFrame(
        {
            "reference": ["écluse 1", "Tür; links", 'the "old", gate'],
            "slat": "slim",
            "width_mm": widths,
            "height_mm": [1420, 1000, 800],
            "headroom_mm": 310.125,
            "depth_mm": 620.0,
            "header_thickness_mm": 40,
            "road_speed_km_h": [110.0, None, 90.5],
            "x_größe": ["L", "M;N", "a, b"],
        }
    )
    out = io.BytesIO()
    frame.to_csv(out, index=False, encoding=encoding, **dialect)
    answer = post(client, out.getvalue(), "?fields=full")
    read = pd.read_csv(io.BytesIO(answer.content), **dialect)
    assert list(read["reference"]) == list(frame["reference"])
    assert list(read["x_größe"]) == list(frame["x_größe"])
    assert list(read["opening.width_mm"]) == widths
    for place, row in frame.iterrows():
        sizes = ("width_mm", "height_mm", "headroom_mm", "depth_mm", "header_thickness_mm")
        duty = {} if pd.isna(row["road_speed_km_h"]) else {"road_speed_km_h": row["road_speed_km_h"]}
        opening = {name: float(row[name]) for name in sizes}
        request = {"reference": row["reference"], "opening": opening, "shutter": {"slat": "slim"}, "duty": duty}
        expected = flat(client.post("/v1/fittings?fields=figures", json=request).json())
        figures = {
            name: value for name, value in expected.items() if isinstance(value, float | int) and "request" not in name
        }
        assert len(figures) > 150
        assert {name: read[name][place] for name in figures} == figures


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("mark", ["", BOM], ids=["plain", "BOM"])
def test_cells_may_be_separated_by_comma_semicolon_or_tab(client, delimiter, mark):
    header = ["slat", "width_mm", "height_mm", "headroom_mm", "depth_mm", "header_thickness_mm", "reference", "options"]
    cells = ["slim", "1180", "1420.0", " 310 ", "620", "4e1", 'the "old" gate', "drip_rail strip_light"]
    answer = post(client, mark + written(delimiter, header, cells), content_type="text/csv; charset=utf-8")
    (row,) = rows_of(answer, delimiter)
    assert (row["coil.radius_mm"], row["reference"]) == ("80.333", 'the "old" gate')


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be"])
def test_utf_16_is_read_by_its_byte_order_mark_and_refused_without(client, encoding):
    body = written("\t", [*HEADER.split(","), "x_größe"], [*SIZES, "Ökoschleuse 漢", "ß"], decimal=",")
    for content_type in (CSV, "text/csv; charset=utf-16"):
        (row,) = rows_of(post(client, (BOM + body).encode(encoding), content_type=content_type), "\t")
        assert (row["reference"], row["x_größe"], row["status"]) == ("Ökoschleuse 漢", "ß", "200")
        assert "," in row["curtain.slat_length_mm"]
    refused = post(client, body.encode(encoding))
    assert (refused.status_code, refused.json()["detail"]) == (
        400,
        "The body seems to be UTF-16 without a byte order mark; send it with one, or send UTF-8.",
    )
    cut = post(client, (BOM + body).encode(encoding)[:-1])
    assert (cut.status_code, cut.json()["detail"]) == (400, "The body is not UTF-16.")
    named = post(client, body.encode(encoding), content_type=f"text/csv; charset={encoding.replace('-le', 'le')}x")
    assert (named.status_code, "UTF-8 or UTF-16" in named.json()["detail"]) == (415, True)


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_first_line_may_name_the_delimiter(client, delimiter, end):
    body = written(delimiter, HEADER.split(","), [*SIZES[:1], 1180, 1420, 310, 620, 40, "a,b;c"], ["slim"])
    first, second = rows_of(post(client, f"sep={delimiter}{end}{body}"), delimiter)
    assert (first["status"], first["reference"]) == ("200", "a,b;c")
    assert second["problem"].startswith("Row 3: ")  # a spreadsheet does not show the line
    for wrong in ("sep=|", "sep=", "SEP=;;"):
        refused = post(client, f"{wrong}{end}{body}")
        assert refused.json()["detail"] == "The line sep= must name a comma, a semicolon or a tab."


def test_the_delimiter_is_the_one_by_which_most_columns_are_known(client):
    body = '"x_a,b,c,d,e,f,g,h,i;j";' + with_width(1180)
    (row,) = rows_of(post(client, body.replace("\nslim", "\n5;slim")), ";")
    assert (row["status"], row["x_a,b,c,d,e,f,g,h,i;j"]) == ("200", "5")


def test_a_table_with_decimal_commas_is_answered_with_them(client):
    width = single(client, width_mm=1180.5, height_mm=1420, headroom_mm=310, depth_mm=620, header_thickness_mm=40)
    length = str(width["curtain"]["slat_length_mm"])
    for delimiter, cell, query, mark in (
        (";", "1180,5", "", ","),
        ("\t", "1180,5", "", ","),
        (";", "1180.5", "", "."),
        ("\t", "1180.5", "", "."),
        (",", "1180.5", "", "."),
        (",", "1180,5", "?decimal=comma", ","),
        (";", "1180.5", "?decimal=point", "."),
    ):
        answer = post(client, with_width(cell, delimiter), query)
        (row,) = rows_of(answer, delimiter)
        assert row["curtain.slat_length_mm"] == length.replace(".", mark)
        if delimiter != mark:
            assert f"{delimiter}{length.replace('.', mark)}{delimiter}" in answer.text  # no text: not quoted


@pytest.mark.parametrize(("delimiter", "mark"), [(",", "."), (";", ","), ("\t", ".")])
def test_where_no_number_tells_the_delimiter_does(client, delimiter, mark):
    (row,) = rows_of(post(client, with_width("1180", delimiter)), delimiter)
    assert re.fullmatch(rf"\d+\{mark}\d+", row["curtain.slat_length_mm"])


def test_the_decimal_mark_is_found_in_any_row(client):
    header = HEADER.split(",")
    rows = [["slim", 1180, 1420, 310, 620, 40, "a"]] * 5 + [["slim", "310.125", 1420, 310, 620, 40, "b"]]
    body = written(";", header, *rows, ["slim", "1180.5", 1420, 310, 620, 40, "c"])
    told = rows_of(post(client, body, "?fields=full"), ";")
    assert [row["opening.width_mm"] for row in told] == ["1180"] * 5 + ["310.125", "1180.5"]


@pytest.mark.parametrize(
    ("cell", "delimiter", "query", "told"),
    [
        ("1.180,5", ";", "", "1.180,5 has a mark for thousands; write the number without, such as 1180,5"),
        ("1,180.5", ";", "", "1,180.5 has a mark for thousands; write the number without, such as 1180,5"),
        ("1,180.5", ",", "", "1,180.5 has a mark for thousands; write the number without, such as 1180.5"),
        ("1.180,5", ",", "", "1.180,5 has a mark for thousands; write the number without, such as 1180.5"),
        ("1 180,5", ";", "", "1 180,5 has a mark for thousands; write the number without, such as 1180,5"),
        ("1\u202f180,5", ";", "", "1\u202f180,5 has a mark for thousands; write the number without, such as 1180,5"),
        ("1'180.5", ";", "?decimal=point", "1'180.5 has a mark for thousands; write the number without, such as 1180.5"),
        ("1.180", ";", "", "1.180 can be read as two numbers, and no other cell tells which: "),
        ("1,180", ";", "", "1,180 can be read as two numbers, and no other cell tells which: "),
        ("1.180", "\t", "", "1.180 can be read as two numbers, and no other cell tells which: "),
        ("1.180", ";", "?decimal=comma", "1.180 has a point; numbers of this table have a decimal comma and no mark for "),
        ("1,180", ",", "", "1,180 has a comma; numbers of this table have a decimal point and no mark for thousands"),
        ("1180,5", ",", "", "(with decimal commas, separate cells by semicolons or tabs, or ask for decimal=comma)"),
        ("1180,5", ";", "?decimal=point", "1180,5 has a comma; numbers of this table have a decimal point"),
        ("1180.5", ";", "?decimal=comma", "1180.5 has a point; numbers of this table have a decimal comma"),
        ("1180 mm", ",", "", "1180 mm is no number with a decimal point, such as 1180.5"),
        ("1180 mm", ";", "", "1180 mm is no number with a decimal comma, such as 1180,5"),
        ("1180,5,5", ";", "", "1180,5,5 is no number with a decimal comma, such as 1180,5"),
        ("nan", ",", "", "nan is no number with a decimal point"),
        ("x" * 100, ",", "", f"{'x' * 60}… is no number"),
    ],
)
def test_a_number_in_another_form_is_refused_and_not_guessed(client, cell, delimiter, query, told):
    problem = problem_of(client, with_width(cell, delimiter), query, delimiter)
    assert problem.startswith("Row 2, column width_mm: ")
    assert told in problem


def test_one_number_in_another_form_harms_no_other(client):
    rows = [["slim", width, 1420, 310, 620, 40, ""] for width in ("1180,5", "1180.5", "1.180", "1180,25")]
    told = rows_of(post(client, written(";", HEADER.split(","), *rows)), ";")
    assert [row["status"] for row in told] == ["200", "422", "422", "200"]
    assert told[1]["problem"].startswith("Row 3, column width_mm: 1180.5 has a point")


def test_a_decimal_comma_among_commas_is_told(client):
    body = f"{HEADER}\nslim,1180,5,1420,310,620,40,gate\n"
    (row,) = rows_of(post(client, body))
    assert row["problem"] == (
        "Row 2: The row has 8 cells, the header 7. Perhaps a number has a decimal comma, which separates cells here: write "
        "1180.5, or separate cells by semicolons."
    )


def test_a_problem_names_row_column_and_limit(client):
    body = f"{HEADER},options\n\n{ROW}a,\n{ROW.replace('1180', '118').replace('slim', 'thin')}b,\n{ROW}c,flag rail\n"
    first, second, third = rows_of(post(client, body))
    assert (first["status"], first["problem"]) == ("200", "")
    assert second["problem"] == "Row 4, column width_mm: must be at least 250; if 118 is meant in cm, write 1180"
    told = third["problem"].split("; ")
    assert [one.partition(":")[0] for one in told] == ["Row 5, column options"] * 2
    german = post(client, body, **{"Accept-Language": "de"})
    assert rows_of(german)[1]["problem"].startswith("Zeile 4, Spalte width_mm: muss mindestens 250 sein")


def test_a_table_names_every_cell_at_fault(client):
    header = "slat,width_mm,height_mm,headroom_mm,depth_mm,header_thickness_mm\n"
    body = header + "slim,1180 mm,1420,310,620,nan\nslim,1180,1420,310,620\nslim,1180,1420,310,620,40\n"
    rows = rows_of(post(client, body))
    assert [row["status"] for row in rows] == ["422", "422", "200"]
    assert rows[0]["problem"] == (
        "Row 2, column width_mm: 1180 mm is no number with a decimal point, such as 1180.5; "
        "Row 2, column header_thickness_mm: nan is no number with a decimal point, such as 1180.5"
    )
    assert rows[1]["problem"] == "Row 3: The row has 5 cells, the header 6."


def test_a_cell_that_is_no_number_hides_no_other_fault_of_its_row(client):
    header = "reference,width_mm,height_mm,headroom_mm,depth_mm,header_thickness_mm,slat,body"
    row = problem_of(client, f"{header}\nD,twelve,,59,,40,slim,wood\n")
    assert sorted(row.split("; ")) == sorted(
        f"Row 2, column {column}"
        for column in (
            "width_mm: twelve is no number with a decimal point, such as 1180.5",
            "height_mm: the member is missing, and there is no survey",
            "headroom_mm: must be at least 60",
            "depth_mm: the member is missing",
            "body: must be one of aluminium, composite, steel",
        )
    )


def test_an_empty_cell_that_is_needed_is_named_and_the_reference_kept(client):
    header = "reference,slat,width_mm,height_mm,headroom_mm,depth_mm,header_thickness_mm,cycles_per_day\n"
    body = header + " a ,slim,,1420,310,620,40,4\n b,slim,,,310,620,40,\n c ,slim\n d,slim,x,1,1,1,1,1\n"
    rows = rows_of(post(client, body))
    assert [row["reference"] for row in rows] == ["a", "b", "c", "d"]
    missing = "the member is missing, and there is no survey"
    assert rows[0]["problem"] == f"Row 2, column width_mm: {missing}"
    assert rows[1]["problem"] == f"Row 3, column width_mm: {missing}; Row 3, column height_mm: {missing}"


def test_there_is_a_column_for_every_member_but_those_that_are_lists(client):
    paths = {path for columns in (TEXT_COLUMNS, NUMBER_COLUMNS) for path in columns.values()}
    members = {("reference",), *(("opening", one) for one in Opening.__struct_fields__)}
    members |= {("shutter", one) for one in Shutter.__struct_fields__} | {("duty", one) for one in Duty.__struct_fields__}
    assert paths == members - {("opening", "survey"), ("opening", "obstacles")}
    (row,) = rows_of(post(client, f"{HEADER},cycles_per_day\n{ROW},400\n"))
    request = {**GOOD, "reference": None, "options": [], "duty": {"cycles_per_day": 400}}
    del request["reference"]
    digest = client.post("/v1/fittings", json=request).json()["audit"]["request_sha256"]
    assert row["audit.request_sha256"] == digest


@pytest.mark.parametrize("cell", ["drip_rail strip_light", "drip_rail,strip_light", " drip_rail ,  strip_light "])
def test_options_stand_in_one_cell(client, cell):
    (row,) = rows_of(post(client, written(";", [*HEADER.split(","), "options"], [*SIZES, "", cell])), ";")
    assert row["drip_rail.length_mm"]


@pytest.mark.parametrize("broken", ['"never ends', '"ends" too early'])
def test_rows_behind_a_broken_quote_are_answered(client, broken):
    good = "slim,1180,1420,310,620,40"
    header = "slat,width_mm,height_mm,headroom_mm,depth_mm,header_thickness_mm,reference\n"
    body = header + "".join(f"{good},{reference}\n" for reference in ("a", broken, "b", '"over two\nlines"', "c"))
    rows = rows_of(post(client, body))
    assert [row["status"] for row in rows] == ["200", "400", "200", "200", "200"]
    assert [row["reference"] for row in rows] == ["a", "", "b", "over two\nlines", "c"]
    assert rows[1]["problem"].startswith("Row 3: The row is not CSV")


def test_a_row_without_end_harms_no_other(client):
    header = "slat,width_mm,height_mm,headroom_mm,depth_mm,header_thickness_mm\n"
    body = header + "," * 1_000_000 + "\nslim,1180,1420,310,620,40\n"
    rows = rows_of(post(client, body))
    assert [row["status"] for row in rows] == ["400", "200"]
    assert "65536 characters" in rows[0]["problem"]
    assert post(client, "," * 1_000_000).status_code == 400
    assert post(client, header + "\n" * 1_000_001).status_code == 413


def faults_of(answer):
    assert answer.status_code == 422
    return {(one["code"], one["pointer"], one["detail"].split(";")[0]) for one in answer.json()["errors"]}


def test_another_header_is_refused_with_what_would_do(client):
    answer = post(client, "slat,breadth\nslim,3\n")
    told = faults_of(answer)
    assert ("unknown_member", "/0/breadth", "there is no column breadth") in told
    assert ("missing", "/0/width_mm", "the column width_mm is missing") in told
    (hint,) = [one["detail"] for one in answer.json()["errors"] if one["code"] == "unknown_member"]
    assert hint.endswith("let its name begin with x_ to carry it along unread")
    assert ", ".join(COLUMNS) in hint


@pytest.mark.parametrize("missing", REQUIRED)
def test_a_required_column_that_is_missing_is_named(client, missing):
    header = ",".join(name for name in HEADER.split(",") if name != missing)
    told = faults_of(post(client, header + "\n"))
    assert told == {("missing", f"/0/{missing}", f"the column {missing} is missing")}


def test_a_column_without_a_name_or_there_twice_is_named(client):
    told = faults_of(post(client, f"{HEADER},,depth_mm,x_a,x_a\n"))
    assert told == {
        ("empty_value", "/0/", "column 8 has no name"),
        ("twice", "/0/depth_mm", "the column depth_mm is there twice"),
        ("twice", "/0/x_a", "the column x_a is there twice"),
    }


def test_a_body_without_a_header_is_refused(client):
    for body in ("", "\n", f"{ROW}\n"):
        assert {code for code, _, _ in faults_of(post(client, body))} >= {"missing"}


def test_carried_columns_come_back_as_they_were_wherever_they_stood(client):
    header = ["x_bay", *HEADER.split(","), "x_Wagen nr."]
    rows = [[" 7b ", *SIZES, "", ""], ["a;b\nc", "slim"], ['"', *SIZES[:2], 1, 1, 1, 1, "", "-4,5"]]
    for query in ("", "?fields=full", "?fields=parts"):
        told = rows_of(post(client, written(",", header, *rows), query))
        first, second, third = {row["index"]: row for row in told}.values()
        assert [first["x_bay"], second["x_bay"], third["x_bay"]] == [" 7b ", "a;b\nc", '"']
        assert [first["x_Wagen nr."], second["x_Wagen nr."], third["x_Wagen nr."]] == ["", "", "-4,5"]
        assert [first["status"], second["status"], third["status"]] == ["200", "422", "422"]


def test_carried_columns_are_not_the_requests(client):
    plain = rows_of(post(client, f"{HEADER}\n{ROW}\n"))[0]
    carrying = rows_of(post(client, f"{HEADER},x_width_mm\n{ROW},5\n"))[0]
    assert carrying.pop("x_width_mm") == "5"
    assert carrying == plain


def test_so_many_columns_are_carried_and_no_more(client):
    header = f"{HEADER}," + ",".join(f"x_{number}" for number in range(CARRIED_MAX))
    (row,) = rows_of(post(client, f"{header}\n{ROW}{',7' * CARRIED_MAX}\n"))
    assert row[f"x_{CARRIED_MAX - 1}"] == "7"
    (fault,) = post(client, f"{header},x_more\n").json()["errors"]
    assert (fault["code"], fault["limit"]) == ("too_many", CARRIED_MAX)


@pytest.fixture(scope="module")
def own():
    """A client for many requests of one test."""
    with serving(Settings()) as base, httpx.Client(base_url=base, timeout=PATIENCE_S) as one:
        yield one


CELLS = st.text(st.characters(codec="utf-8"), max_size=30)


@settings(max_examples=60)
@given(
    cells=st.lists(st.tuples(CELLS, CELLS), min_size=1, max_size=5),
    delimiter=st.sampled_from(",;\t"),
    encoding=st.sampled_from(["utf-8", "utf-16-le", "utf-16-be"]),
)
def test_any_carried_text_comes_back(own, cells, delimiter, encoding):
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter)
    writer.writerow([*HEADER.split(","), "x_one", "x_two"])
    writer.writerows(["slim", 1, 1, 1, 1, 1, "", *pair] for pair in cells)
    rows = rows_of(post(own, (BOM + out.getvalue()).encode(encoding)), delimiter)
    assert len(rows) == len(cells)
    for row, pair in zip(rows, cells, strict=True):
        for got, sent in zip((row["x_one"], row["x_two"]), pair, strict=True):
            assert got in {sent, f"'{sent}"}
            if got != sent:
                assert set(sent[:1]) <= set("\t\r\n") or re.search(r"[=+\-@＝＋－＠﹢﹣﹦﹫⁺₊⁻₋⁼₌−]", sent), sent
            assert not got.startswith(("=", "+", "@", "\t", "\r", "\n"))


@pytest.mark.parametrize("text", [*FORMULAS, "\t=1", "\r=1", "\n=1", "\tx", "\rx", "-2+3", "+49 170 1", "=HYPERLINK(1)"])
def test_no_cell_of_an_answer_is_taken_for_a_formula(client, text):
    body = written(",", [*HEADER.split(","), "x_note"], ["slim", 1180, 1420, 310, 620, 40, text, text], ["slim", text])
    for query in ("", "?fields=full", "?fields=parts"):
        rows = rows_of(post(client, body, query))
        assert {row["x_note"] for row in rows[:-1]} == {f"'{text}"}
        reference = text.strip()
        assert {row["reference"] for row in rows[:-1]} == {f"'{reference}" if reference != "x" else "x"}
    problem = problem_of(client, with_width(text, ","))
    assert problem.startswith("Row 2, column width_mm: ")


@pytest.mark.parametrize("number", ["-1", "-1180.5", "-1180,5", "-1.180,5", " -4", "-1e-05", "12"])
def test_negative_numbers_stay_numbers(client, number):
    body = written(",", [*HEADER.split(","), "x_note"], ["slim", 1180, 1420, 310, 620, 40, "", number])
    assert rows_of(post(client, body))[0]["x_note"] == number
    full = rows_of(post(client, body, "?fields=full"))[0]
    negative = {name for name, cell in full.items() if cell.startswith("-")} - {"x_note"}
    assert {"side_plate.base_z_mm"} <= negative
    assert all(float(full[name]) < 0 for name in negative)


@pytest.mark.parametrize("delimiter", [",", ";"])
def test_texts_are_quoted_whatever_delimiter_a_reader_takes(client, delimiter):
    body = f'{HEADER}\n{ROW}"x;=1+1,=2\t=3"\n'.replace(",", delimiter).replace(f"1{delimiter}=2", "1,=2")
    assert delimiter.join(["0", '"x;=1+1,=2\t=3"', "200"]) in post(client, body).text


def test_what_is_no_utf_8_is_refused_whole(client):
    for body in (b"\xff", HEADER.encode() + b"\n\xff", f"{HEADER}\n{ROW}\n".encode() * 3 + b"\xff" * 3):
        refused = post(client, body)
        assert (refused.status_code, refused.json()["detail"]) == (400, "The body is not UTF-8.")


@pytest.mark.parametrize(("query", "parameter"), [("?fields=figures", "fields"), ("?decimal=.", "decimal"), ("?x=1", "x")])
def test_another_query_is_refused(client, query, parameter):
    refused = post(client, text(CSV), query)
    assert (refused.status_code, refused.json()["errors"][0]["parameter"]) == (422, parameter)


def test_the_example_is_the_batch(client):
    rows = rows_of(post(client, text(CSV)))
    items = client.post("/v1/fittings/batch?fields=short", json=BATCHES["evening-order"].request).json()["items"]
    for row, item in zip(rows, items, strict=True):
        assert (int(row["index"]), int(row["status"])) == (item["index"], item["status"])
        short = item.get("short", {"audit": {"result_sha256": ""}})
        assert row["audit.result_sha256"] == short["audit"]["result_sha256"], json.dumps(item)
