"""The saw list's cells: what a spreadsheet could take for a formula is none any more."""

import csv
import io

import pytest

from service.contract.cells import line


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("=1+1", "'=1+1"),
        ("@sum", "'@sum"),
        ("  +x", "'  +x"),
        ("\N{FULLWIDTH EQUALS SIGN}1", "'\N{FULLWIDTH EQUALS SIGN}1"),
        ("\t5", "'\t5"),
        ("-12.5", "-12.5"),
        ("locker 3, nearside", "locker 3, nearside"),
        ('a "quoted" one', 'a "quoted" one'),
        ("", ""),
    ],
)
def test_no_cell_is_a_formula(text, written):
    assert next(csv.reader(io.StringIO(line([text, 5.25]).decode(), newline=""))) == [written, "5.25"]
