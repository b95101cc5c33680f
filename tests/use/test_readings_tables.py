"""Tables of readings in CSV files beside a design: the same as if they were written in it, and what is wrong."""

from pathlib import Path

import pytest

from designs.reading import BadFile, read, read_text

SHIPPED = (Path(__file__).parents[2] / "designs" / "as-built.yaml").read_text("utf-8")
MEASURED = """
measured:
  brake: {radius: 40 mm, file: readings/brake.csv}
  drag: {radius: 40 mm, file: drag.csv}
  pushed: [{at: inner, file: push.csv}]
  pressure: {file: swing.csv}
"""
WRITTEN = """
measured:
  brake:
    radius: 40 mm
    points:
      - {speed: 300 rpm, pull: 1.95 N +- 0.05 N, slack: 0.31 N, hot: 480 degC}
      - {speed: 700 rpm, pull: 1.80 N, slack: 0.30 N}
      - {speed: 1100 rpm, pull: 1.62 N, slack: 0.30 N, hot: 470 degC}
  drag: {radius: 40 mm, points: [{speed: 300 rpm, pull: 0.21 N}, {speed: 700 rpm, pull: 0.26 N}]}
  pushed: [{at: inner, forces: [5 N, 10 N, 20 N], readings: [20 um, 41 um, 82 um]}]
  pressure: {highest: [18 kPa, 17.5 kPa, 18.2 kPa], lowest: [-14 kPa, -14.5 kPa, -13.9 kPa]}
"""
TABLES = {
    "readings/brake.csv": "# Saturday, warm\nspeed (rpm);pull (N);slack (N);hot (degC)\n300;1.95 +- 0.05;0.31;480\n"
    "\n700;1.80;0.30;\n1100;1.62;0.30;470\n",
    "drag.csv": "\ufeffSpeed [rpm], pull (N)\r\n300, 0.21\r\n700, 0.26,\r\n",
    "push.csv": '"reading (um)"\tforce (N)\n20\t5\n41\t10\n82\t20\n',
    "swing.csv": "highest (kPa),lowest (kPa)\n18,-14\n17.5,-14.5\n18.2,-13.9\n",
}


def written(folder: Path, **other: str) -> Path:
    """Write the design and its tables, some of them otherwise; a table's name is its file's without the ending."""
    (folder / "readings").mkdir()
    for name, text in TABLES.items():
        (folder / name).write_bytes(other.get(Path(name).stem, text).encode("utf-8", "surrogateescape"))
    file = folder / "fan.yaml"
    file.write_text(SHIPPED + other.get("measured", MEASURED), "utf-8")
    return file


def test_a_table_says_what_the_same_readings_in_the_design_say(tmp_path: Path) -> None:
    by_table, in_place = read(written(tmp_path)), read_text(SHIPPED + WRITTEN)
    for name in ("brake", "drag"):
        found, same = getattr(by_table.measured, name), getattr(in_place.measured, name)
        assert repr(found.points) == repr(same.points)
    assert by_table.measured.brake.points[1].hot is None
    push, same = by_table.measured.pushed[0], in_place.measured.pushed[0]
    assert (push.forces, push.readings) == (same.forces, same.readings)
    swing = by_table.measured.pressure.found_swing
    assert swing == in_place.measured.pressure.found_swing
    # Mean of 32, 32, 32.1 kPa: its u s/sqrt 3 = 0.0333, known by two degrees of freedom, with 0.354 of the gauge; by
    # Welch and Satterthwaite some 26 000 degrees of freedom together, which widen nothing.
    assert swing.value == pytest.approx(32033.3, abs=0.1)
    assert swing.sd == pytest.approx((33.333**2 + 353.553**2) ** 0.5, rel=1e-4)
    assert [each.key for each in by_table.found] == [each.key for each in in_place.found]


BRAKE = "speed (rpm),pull (N),slack (N)\n300,1.9,0.3\n"


@pytest.mark.parametrize(
    ("table", "place", "words"),
    [
        (BRAKE + "700,1.8 N,0.3\n", "brake.csv:3:5", ("'1.8 N'", "a number in N", "unit in the heading")),
        (BRAKE + '700,"1,8",0.3\n', "brake.csv:3:11", ("4 cells", "3, as in the heading")),
        (BRAKE.replace(",", ";") + "700;1,8;0.3\n", "brake.csv:3:5", ("'1,8'", "decimals with a point")),
        (BRAKE + "700,,0.3\n", "brake.csv:3:5", ("read nothing", "a number in N")),
        (BRAKE + "700\n", "brake.csv:3:1", ("1 cells", "pull too")),
        (BRAKE + "700, =SUM(A1:A9),0.3\n", "brake.csv:3:6", ("'=SUM(A1:A9)'", "a number in N")),
        (BRAKE + "700,0.2,0.3\n", "brake.csv:3:9", ("0.3 N", "no more than the tight side's 0.2 N")),
        (BRAKE + "-700,1.8,0.3\n", "brake.csv:3:1", ("'-700 rpm'", "more than 0")),
        ("speed (rpm),pull,slack (N)\n300,1.9,0.3\n", "brake.csv:1:13", ("'pull' without a unit", "pull (N)")),
        ("speed (rpm),pul (N)\n300,1.9\n", "brake.csv:1:13", ("'pul (N)' as a heading", "did you mean 'pull'")),
        ("speed (rpm),pull (mm)\n300,1.9\n", "brake.csv:1:13", ("'pull (mm)'", "not a force", "pull (N)")),
        ("speed (rpm),pull (__import__)\n3,1\n", "brake.csv:1:13", ("pull (__import__)",)),
        ("speed (rpm),speed (rpm),pull (N)\n3,3,1\n", "brake.csv:1:13", ("a second time", "each column once")),
        ("speed (rpm),slack (N)\n300,0.1\n", "brake.csv:1:1", ("no column pull", "also pull (N)")),
        ("300,1.9,0.3\n700,1.8,0.3\n", "brake.csv:1:1", ("'300' as a heading", "speed (rpm), pull (N)")),
        (BRAKE, "brake.csv:1:1", ("read 1", "two speeds or more")),
        ("", "brake.csv:", ("0 lines", "speed (rpm)")),
        (BRAKE + "\udcff\n", "brake.csv:3:1", ("a byte that is no text", "UTF-8")),
        (BRAKE + "700,1.8,0.3\n" * 1000, "brake.csv:1002:1", ("more than 1,000 readings",)),
        (BRAKE + " " * 200_000, "brake.csv:", ("more than 200,000 bytes",)),
        ("speed (rpm),pull (N)\x00\n300,1\x1b[31m\n", "brake.csv:1:13", (r"\x00",)),
    ],
)
def test_a_table_that_cannot_be_read_says_file_line_and_column(
    tmp_path: Path, table: str, place: str, words: tuple[str, ...]
) -> None:
    with pytest.raises(BadFile) as caught:
        read(written(tmp_path, brake=table))
    said = str(caught.value)
    assert said.partition(": measured")[0].endswith(place.removesuffix(":")), said
    assert "measured.brake" in said
    assert all(each in said for each in words), said
    assert "\x1b" not in said


@pytest.mark.parametrize(
    ("measured", "words"),
    [
        ("  brake: {radius: 40 mm, file: brakes.csv}", ("fan.yaml:", "'brakes.csv', which is not there")),
        ("  brake: {radius: 40 mm, file: ../brake.csv}", ("fan.yaml:", "a file beside the design file")),
        ("  brake: {radius: 40 mm, file: readings}", ("fan.yaml:", "which is not a file", "a CSV file")),
        ("  brake: {radius: 40 mm, file: drag.csv, points: []}", ("fan.yaml:", "'points' beside a table", "either")),
        ("  brake: {radius: 40 mm}", ("fan.yaml:", "two speeds or more, or a table of them under file")),
        ("  pressure: {file: swing.csv, swing: 30 kPa}", ("fan.yaml:", "swing beside highest and lowest")),
        ("  pressure: {highest: [10 kPa], lowest: [12 kPa]}", ("fan.yaml:", "10 kPa", "more than the lowest, 12 kPa")),
        ("  pressure: {highest: [10 kPa]}", ("fan.yaml:", "1, one for each of highest")),
    ],
)  # fmt: skip
def test_a_table_that_is_not_there_is_told_of_where_it_is_named(
    tmp_path: Path, measured: str, words: tuple[str, ...]
) -> None:
    with pytest.raises(BadFile) as caught:
        read(written(tmp_path, measured=f"\nmeasured:\n{measured}\n"))
    assert all(each in str(caught.value) for each in words), str(caught.value)


def test_a_text_without_a_file_names_no_table() -> None:
    with pytest.raises(BadFile, match="a table beside a design file"):
        read_text(SHIPPED + MEASURED)
