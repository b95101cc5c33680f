"""Whatever a file holds, what comes out is a design or complaints with places, and nothing else."""

from pathlib import Path

import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from designs.design import Design
from designs.reading import BadFile, design_of, read_text
from designs.reading.changes import changed, names
from designs.reading.schema import schema
from designs.reading.shapes import (
    Choice,
    Either,
    Fixed,
    Flag,
    Named,
    Optional,
    Quantity,
    Record,
    Series,
    Tagged,
    Whole,
    keys_of,
)
from designs.reading.source import parse

TEXT = Path(__file__).with_name("greenhouse-fan.yaml").read_text("utf-8")
TREE = yaml.load(TEXT, yaml.BaseLoader)

SCALARS = st.one_of(
    st.sampled_from(
        "0,1,-1,1e999,1e-30,nan,5\u00a0mm,0 mm,1e29 mm,-3 mm,3 g,9 rpm,-400 degC,1e30 s,none,null,~,yes,true,piston,,"
        "steel,x.csv,fan alloy,isothermal,indicated,first pin,*,C3,{}".split(",")
    ),
    st.text(max_size=8),
    st.floats().map(repr),
    st.integers().map(str),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.dictionaries(st.one_of(SCALARS, st.sampled_from(["rod", "at", "mass"])), inner, max_size=4),
    ),
    max_leaves=8,
)


def paths_of(node, path=()):
    yield path
    pairs = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, each in pairs:
        yield from paths_of(each, (*path, key))


def keys_below(shape, seen):
    """Yield every key that a file may hold, with its shape, however deep: so a new key joins by itself."""
    if isinstance(shape, Tagged):
        for _, cls in shape.classes:
            yield from keys_below(Record(cls), seen)
    elif isinstance(shape, Either):
        for each in shape.items:
            yield from keys_below(each, seen)
    elif isinstance(shape, Optional | Series | Named):
        yield from keys_below(shape.item, seen)
    elif isinstance(shape, Record) and shape.cls not in seen:
        seen.add(shape.cls)
        for key in keys_of(shape.cls).values():
            yield shape.cls.__name__, key.name, key.shape
            yield from keys_below(key.shape, seen)


KEYS = list(keys_below(Record(Design), set()))


def values_for(shape):
    """Return texts that may stand where a shape is wanted: likely ones, of the right kind if not of the right size."""
    match shape:
        case Quantity():
            return st.floats(-1e3, 1e3).map(lambda number: f"{number:g} {shape.si}".strip())
        case Whole():
            return st.integers(-2, 2000).map(str)
        case Flag():
            return st.sampled_from(["yes", "no"])
        case Choice():
            return st.sampled_from(list(map(str, shape.values)))
        case Optional():
            return st.one_of(st.just("none"), values_for(shape.item))
        case Fixed():
            return st.tuples(*map(values_for, shape.items)).map(list)
        case Series():
            return st.lists(values_for(shape.item), max_size=3)
        case Named():
            return st.dictionaries(st.sampled_from(["one", "other"]), values_for(shape.item), max_size=2)
        case Either():
            return st.one_of(*map(values_for, shape.items))
    return VALUES


PATHS = [path for path in paths_of(TREE) if path]


def at(node, path):
    for key in path:
        node = node[key]
    return node


def with_value(node, path, value):
    if not path:
        return value
    copy = dict(node) if isinstance(node, dict) else list(node)
    copy[path[0]] = with_value(node[path[0]], path[1:], value)
    return copy


def check(text):
    """Read a text and each of its options: nothing but designs and complaints may come of it."""
    outcome = None
    try:
        outcome = read_text(text, "fan.yaml")
        tree = parse(text, "fan.yaml")
        for option in names(tree):
            design_of(changed(tree, option))
    except BadFile as error:
        assert error.complaints
        assert str(error).startswith("fan.yaml")
        assert all(each.place.line >= 0 and each.complaint.allowed for each in error.complaints)
    assert outcome is None or isinstance(outcome, Design)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(PATHS), VALUES), min_size=1, max_size=3))
def test_any_value_anywhere(changes):
    tree = TREE
    for path, value in changes:
        try:
            tree = with_value(tree, path, value)
        except (KeyError, IndexError, TypeError):
            continue  # an earlier change took this place away
    check(yaml.safe_dump(tree, allow_unicode=True))


OPEN = [(), *(path for path in PATHS if isinstance(at(TREE, path), dict))]


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(OPEN), st.sampled_from(KEYS)), min_size=1, max_size=2), st.data())
def test_any_key_of_any_definition_anywhere(places, data):
    tree = TREE
    for path, (_, name, shape) in places:
        try:
            tree = with_value(tree, path, {**at(tree, path), name: data.draw(values_for(shape))})
        except (KeyError, IndexError, TypeError):
            continue  # an earlier change took this place away
    check(yaml.safe_dump(tree, allow_unicode=True))


def test_the_keys_are_those_of_the_schema():
    published = {name for each in schema()["$defs"].values() for name in each.get("properties", ())}
    assert published <= {name for _, name, _ in KEYS}


@settings(max_examples=150, deadline=None)
@given(st.integers(0, len(TEXT)), st.integers(0, 40), st.text(max_size=12))
def test_any_slip_of_the_keyboard(start, length, typed):
    check(TEXT[:start] + typed + TEXT[start + length :])


@settings(max_examples=100, deadline=None)
@given(st.lists(st.sampled_from(TEXT.splitlines()), max_size=30))
def test_any_order_of_lines(lines):
    check("\n".join(lines))


@settings(max_examples=150, deadline=None)
@given(st.one_of(st.binary(max_size=60), st.text(alphabet="abc:{}[],&*!|>'\"#%@-?\n\t \\<", max_size=60)))
def test_any_bytes(content):
    try:
        parse(content, "fan.yaml")
    except BadFile as error:
        assert str(error).startswith("fan.yaml")


@settings(max_examples=100, deadline=None)
@given(
    st.dictionaries(
        st.one_of(st.sampled_from(["yokes.*.rod", "shafts.*", "*.*.*", "options.x", "gas"]), st.text(max_size=9)),
        VALUES,
    )
)
def test_any_option(changes):
    check(yaml.safe_dump(TREE | {"options": {"new": changes}}, allow_unicode=True))
