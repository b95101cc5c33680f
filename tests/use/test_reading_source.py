"""From text to a tree: places, and everything in a file that could surprise is refused at its line."""

import pickle

import pytest

from designs.reading import BadFile
from designs.reading.nodes import Entries, plain
from designs.reading.source import DEEPEST, LARGEST, parse, read_file


def complaint_of(text):
    with pytest.raises(BadFile) as caught:
        parse(text, "fan.yaml")
    assert len(caught.value.complaints) == 1
    return str(caught.value)


def test_values_stay_as_written():
    tree = parse("a: 1e-3\nb: 1:30\nc: yes\nd: 012\ne: '~'\nf: 2026-01-01\n", "fan.yaml")
    assert plain(tree) == {"a": "1e-3", "b": "1:30", "c": "yes", "d": "012", "e": "~", "f": "2026-01-01"}


def test_places_count_from_one():
    tree = parse("# fan\nspeed: {least: 200 rpm,\n  most: 3 rpm}\n", "fan.yaml")
    speed = tree.entries["speed"]
    assert isinstance(speed, Entries)
    assert str(speed.entries["least"].place) == "fan.yaml:2:16"
    assert str(speed.keys["most"]) == "fan.yaml:3:3"


@pytest.mark.parametrize(
    ("text", "place", "word"),
    [
        ("a: 1\nb: 2\na: 3\n", "fan.yaml:3:1", "line 1 already"),
        ("a: {b: 1, b: 2}\n", "fan.yaml:1:11", "second time"),
        ("a: 1\n<<: {b: 1}\n", "fan.yaml:2:1", "<<"),
        ("a: &x 1\nb: 1\n", "fan.yaml:1:4", "&x"),
        ("a: *x\n", "fan.yaml:1:4", "*x"),
        ("a: !!python/object:os.system 1\n", "fan.yaml:1:4", "tag"),
        ("a: !!str 1\n", "fan.yaml:1:4", "tag"),
        ("a: 1\n---\nb: 2\n", "fan.yaml:2:1", "one design"),
        ("? [a, b]\n: 1\n", "fan.yaml:1:3", "key"),
        ("{a: 1}: 2\n", "fan.yaml:1:1", "key"),
        ("a: 1\nb: \0\n", "fan.yaml:2:4", "control character"),
        ("a: \x1b[31m\n", "fan.yaml:1:4", "control character"),
        ("a: 1\n\tb: 2\n", "fan.yaml:2:1", "spaces"),
        ("a: [1, 2\nb: 3\n", "fan.yaml:2", "bracket"),
        ("a: b: c\n", "fan.yaml:1:5", "second ':'"),
        ("a: 'b\n", "fan.yaml:2:1", "quotation mark"),
        ("*.x: 1\n", "fan.yaml:1", "quotes"),
        ("[1, 2]\n", "fan.yaml:1:1", "a list of 2"),
        ("just words\n", "fan.yaml:1:1", "just words"),
        ("", "fan.yaml", "empty"),
        ("# only a remark\n", "fan.yaml", "empty"),
        ('"": 1\n', "fan.yaml:1:1", "without a name"),
        ("a: '\ud800'\n", "fan.yaml:1:5", "half a character"),
        ('a: "\\ud800"\n', "fan.yaml:1", "read"),
        ('a: "\\0"\n', "fan.yaml:1:4", "escape"),
    ],
)
def test_what_may_surprise_is_refused_at_its_place(text, place, word):
    sentence = complaint_of(text)
    assert sentence.startswith(place)
    assert word in sentence


def test_bytes_that_are_no_text_are_refused():
    assert complaint_of(b"a: 1\nb: \xff\n").startswith("fan.yaml:2:4: read the byte 0xff")
    assert "byte" in complaint_of("a: 1\n".encode("utf-16"))
    assert plain(parse("\ufeffa: µ\n".encode(), "fan.yaml")) == {"a": "µ"}


def test_growing_texts_are_refused():
    doubling = "a: &a [x, x]\n" + "".join(
        f"{b}: &{b} [*{a}, *{a}]\n" for a, b in zip("abcdefgh", "bcdefghi", strict=True)
    )
    assert "'&a'" in complaint_of(doubling)
    assert "shorter" in complaint_of("a: " + "x" * LARGEST)
    assert "levels" in complaint_of("[" * 100_000)
    assert "levels" in complaint_of("a: " + "{a: " * DEEPEST + "1" + "}" * DEEPEST)


@pytest.mark.parametrize("name", ["missing.yaml", ".", "a\0b", "x" * 5000])
def test_files_that_cannot_be_read_are_refused(tmp_path, name):
    with pytest.raises(BadFile, match="design file"):
        read_file(tmp_path / name)


def test_the_error_is_a_value_error_and_can_be_pickled():
    with pytest.raises(ValueError) as caught:
        parse("a: 1\na: 2\n", "fan.yaml")
    again = pickle.loads(pickle.dumps(caught.value))
    assert str(again) == str(caught.value)
    assert again.complaints[0].place == caught.value.complaints[0].place
