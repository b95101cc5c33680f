"""Measured pressure from a CSV file, and where such a file may stand."""

import numpy as np
import pytest

from designs.reading import BadFile
from designs.reading.complaints import Place
from designs.reading.table import LARGEST, read_table

GOOD = "0, 101.3\n90, 140\n180, 98.5\n270, 80\n"


def read(folder, name="p.csv", allow_above=False):
    return read_table(name, folder, allow_above, Place("fan.yaml", 7, 3))


@pytest.mark.parametrize(
    "text",
    [
        GOOD,
        "crank angle (deg), pressure (kPa)\n" + GOOD,
        GOOD.replace(",", ";"),
        "\ufeff" + GOOD.replace("\n", "\r\n\r\n"),
        GOOD + "360, 101.3\n",
    ],
)
def test_degrees_and_kilopascals_become_si(tmp_path, text):
    (tmp_path / "p.csv").write_text(text, "utf-8")
    table = read(tmp_path)
    np.testing.assert_allclose(table.angle, [0, np.pi / 2, np.pi, 3 * np.pi / 2], rtol=1e-15)
    np.testing.assert_allclose(table.pressure, [101300.0, 140e3, 98500.0, 80e3], rtol=1e-15)
    assert not table.pressure.flags.writeable


@pytest.mark.parametrize(
    ("text", "place", "word"),
    [
        (GOOD + "0, 100\n", "p.csv:5:1", "rise"),
        (GOOD + "400, 100\n", "p.csv:5:1", "one turn"),
        (GOOD + "360, 102\n", "p.csv:5:1", "a turn before"),
        ("angle, pressure\nangle, pressure\n" + GOOD, "p.csv:2:1", "two columns"),
        ("angle, pressure in bar\n" + GOOD, "p.csv:1:1", "bar"),
        ("angle_rad; kPa\n" + GOOD, "p.csv:1:1", "rad"),
        ("0, 101.3, 5\n" + GOOD, "p.csv:1:1", "3 columns"),
        ("0; 101,3\n" + GOOD, "p.csv:1:1", "point"),
        ("0, 101.3\n10, nan\n", "p.csv:2:1", "nan"),
        ("0, 101.3\n10, 1e99\n", "p.csv:2:1", "pressure"),
        ("0, 101.3\n10, -3\n", "p.csv:2:1", "absolute"),
        ("0, 101.3\n1_0, 3\n", "p.csv:2:1", "1_0"),
        ("0, 101.3\n10, 100\n", "p.csv:2:1", "four or more"),
        ("０, 101.3\n" + GOOD, "p.csv:1:1", "'０'"),
        ("0°, 101.3 kPa\n" + GOOD, "p.csv:1:1", "'0°'"),
        ("".join(f"{angle}, {100 + angle}\n" for angle in range(0, 181, 10)), "p.csv:19:1", "between 180 and 360"),
        ("0, 100\n1e-9, 5000\n90, 100\n180, 100\n270, 100\n", "p.csv:3:1", "between 90 and 180 deg"),
        ("0, 100\n60, 300\n61, 100\n150, 100\n240, 100\n", "p.csv:3:1", "runs to -"),
        ("", "p.csv:1:1", "four or more"),
        ("0, 1\n" * LARGEST, "p.csv", "shorter"),
    ],
)
def test_a_wrong_table_is_refused_at_its_line(tmp_path, text, place, word):
    (tmp_path / "p.csv").write_text(text, "utf-8")
    with pytest.raises(BadFile) as caught:
        read(tmp_path)
    assert str(caught.value).startswith(place)
    assert word in str(caught.value)


def test_bytes_that_are_no_text_are_refused(tmp_path):
    (tmp_path / "p.csv").write_bytes(b"0, 1\n\xff\n")
    with pytest.raises(BadFile, match=r"p\.csv:2:1"):
        read(tmp_path)


@pytest.mark.parametrize(
    "name", ["../p.csv", "a/../../p.csv", "..\\p.csv", "/etc/passwd", "C:\\p.csv", "link.csv", "sub/up/p.csv"]
)
def test_a_table_stands_nowhere_above_its_design(tmp_path, name):
    home = tmp_path / "home"
    (home / "sub").mkdir(parents=True)
    (home / "a").mkdir()
    (tmp_path / "p.csv").write_text(GOOD)
    (home / "link.csv").symlink_to(tmp_path / "p.csv")
    (home / "sub" / "up").symlink_to(tmp_path)
    with pytest.raises(BadFile, match=r"fan.yaml:7:3: read '.*beside the design file"):
        read(home, name)


def test_roundabout_and_absolute_names_are_refused_even_where_they_lead_home(tmp_path):
    (tmp_path / "sub").mkdir()
    (tmp_path / "p.csv").write_text(GOOD)
    for name in ("sub/../p.csv", str(tmp_path / "p.csv")):
        with pytest.raises(BadFile, match="beside the design file"):
            read(tmp_path, name)
        assert read(tmp_path, name, allow_above=True).angle.size == 4


@pytest.mark.parametrize("name", ["none.csv", ".", "sub", "a\0b", "x" * 5000])
def test_what_is_no_table_is_refused_where_it_is_named(tmp_path, name):
    (tmp_path / "sub").mkdir()
    with pytest.raises(BadFile, match=r"fan\.yaml:7:3"):
        read(tmp_path, name)


def test_folders_beside_and_links_within_are_fine_and_above_if_allowed(tmp_path):
    (tmp_path / "sub").mkdir()
    (tmp_path / "sub" / "p.csv").write_text(GOOD)
    (tmp_path / "link.csv").symlink_to(tmp_path / "sub" / "p.csv")
    for folder, name, above in [
        (tmp_path, "sub/p.csv", False),
        (tmp_path, "link.csv", False),
        (tmp_path / "sub", "../link.csv", True),
    ]:
        assert read(folder, name, above).angle.size == 4
