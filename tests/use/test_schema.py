"""The published schema: valid by its own standard (JSON Schema 2020-12), and of one mind with the reader."""

import json
from pathlib import Path

import jsonschema
import pytest
import yaml

from designs.design import Design
from designs.reading import BadFile, read_text
from designs.reading.schema import schema
from designs.reading.shapes import keys_of

TEXT = Path(__file__).with_name("greenhouse-fan.yaml").read_text("utf-8")


@pytest.fixture(scope="module")
def validator():
    return jsonschema.Draft202012Validator(schema())


def test_the_schema_is_a_schema_and_plain_json():
    jsonschema.Draft202012Validator.check_schema(schema())
    assert json.loads(json.dumps(schema())) == schema()


def test_a_good_file_fits(validator):
    assert [each.message for each in validator.iter_errors(yaml.load(TEXT, yaml.BaseLoader))] == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("length: 40 mm", "lenght: 40 mm"),
        ("length: 40 mm", "length: 40 mm, colour: red"),
        ("length: 40 mm", "length: 40"),
        ("length: 40 mm", "length: 1,5 mm"),
        ("length: 40 mm", "length: 40 furlong"),
        ("length: 40 mm", "length: 9**9 mm"),
        ("kind: piston", "kind: pistn"),
        ("kind: piston, ", ""),
        ("rated: 800 rpm, ", ""),
        ("centre distance: 48 mm", "load-on: right"),
        ("load-on: left", "load-on: lefft"),
        ("teeth: 48", "teeth: 4.5"),
        ("cg: [0 mm, 2.5 mm]", "cg: [0 mm]"),
        ("stem_through_piston: no", "stem_through_piston: maybe"),
        ("model: isothermal", "model: adiabatic"),
        ("  model: isothermal\n", ""),
        ("yoke: 44 g", "yoke: [44 g]"),
    ],
)
def test_schema_and_reader_refuse_the_same(validator, old, new):
    assert old in TEXT
    text = TEXT.replace(old, new, 1)
    assert list(validator.iter_errors(yaml.load(text, yaml.BaseLoader)))
    with pytest.raises(BadFile):
        read_text(text)


def test_every_key_is_there_with_its_meaning():
    made = schema()["$defs"]
    for name, key in keys_of(Design).items():
        entry = made["design.Design"]["properties"][name]
        assert key.meaning in entry["description"]
    assert made["yoke.Rod"]["required"] == ["length"]
    assert "more than 0 m" in made["yoke.Rod"]["properties"]["length"]["description"]
    assert made["machine.SpeedRange"]["properties"]["overspeed"]["default"] == 1.25
    assert made["shaft.Notch"]["properties"]["kind"]["enum"][0] == "shoulder"
